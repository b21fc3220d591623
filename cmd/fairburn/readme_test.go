package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestReadmeExamplesRun runs every fairburn command of the README and of the
// sheet's document in the order in which a reader meets them, in one folder
// that holds the demo's sheet as trial.toml.
func TestReadmeExamplesRun(t *testing.T) {
	var lines []string
	for _, name := range []string{"../../README.md", "../../docs/sheet.md", "../../docs/trip.md"} {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile("(?m)`(fairburn [^`]+)`|^    (fairburn .+)$").FindAllStringSubmatch(string(text), -1) {
			lines = append(lines, strings.Join(strings.Fields(m[1]+m[2]), " "))
		}
	}
	if len(lines) < 10 {
		t.Fatalf("found %d examples, expected more: %q", len(lines), lines)
	}
	dir := t.TempDir()
	if err := os.CopyFS(filepath.Join(dir, "docs", "examples"), os.DirFS("../../docs/examples")); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	t.Setenv("XDG_CACHE_HOME", dir)
	t.Setenv("XDG_DATA_HOME", dir)
	for name, data := range map[string]string{"trial.toml": string(demoSheet), "burns.csv": "id,entry\n"} {
		if err := os.WriteFile(name, []byte(data), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	certificate(t)
	for _, line := range lines {
		if complete(line) {
			t.Log(line)
			runExample(t, line)
		}
	}
}

// complete tells a command that can be run from a mention of one, such as
// "fairburn judge SHEET" or "fairburn export" without its arguments.
func complete(line string) bool {
	if regexp.MustCompile(`\b[A-Z]{3,}\b`).MatchString(line) {
		return false
	}
	args := words(line)
	c, rest, err := (&app{}).root().Find(args[1:])
	if err != nil || !c.Runnable() || c.ParseFlags(rest) != nil {
		return false
	}
	return c.ValidateArgs(c.Flags().Args()) == nil && !(c.Name() == "claim" && len(args) == 3)
}

// TestReadmeShowsWhatTheDemoPrints holds the verdict that the README quotes to
// the program.
func TestReadmeShowsWhatTheDemoPrints(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if code := run(context.Background(), []string{"demo", "--once", "--out", t.TempDir()}, streams{nil, &out, &out}); code != done {
		t.Fatalf("demo ended with %d: %s", code, out.String())
	}
	sentence, _, _ := strings.Cut(out.String(), "\nINVENTED")
	for line := range strings.Lines(sentence) {
		if line = strings.TrimSpace(line); !strings.Contains(string(text), line) {
			t.Errorf("the demo prints %q, which the README does not show", line)
		}
	}
}
