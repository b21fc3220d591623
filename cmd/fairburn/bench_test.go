package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The verdict on a trial on the bench is that on its sheet, findings included;
// only the places in the file are gone.
func TestJudgedByTitleAsByFile(t *testing.T) {
	t.Chdir(t.TempDir())
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	if err := os.WriteFile("trial.toml", demoSheet, 0o644); err != nil {
		t.Fatal(err)
	}
	answer := func(args ...string) (all any) {
		var out, err strings.Builder
		if code := run(context.Background(), args, streams{strings.NewReader(""), &out, &err}); code != done && code != doubtful {
			t.Fatal(code, err.String())
		}
		if args[0] == "judge" {
			if err := json.Unmarshal([]byte(out.String()), &all); err != nil {
				t.Fatal(err)
			}
		}
		return placeless(all)
	}
	answer("take", "trial.toml")
	if d := cmp.Diff(answer("judge", "trial.toml", "--json"), answer("judge", "Four burners for an autumn walk", "--json")); d != "" {
		t.Error(d)
	}
}

// placeless takes file, line and column out of findings, and the order that
// they were listed in by these.
func placeless(x any) any {
	switch x := x.(type) {
	case map[string]any:
		for k, v := range x {
			x[k] = placeless(v)
		}
		delete(x, "file")
		delete(x, "line")
		delete(x, "column")
	case []any:
		for i := range x {
			x[i] = placeless(x[i])
		}
		if len(x) > 0 {
			if m, ok := x[0].(map[string]any); ok && m["severity"] != nil {
				slices.SortFunc(x, func(a, b any) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
			}
		}
	}
	return x
}
