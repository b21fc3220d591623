package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"fairburn/bench"
)

// A clip is synced by the flash that the bench keeps of a burn, 3 s after its light
// here; a sheet alone does not have it.
func TestFilmSyncedByTheBenchsFlash(t *testing.T) {
	t.Chdir(t.TempDir())
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	film := "fairburn = 1\ntitle = \"Flash\"\n[[clip]]\nname = \"A\"\nlength = \"11:00\"\nsync = [{ at = \"0:20\", burn = \"2\", mark = \"flash\" }]\n"
	err := errors.Join(os.WriteFile("trial.toml", demoSheet, 0o644), os.WriteFile("film.toml", []byte(film), 0o644))
	if err != nil {
		t.Fatal(err)
	}
	var out, said strings.Builder
	answer := func(args ...string) int {
		out.Reset()
		said.Reset()
		return run(t.Context(), args, streams{strings.NewReader(""), &out, &said})
	}
	if code := answer("take", "trial.toml"); code != done {
		t.Fatal(code, said.String())
	}
	const title = "Four burners for an autumn walk"
	light := time.Now().Add(-time.Hour)
	a := &app{streams: streams{strings.NewReader(""), &out, &said}}
	err = a.withBench(context.Background(), false, func(b *openedBench) error {
		var presses []bench.Press
		for i, p := range []struct {
			what  string
			after time.Duration
		}{{"light", 0}, {bench.Sync, 3 * time.Second}, {bench.Sync, 9 * time.Second}} {
			presses = append(presses, bench.Press{Nonce: fmt.Sprintf("%032x", i+1), Title: title, Burn: "2", What: p.what, At: light.Add(p.after), Pressed: light.Add(p.after), Device: "phone"})
		}
		return b.Press(context.Background(), presses)
	})
	if err != nil {
		t.Fatal(err)
	}
	if code := answer("film", "film.toml", "--sheet", title, "--json"); code != done {
		t.Fatal(code, said.String(), out.String())
	}
	var m making
	if err := json.Unmarshal([]byte(out.String()), &m); err != nil {
		t.Fatal(err)
	}
	if first := m.Marks[0]; first.Mark != "light" || first.ClipTime != 17 || *first.Film != 17 {
		t.Errorf("%+v", first)
	}
	if code := answer("film", "film.toml", "--sheet", "trial.toml"); code != doubtful || !strings.Contains(out.String(), "its flash is not known: a bench keeps it, a sheet does not") {
		t.Error(code, out.String())
	}
}
