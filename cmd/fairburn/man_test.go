package main

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestEveryCommandHasAManPage(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "man")
	if code := run(context.Background(), []string{"man", dir}, streams{out: io.Discard, err: os.Stderr}); code != done {
		t.Fatalf("exit code %d", code)
	}
	for _, c := range (&app{}).root().Commands() {
		page, err := os.ReadFile(filepath.Join(dir, "fairburn-"+c.Name()+".1"))
		if err != nil {
			t.Error(err)
			continue
		}
		text := string(page)
		for _, want := range []string{".TH FAIRBURN 1 ", ".SH NAME\nfairburn\\-" + c.Name() + " \\- ", ".SH SYNOPSIS", "\\-\\-bench", "\nfairburn(1)"} {
			if !strings.Contains(text, want) {
				t.Errorf("the page of %s lacks %q", c.Name(), want)
			}
		}
		for line := range strings.Lines(text) {
			macro := strings.HasPrefix(line, ".TH ") || strings.HasPrefix(line, ".SH ") || line == ".nf\n" || line == ".fi\n"
			if strings.HasPrefix(line, "'") || strings.HasPrefix(line, ".") && !macro {
				t.Errorf("the page of %s would be read as an instruction here: %q", c.Name(), line)
			}
		}
	}
}

func TestTextIsNoInstructionInAManPage(t *testing.T) {
	if got, want := roff(".a\n'b\nc\\n --d"), "\\&.a\n\\&'b\nc\\en \\-\\-d"; got != want {
		t.Errorf("got %q, expected %q", got, want)
	}
}
