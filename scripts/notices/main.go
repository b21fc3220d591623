// Command notices writes THIRD_PARTY.txt: every module that is in the program,
// with its version and the texts of its licences. Run it from the project's
// root after a dependency changes; a test there fails when it is stale.
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

type module struct {
	Path, Version, Dir string
	Main               bool
}

func main() {
	modules, err := linked()
	if err != nil {
		log.Fatal(err)
	}
	var out bytes.Buffer
	out.WriteString("Third-party modules in the fairburn program, with their licences.\nWritten by: go run ./scripts/notices\n")
	for _, m := range modules {
		fmt.Fprintf(&out, "\n%s\n%s %s\n%s\n", strings.Repeat("=", 72), m.Path, m.Version, strings.Repeat("=", 72))
		if err := licences(&out, m.Dir); err != nil {
			log.Fatalf("%s: %v", m.Path, err)
		}
	}
	if err := os.WriteFile("THIRD_PARTY.txt", out.Bytes(), 0o644); err != nil {
		log.Fatal(err)
	}
}

// linked lists the modules that the program can be built from, by path.
func linked() ([]module, error) {
	text, err := exec.Command("go", "list", "-deps", "-json=Module", "./cmd/fairburn").Output()
	if err != nil {
		return nil, err
	}
	seen := map[string]module{}
	for d := json.NewDecoder(bytes.NewReader(text)); ; {
		var p struct{ Module *module }
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		if p.Module != nil && !p.Module.Main {
			seen[p.Module.Path] = *p.Module
		}
	}
	var ms []module
	for _, m := range seen {
		ms = append(ms, m)
	}
	slices.SortFunc(ms, func(a, b module) int { return strings.Compare(a.Path, b.Path) })
	return ms, nil
}

// licences appends the licence files at the root of a module.
func licences(out *bytes.Buffer, dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	found := false
	for _, e := range entries {
		name := strings.ToUpper(e.Name())
		if e.IsDir() || !strings.HasPrefix(name, "LICEN") && !strings.HasPrefix(name, "COPYING") && !strings.HasPrefix(name, "NOTICE") && !strings.HasPrefix(name, "OFL") {
			continue
		}
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			return err
		}
		fmt.Fprintf(out, "\n-- %s --\n%s\n", e.Name(), bytes.TrimSpace(text))
		found = true
	}
	if !found {
		return errors.New("no licence file")
	}
	return nil
}
