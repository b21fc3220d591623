package dataset

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/reduce"
	"fairburn/trial"
)

// TestEveryCodeIsExplained compares the vocabularies with the rooms that own them.
func TestEveryCodeIsExplained(t *testing.T) {
	for _, c := range []struct {
		of   *vocabulary
		want []string
	}{
		{markCodes, names(burn.Marks())},
		{faultCodes, append(names(burn.FaultKinds()), names(burn.Failures())...)},
		{boilKinds, names(burn.BoilKinds())},
		{judges, names(trial.JudgeBys())},
		{findingCodes, codesOf(t, "burn", "gear", "matter/air", "matter/fuel", "matter/water", "matter/material", "reduce", "trial", "verdict")},
	} {
		var got []string
		for _, x := range c.of.codes {
			got = append(got, x.code)
			if x.meaning == "" {
				t.Errorf("%s %s has no meaning", c.of.name, x.code)
			}
		}
		slices.Sort(got)
		slices.Sort(c.want)
		if !slices.Equal(got, slices.Compact(c.want)) {
			t.Errorf("%s:\n got %q\nwant %q", c.of.name, got, c.want)
		}
	}
	for _, f := range families.codes {
		if _, err := gear.ParseFamily(f.code); err != nil {
			t.Error(err)
		}
	}
	for _, m := range reduce.Metrics() {
		if m.Info().Name == "" || unitOf(m) == "1" && m.Info().Kind != reduce.Share && m.Info().Kind != reduce.Number {
			t.Errorf("%s has no unit", m.Info().Key)
		}
	}
}

func names[T ~string](all []T) []string {
	var words []string
	for _, x := range all {
		words = append(words, string(x))
	}
	return words
}

// codesOf finds the codes of findings in the source of rooms: the first text
// given to a function named say or beside the key Code.
func codesOf(t *testing.T, rooms ...string) []string {
	word := regexp.MustCompile(`^"[a-z]+(_[a-z0-9.]+)*"$`)
	var found []string
	add := func(e ast.Expr) {
		if l, ok := e.(*ast.BasicLit); ok && word.MatchString(l.Value) {
			found = append(found, strings.Trim(l.Value, `"`))
		}
	}
	for _, room := range rooms {
		files, err := filepath.Glob(filepath.Join("..", "..", filepath.FromSlash(room), "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %v", room, err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(f, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.KeyValueExpr:
					if key, ok := n.Key.(*ast.Ident); ok && key.Name == "Code" {
						add(n.Value)
					}
				case *ast.CallExpr:
					if len(n.Args) > 1 && named(n.Fun) == "say" {
						add(n.Args[0])
					}
				}
				return true
			})
		}
	}
	return found
}

func named(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.SelectorExpr:
		return e.Sel.Name
	}
	return ""
}
