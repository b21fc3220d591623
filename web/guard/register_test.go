package guard

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// opened is a register in a file, on the bench's clock.
func opened(b *bench, path string) *Devices {
	b.Helper()
	d, err := OpenDevices(path, b.clock, &counter{})
	if err != nil {
		b.Fatal(err)
	}
	return d
}

func TestDevicesSurviveARestart(t *testing.T) {
	b := newBench(t)
	path := filepath.Join(t.TempDir(), "devices.json")
	d := opened(b, path)
	key := newKey(t, d)
	token, first, err := d.Pair(key, "phone at station 2")
	if err != nil {
		t.Fatal(err)
	}
	unused := newKey(t, d)

	again := opened(b, path)
	got, _, ok := again.byToken(token)
	if !ok || got != first {
		t.Errorf("%+v, wanted %+v", got, first)
	}
	if _, _, err := again.Pair(unused, "x"); err != ErrKey {
		t.Errorf("a key outlived the restart: %v", err)
	}
	if err := again.Revoke(first.ID); err != nil {
		t.Fatal(err)
	}
	if _, _, ok := opened(b, path).byToken(token); ok {
		t.Error("a revoked device came back with the restart")
	}
}

func TestTheFileHoldsNoSecret(t *testing.T) {
	b := newBench(t)
	path := filepath.Join(t.TempDir(), "devices.json")
	d := opened(b, path)
	key := newKey(t, d)
	token, _, err := d.Pair(key, "phone")
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(data), token) || strings.Contains(string(data), key) || !strings.Contains(string(data), `"version": 1`) {
		t.Errorf("%s", data)
	}
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if runtime.GOOS != "windows" && info.Mode() != 0o600 {
		t.Errorf("mode %o, wanted 600", info.Mode())
	}
	if left, _ := filepath.Glob(path + ".*"); len(left) != 0 {
		t.Errorf("left beside it: %v", left)
	}
}

func TestLastSeenIsWrittenHourly(t *testing.T) {
	b := newBench(t)
	path := filepath.Join(t.TempDir(), "devices.json")
	d := opened(b, path)
	token, _, err := d.Pair(newKey(t, d), "phone")
	if err != nil {
		t.Fatal(err)
	}
	start := b.now
	for _, row := range []struct{ after, inFile time.Duration }{
		{seenEvery - 1, 0}, {seenEvery, seenEvery}, {seenEvery + time.Minute, seenEvery}, {2 * seenEvery, 2 * seenEvery},
	} {
		b.now = start.Add(row.after)
		if got, _, _ := d.byToken(token); !got.Seen.Equal(b.now) {
			t.Errorf("seen %s, wanted %s", got.Seen, b.now)
		}
		if got := opened(b, path).List()[0].Seen; !got.Equal(start.Add(row.inFile)) {
			t.Errorf("after %s the file says %s", row.after, got.Sub(start))
		}
	}
}

func TestDamagedFiles(t *testing.T) {
	const whole = `{"version":1,"devices":[{"name":%q,"token_sha256":%q,"since":"2026-05-01T00:00:00Z","seen":"2026-05-01T00:00:00Z","until":%q}]}`
	sum := strings.Repeat("ab", 32)
	for _, row := range []struct{ name, text, want string }{
		{"whole", fmt.Sprintf(whole, "phone", sum, "2026-05-31T00:00:00Z"), ""},
		{"empty", "", "unexpected end of JSON input"},
		{"cut off", fmt.Sprintf(whole, "phone", sum, "2026-05-31T00:00:00Z")[:80], "unexpected end of JSON input"},
		{"no version", "{}", "version 0 with 0 devices, expected version 1 with at most 50"},
		{"unknown field", `{"version":1,"owner":true,"devices":[]}`, `unknown field "owner"`},
		{"short digest", fmt.Sprintf(whole, "phone", "abcd", "2026-05-31T00:00:00Z"), `device 1: token_sha256 "abcd": expected 64 hexadecimal digits`},
		{"name of two lines", fmt.Sprintf(whole, "a\nb", sum, "2026-05-31T00:00:00Z"), `device 1: name "a\nb": expected one line of 1 to 60 characters`},
		{"lives too long", fmt.Sprintf(whole, "phone", sum, "2026-05-31T00:00:01Z"), "expected at most 720h0m0s"},
		{"ends before it began", fmt.Sprintf(whole, "phone", sum, "2026-04-30T00:00:00Z"), "expected at most 720h0m0s"},
		{"60 devices", `{"version":1,"devices":[` + strings.Repeat("{},", 59) + "{}]}", "version 1 with 60 devices, expected version 1 with at most 50"},
	} {
		b := newBench(t)
		path := filepath.Join(t.TempDir(), "devices.json")
		if err := os.WriteFile(path, []byte(row.text), 0o600); err != nil {
			t.Fatal(err)
		}
		d, err := OpenDevices(path, b.clock, &counter{})
		if row.want == "" {
			if err != nil || len(d.List()) != 1 {
				t.Errorf("%s: %v", row.name, err)
			}
			continue
		}
		if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), row.want) ||
			!strings.HasSuffix(err.Error(), "; it was moved to "+path+".damaged; pair the devices anew") {
			t.Errorf("%s: %v, wanted %s", row.name, err, row.want)
			continue
		}
		if kept, err := os.ReadFile(path + ".damaged"); err != nil || string(kept) != row.text {
			t.Errorf("%s: the file was not kept as it was: %q, %v", row.name, kept, err)
		}
		if _, _, err := d.Pair(newKey(t, d), "phone"); err != nil || len(opened(b, path).List()) != 1 {
			t.Errorf("%s: the empty register cannot be used: %v", row.name, err)
		}
	}
}

func TestASecondDamagedFileIsKeptToo(t *testing.T) {
	b := newBench(t)
	path := filepath.Join(t.TempDir(), "devices.json")
	for _, text := range []string{"first", "second", "third"} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := OpenDevices(path, b.clock, &counter{}); !errors.Is(err, ErrDamaged) {
			t.Fatal(err)
		}
	}
	for name, text := range map[string]string{".damaged": "first", ".damaged-2": "second", ".damaged-3": "third"} {
		if kept, err := os.ReadFile(path + name); err != nil || string(kept) != text {
			t.Errorf("%s: %q, %v", name, kept, err)
		}
	}
}

func TestFilesThatAreLeftAlone(t *testing.T) {
	b := newBench(t)
	path := filepath.Join(t.TempDir(), "devices.json")
	newer := `{"version":2,"devices":{"in":"another form"}}`
	if err := os.WriteFile(path, []byte(newer), 0o600); err != nil {
		t.Fatal(err)
	}
	d, err := OpenDevices(path, b.clock, &counter{})
	if d != nil || err == nil || err.Error() != path+": paired devices in version 2: this program reads version 1; use the newer program" {
		t.Errorf("newer version: %v", err)
	}
	if kept, _ := os.ReadFile(path); string(kept) != newer {
		t.Errorf("newer version: the file is now %q", kept)
	}
	if d, err := OpenDevices(t.TempDir(), b.clock, &counter{}); d != nil || err == nil || !strings.HasPrefix(err.Error(), "reading the paired devices: ") {
		t.Errorf("a folder: %v", err)
	}
}

func TestWhatCannotBeWrittenDidNotHappen(t *testing.T) {
	b := newBench(t)
	d := opened(b, filepath.Join(t.TempDir(), "no such folder", "devices.json"))
	key := newKey(t, d)
	if _, _, err := d.Pair(key, "phone"); !errors.Is(err, fs.ErrNotExist) || len(d.List()) != 0 || len(d.keys) != 1 {
		t.Errorf("%v, %d devices, %d keys", err, len(d.List()), len(d.keys))
	}
}
