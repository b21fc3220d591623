//go:build unix

package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fairburn/journal/postgres/postgrestest"
)

// secret is the password in addresses of servers; nobody may ever read it.
const secret = "geheim-42"

// autumn is the title of the demo trial.
const autumn = "Four burners for an autumn walk"

// teller runs commands on one bench, in a folder of its own, and keeps all that
// was said.
type teller struct {
	testing.TB
	dir   string
	bench []string // the flag that names the bench, none for the tester's own
	place string   // of the bench, as it is shown
	name  string   // of the bench in errors of its store
	said  bytes.Buffer
}

func newTeller(t *testing.T) *teller {
	t.Helper()
	x := &teller{TB: t, dir: t.TempDir()}
	t.Chdir(x.dir)
	t.Setenv("XDG_DATA_HOME", x.dir+"/data")
	x.place = x.dir + "/data/fairburn/bench.db"
	x.name = x.place
	x.write("trial.toml", string(demoSheet))
	return x
}

func (x *teller) write(name, text string) {
	x.Helper()
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		x.Fatal(err)
	}
}

// edited is a sheet on the disk with something else in a place.
func (x *teller) edited(from, to, old, new string) {
	x.Helper()
	text, err := os.ReadFile(from)
	if err != nil || !bytes.Contains(text, []byte(old)) {
		x.Fatalf("%s does not hold %q: %v", from, old, err)
	}
	x.write(to, strings.Replace(string(text), old, new, 1))
}

// does runs a command, which ends with a code, on the teller's bench unless it
// names another, and returns what it wrote for people or programs.
func (x *teller) does(code int, args ...string) string {
	x.Helper()
	if !slices.Contains(args, "--bench") {
		args = slices.Concat(args, x.bench)
	}
	var out, err bytes.Buffer
	got := run(context.Background(), args, streams{strings.NewReader(""), &out, &err})
	if got != code {
		x.Errorf("%q: exit code %d, expected %d: %s", args, got, code, err.String())
	}
	fmt.Fprintf(&x.said, "$ %s\n%s%s", args[0], out.String(), err.String())
	return out.String()
}

var (
	ids     = regexp.MustCompile(`\b[0-9a-f]{64}\b`)
	moments = regexp.MustCompile(`\d{4}-\d\d-\d\d[ T]\d\d:\d\d(:\d\d(\.\d+)?)?Z?`)
	records = regexp.MustCompile(`record [0-9a-f]+`)
)

// account is all that was said, without what differs from one run to the next.
func (x *teller) account() []string {
	text := strings.NewReplacer(x.place, "BENCH", x.name, "BENCH", x.dir, "DIR").Replace(x.said.String())
	text = records.ReplaceAllString(ids.ReplaceAllString(text, "ID"), "record ID")
	return strings.Split(moments.ReplaceAllString(text, "TIME"), "\n")
}

// story uses every command of a bench.
func (x *teller) story() {
	x.Helper()
	x.does(done, "take", "trial.toml", "--name", "Fern")
	x.does(done, "take", "trial.toml")
	x.does(done, "trials")
	x.does(done, "judge", autumn)
	x.does(done, "reduce", autumn)
	x.does(done, "reduce", autumn, "--burn", "22")
	x.does(doubtful, "plan", autumn, "--blocks", "2")
	x.does(failed, "judge", "a trial of nobody")

	x.edited("trial.toml", "mended.toml", `boil = "6:33"`, `boil = "6:36"`)
	x.does(done, "take", "mended.toml")
	x.does(done, "history", autumn)
	corrected := ids.FindString(x.does(done, "history", autumn, "7", "--json"))
	x.edited("mended.toml", "heavier.toml", `mass = "118 g"`, `mass = "121 g"`)
	x.does(failed, "take", "heavier.toml")
	x.does(done, "take", "heavier.toml", "--replace")
	x.does(done, "verify")

	x.does(done, "records", "fern.txt")
	x.does(done, "merge", "fern.txt", "--bench", "rowan.db")
	x.edited("heavier.toml", "rowan.toml", `boil = "6:36"`, `boil = "6:39"`)
	x.does(done, "take", "rowan.toml", "--name", "Rowan", "--bench", "rowan.db", "--replace")
	x.does(done, "records", "rowan.txt", "--bench", "rowan.db")
	x.does(done, "merge", "rowan.txt")
	x.does(done, "merge", "rowan.txt")

	x.does(done, "shun", corrected, "--why", "a stranger's data")
	x.does(done, "shun", corrected, "--why", "a stranger's data")
	x.does(done, "merge", "fern.txt")
	x.does(done, "history", autumn)
	x.does(done, "export", autumn)
	x.does(done, "trials", "--json")
	x.does(done, "verify", "--json")
	x.does(done, "backup", "backup")
	x.does(failed, "backup", "backup")
}

// opened serves the bench, keeps what its pages say and stops.
func (x *teller) opened(paths ...string) {
	x.Helper()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	r, w := io.Pipe()
	var err bytes.Buffer
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, slices.Concat([]string{"open", "--addr", "127.0.0.1:0"}, x.bench), streams{strings.NewReader(""), w, &err})
		w.Close()
	}()
	said := bufio.NewScanner(r)
	for said.Scan() {
		fmt.Fprintln(&x.said, said.Text())
		if _, rest, found := strings.Cut(said.Text(), "http://"); found {
			address, _, _ := strings.Cut(rest, "/")
			for _, path := range paths {
				x.page("http://" + address + path)
			}
			stop()
		}
	}
	if code := <-ended; code != done {
		x.Errorf("open: exit code %d: %s", code, err.String())
	}
	x.said.Write(err.Bytes())
}

func (x *teller) page(address string) {
	x.Helper()
	answer, err := http.Get(address)
	if err != nil {
		x.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		x.Errorf("%s: %s %v", address, answer.Status, err)
	}
	x.said.Write(body)
}

// One story told on both kinds of bench: every command must say the same. Pages
// and errors must not show the password in the server's address.
func TestPostgreSQLDoesAllThatSQLiteDoes(t *testing.T) {
	server := postgrestest.For(t)
	var inFile, onServer []string
	t.Run("SQLite", func(t *testing.T) {
		x := newTeller(t)
		x.story()
		inFile = x.account()
		if said := x.does(done, "merge", "fern.txt", "--bench", "backup"); !strings.Contains(said, "1 shunned") {
			t.Errorf("a backup of a file has its shun list: expected 1 shunned, got %s", said)
		}
	})
	t.Run("PostgreSQL", func(t *testing.T) {
		x := newTeller(t)
		u, err := url.Parse(server.Database(t))
		if err != nil {
			t.Fatal(err)
		}
		x.name = strings.Trim(u.Path, "/") + " on " + u.Query().Get("host")
		u.RawQuery = url.Values{"host": u.Query()["host"]}.Encode()
		u.User = url.UserPassword("postgres", secret)
		x.place, x.bench = u.Redacted(), []string{"--bench", u.String()}
		x.story()
		onServer = x.account()
		x.restored()
		x.opened("/", "/shelf", "/journal", "/devices", "/trial/"+url.PathEscape(autumn), "/trial/"+url.PathEscape(autumn)+"/verdict")
		if !strings.Contains(x.said.String(), autumn) || strings.Contains(x.said.String(), secret) {
			t.Error("the password was shown, or nothing was")
		}
	})
	t.Run("passwords", func(t *testing.T) {
		u, err := url.Parse(server.Database(t))
		if err != nil {
			t.Fatal(err)
		}
		passwordsAreNotShown(t, u)
	})
	if d := cmp.Diff(inFile, onServer); d != "" {
		t.Errorf("SQLite (-) and PostgreSQL (+):\n%s", d)
	}
}

// restored merges the backup of a server into a new bench file: the same trials
// must be on it. It has no shun list, so what was shunned can come back.
func (x *teller) restored() {
	x.Helper()
	x.does(done, "merge", "backup", "--bench", "restored.db")
	for _, args := range [][]string{{"export", autumn}, {"history", autumn}, {"trials", "--json"}} {
		here, there := x.does(done, args...), x.does(done, append(args, "--bench", "restored.db")...)
		there = strings.ReplaceAll(there, x.dir+"/restored.db", x.place)
		if d := cmp.Diff(here, there); d != "" {
			x.Errorf("%v on the server (-) and from its backup (+):\n%s", args, d)
		}
	}
	if said := x.does(done, "merge", "fern.txt", "--bench", "restored.db"); !strings.Contains(said, "1 records new") {
		x.Errorf("what was shunned on the server: expected 1 records new, got %s", said)
	}
}

// passwordsAreNotShown tries addresses with something wrong about each.
func passwordsAreNotShown(t *testing.T, here *url.URL) {
	socket := here.Query().Get("host")
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	for name, address := range map[string]string{
		"no such database": "postgres://postgres:" + secret + "@/nobody?host=" + socket,
		"no such role":     "postgres://nobody:" + secret + "@/postgres?host=" + socket,
		"no such folder":   "postgres://postgres:" + secret + "@/x?host=/nowhere",
		"no such port":     "postgres://postgres:" + secret + "@localhost:99999/x",
		"no server":        "postgres://postgres:" + secret + "@localhost:1/x",
		"no address":       "postgres://postgres:" + secret + "@[bad",
		"a bad escape":     "postgres://postgres:" + secret + "%zz@/x",
		"a setting":        "postgres:///nobody?user=postgres&password=" + secret + "&host=" + socket,
		"a good setting":   here.String() + "&password=" + secret,
	} {
		for _, args := range [][]string{{"trials"}, {"judge", "a trial of nobody"}, {"open", "--addr", "127.0.0.1:99999"}} {
			var said strings.Builder
			run(t.Context(), append(args, "--bench", address), streams{strings.NewReader(""), &said, &said})
			if said.Len() == 0 || strings.Contains(said.String(), secret) {
				t.Errorf("%s: %v says %q", name, args, said.String())
			}
		}
	}
}
