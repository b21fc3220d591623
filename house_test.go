// Package fairburn_test holds the rules of the house as tests.
package fairburn_test

import (
	"bufio"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

const module = "fairburn"

// order reads the one list of packages in ARCHITECTURE.md.
func order(t *testing.T) map[string]int {
	t.Helper()
	f, err := os.Open("ARCHITECTURE.md")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	at := map[string]int{}
	in, fenced := false, false
	for s := bufio.NewScanner(f); s.Scan(); {
		line := s.Text()
		switch {
		case line == "## The list":
			in = true
		case in && line == "```" && fenced:
			return at
		case in && line == "```":
			fenced = true
		case in && fenced:
			at[line] = len(at) + 1
		}
	}
	t.Fatal("ARCHITECTURE.md has no list of packages under \"## The list\"")
	return nil
}

// imports returns the imports of the Go files of each folder, test files too.
func imports(t *testing.T) map[string]map[string][]string {
	t.Helper()
	all := map[string]map[string][]string{}
	err := filepath.WalkDir(".", func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && p != "." && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata" || d.Name() == "scripts") {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(p, ".go") {
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), p, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		dir := path.Dir(filepath.ToSlash(p))
		if all[dir] == nil {
			all[dir] = map[string][]string{}
		}
		for _, im := range f.Imports {
			name, err := strconv.Unquote(im.Path.Value)
			if err != nil {
				return err
			}
			all[dir][name] = append(all[dir][name], p)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestPackagesImportOnlyUpwards(t *testing.T) {
	at := order(t)
	for dir, ims := range imports(t) {
		if dir == "." {
			continue
		}
		if at[dir] == 0 {
			t.Errorf("package %s is not in the list of ARCHITECTURE.md", dir)
			continue
		}
		for im, files := range ims {
			other, inside := strings.CutPrefix(im, module+"/")
			if inside && at[other] >= at[dir] && !(other == dir && onlyTests(files)) {
				t.Errorf("%s imports %s, which does not stand above it (in %v)", dir, other, files)
			}
		}
	}
}

func TestPureRoomsTouchNoMachine(t *testing.T) {
	at := order(t)
	machine := []string{"os", "net/http", "database/sql"}
	for dir, ims := range imports(t) {
		if at[dir] == 0 || at[dir] >= at["journal"] {
			continue
		}
		for _, m := range machine {
			if files := ims[m]; len(files) > 0 && !onlyTests(files) {
				t.Errorf("%s imports %s (in %v)", dir, m, files)
			}
		}
	}
}

func TestToolsOfTheTradeStayOutOfGeneralRooms(t *testing.T) {
	trade := []string{"matter/", "gear", "burn", "reduce", "trial", "plan", "station", "verdict", "repeat", "film", "sheet", "report"}
	all := imports(t)
	for _, dir := range []string{"stats", "draw", "chart", "journal", "journal/journaltest", "journal/sqlite", "journal/postgres"} {
		for im := range all[dir] {
			for _, tr := range trade {
				if strings.HasPrefix(im, module+"/"+tr) {
					t.Errorf("%s imports %s", dir, im)
				}
			}
		}
	}
}

func TestEveryListedPackageExists(t *testing.T) {
	all := imports(t)
	for dir := range order(t) {
		if all[dir] == nil {
			t.Errorf("ARCHITECTURE.md lists %s, which has no Go file", dir)
		}
	}
}

func onlyTests(files []string) bool {
	for _, f := range files {
		if !strings.HasSuffix(f, "_test.go") {
			return false
		}
	}
	return true
}

// TestProgramLinksNoTestModules holds modules that only tests need out of the
// program, and the third-party notice to what is linked.
func TestProgramLinksNoTestModules(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{.Path}} {{.Version}}{{end}}", "./cmd/fairburn").Output()
	if err != nil {
		t.Fatal(err)
	}
	notice, err := os.ReadFile("THIRD_PARTY.txt")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(out)) {
		line = strings.TrimSpace(line)
		for _, tests := range []string{"pgregory.net/rapid", "github.com/google/go-cmp", "github.com/chromedp", "github.com/rogpeppe/go-internal", "github.com/xuri", "github.com/piglig", "github.com/parquet-go"} {
			if strings.HasPrefix(line, tests) {
				t.Errorf("the program links %s, which only tests may use", line)
			}
		}
		if line != "" && line != module && !strings.Contains(string(notice), "\n"+line+"\n") {
			t.Errorf("THIRD_PARTY.txt does not list %s: run go run ./scripts/notices", line)
		}
	}
}
