package main

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"math/big"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/spf13/cobra"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"fairburn": func() {
			os.Exit(run(context.Background(), os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr}))
		},
	})
}

// TestScripts runs the command line as a person would, one story a file.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       os.Getenv("UPDATE_SCRIPTS") != "",
		Setup: func(e *testscript.Env) error {
			examples, err := os.ReadDir("../../docs/examples")
			if err != nil {
				return err
			}
			for _, x := range examples {
				data, err := os.ReadFile("../../docs/examples/" + x.Name())
				if err != nil {
					return err
				}
				if err := os.WriteFile(e.WorkDir+"/"+x.Name(), data, 0o644); err != nil {
					return err
				}
			}
			e.Setenv("XDG_CACHE_HOME", e.WorkDir+"/cache")
			e.Setenv("XDG_DATA_HOME", e.WorkDir+"/data")
			e.Setenv("HOME", e.WorkDir)
			return os.WriteFile(e.WorkDir+"/trial.toml", demoSheet, 0o644)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			// edit FILE OLD NEW: the first OLD in the file becomes NEW.
			"edit": func(ts *testscript.TestScript, neg bool, args []string) {
				if neg || len(args) != 3 {
					ts.Fatalf("usage: edit file old new")
				}
				text := ts.ReadFile(args[0])
				if !strings.Contains(text, args[1]) {
					ts.Fatalf("%s does not hold %q", args[0], args[1])
				}
				ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Replace(text, args[1], args[2], 1)), 0o644))
			},
			// code N COMMAND...: the command ends with exit code N.
			"code": func(ts *testscript.TestScript, neg bool, args []string) {
				if neg || len(args) < 2 {
					ts.Fatalf("usage: code N command...")
				}
				err := ts.Exec(args[1], args[2:]...)
				var exit *exec.ExitError
				if err != nil && !errors.As(err, &exit) {
					ts.Fatalf("%v", err)
				}
				got := 0
				if exit != nil {
					got = exit.ExitCode()
				}
				if strconv.Itoa(got) != args[0] {
					ts.Fatalf("exit code %d, expected %s", got, args[0])
				}
			},
		},
	})
}

// TestEveryHelpHasExamplesAndExitCodes holds each command's help to what a
// reader needs.
func TestEveryHelpHasExamplesAndExitCodes(t *testing.T) {
	var walk func(*cobra.Command)
	walk = func(c *cobra.Command) {
		if c.Example == "" {
			t.Errorf("%s has no example", c.CommandPath())
		}
		if !strings.Contains(c.Long, "Exit codes:") {
			t.Errorf("%s does not name its exit codes", c.CommandPath())
		}
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk((&app{}).root())
}

// TestHelpExamplesRun runs every example in every help; none may be misused.
func TestHelpExamplesRun(t *testing.T) {
	examples, err := filepath.Abs("../../docs/examples")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	t.Chdir(dir)
	t.Setenv("XDG_CACHE_HOME", dir)
	t.Setenv("XDG_DATA_HOME", dir)
	for name, data := range map[string]string{"trial.toml": string(demoSheet), "burns.csv": "id,entry\n"} {
		if err := os.WriteFile(name, []byte(data), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"weekend.toml", "film.toml", "repeated.toml"} {
		data, err := os.ReadFile(filepath.Join(examples, name))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	certificate(t)
	for _, line := range []string{"fairburn take trial.toml", "fairburn take trial.toml --bench club.db", "fairburn take weekend.toml", "fairburn records from-rowan.txt",
		"fairburn publish trial.toml first", "fairburn publish trial.toml from-fern", "fairburn publish trial.toml from-fern.zip"} {
		runExample(t, line) // the bench and the file that examples name
	}
	tried := map[string]bool{} // root repeats examples of its commands
	var walk func(*cobra.Command)
	walk = func(c *cobra.Command) {
		for line := range strings.Lines(c.Example) {
			if line = strings.TrimSpace(line); !tried[line] {
				tried[line] = true
				t.Run(line, func(t *testing.T) {
					t.Parallel()
					runExample(t, line)
				})
			}
		}
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk((&app{}).root())
}

// certificate makes the two files of TLS that examples name.
func certificate(t *testing.T) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	of := &x509.Certificate{SerialNumber: big.NewInt(1), DNSNames: []string{"bench.local"}, NotAfter: time.Now().Add(time.Hour)}
	cert, err := x509.CreateCertificate(rand.Reader, of, of, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	for name, block := range map[string]*pem.Block{"phones.crt": {Type: "CERTIFICATE", Bytes: cert}, "phones.pem": {Type: "PRIVATE KEY", Bytes: secret}} {
		if err := os.WriteFile(name, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// runExample runs one line of a help or a document. What serves until it is
// stopped is stopped once it serves.
func runExample(t *testing.T, line string) {
	t.Helper()
	line, _, _ = strings.Cut(line, "&&")
	args := words(line)
	if len(args) == 0 || args[0] != "fairburn" {
		t.Errorf("example %q does not start with fairburn", line)
		return
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	var err strings.Builder
	out := &heard{until: "open:", then: func() {}}
	if args[1] == "open" || args[1] == "demo" && !slices.Contains(args, "--once") {
		out.then = cancel // it serves until then
		args = append(args, "--addr", "127.0.0.1:0")
	}
	if code := run(ctx, args[1:], streams{strings.NewReader(""), out, &err}); code != done && code != doubtful {
		t.Errorf("%s: exit code %d: %s", line, code, err.String())
	}
}

// heard does something once a word has been written.
type heard struct {
	until string
	then  func()
}

func (h *heard) Write(p []byte) (int, error) {
	if bytes.Contains(p, []byte(h.until)) {
		h.then()
	}
	return len(p), nil
}

// words splits a line as a shell does where only double quotes occur.
func words(line string) []string {
	var out []string
	for _, w := range regexp.MustCompile(`"[^"]*"|\S+`).FindAllString(line, -1) {
		out = append(out, strings.Trim(w, `"`))
	}
	return out
}
