package main

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"

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
	dir := t.TempDir()
	t.Chdir(dir)
	t.Setenv("XDG_CACHE_HOME", dir)
	t.Setenv("XDG_DATA_HOME", dir)
	for name, data := range map[string]string{"trial.toml": string(demoSheet), "burns.csv": "id,entry\n"} {
		if err := os.WriteFile(name, []byte(data), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, line := range []string{"fairburn take trial.toml", "fairburn take trial.toml --bench club.db", "fairburn records from-rowan.txt"} {
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

// runExample runs one line of a help or a document. The demo that serves until
// it is stopped is given a context that has ended.
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
	if args[len(args)-1] == "demo" {
		cancel()
		args = append(args, "--addr", "127.0.0.1:0")
	}
	var out, err strings.Builder
	if code := run(ctx, args[1:], streams{strings.NewReader(""), &out, &err}); code != done && code != doubtful {
		t.Errorf("%s: exit code %d: %s", line, code, err.String())
	}
}

// words splits a line as a shell does where only double quotes occur.
func words(line string) []string {
	var out []string
	for _, w := range regexp.MustCompile(`"[^"]*"|\S+`).FindAllString(line, -1) {
		out = append(out, strings.Trim(w, `"`))
	}
	return out
}
