package main

import (
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"fairburn/bench"
	"fairburn/finding"
	"fairburn/journal"
	"fairburn/journal/postgres"
	"fairburn/journal/sqlite"
	"fairburn/trial"
)

// openedBench is the bench of this run.
type openedBench struct {
	*bench.Bench
	store journal.Store
	place string // as it may be shown
	home  string // the file beside which key and name lie
}

// devices is the file of the phones that are paired with it, "" for a bench that
// is thrown away.
func (o *openedBench) devices() string {
	if o.home == "" {
		return ""
	}
	return beside(o.home, ".devices")
}

// starting says whether a bench that is not there is to be made.
type starting bool

// openBench opens the bench of the command line, else the tester's own. A
// command that only reads never makes one.
func (a *app) openBench(ctx context.Context, start starting, name string) (*openedBench, error) {
	place, err := a.benchPlace()
	if err != nil {
		return nil, err
	}
	o := &openedBench{place: place, home: place}
	if isServer(place) {
		err = o.onServer(ctx, place)
	} else {
		err = o.inFile(place, start)
	}
	if err != nil {
		return nil, err
	}
	tester, err := a.tester(o.home, name)
	if err == nil {
		o.Bench, err = bench.Open(ctx, o.store, tester)
	}
	if err != nil {
		return nil, errors.Join(err, o.store.Close())
	}
	return o, nil
}

func (o *openedBench) inFile(place string, start starting) (err error) {
	if _, err := os.Stat(place); !bool(start) && errors.Is(err, fs.ErrNotExist) {
		return hinted{fmt.Errorf("there is no bench at %s", place), "fairburn take SHEET starts one; --bench names another"}
	}
	if err := os.MkdirAll(filepath.Dir(place), 0o700); err != nil {
		return hinted{fmt.Errorf("cannot make the folder of the bench: %w", err), "name another with --bench"}
	}
	o.store, err = sqlite.Open(place)
	return err
}

// onServer opens a club's bench. The key stays the tester's own, on this machine.
func (o *openedBench) onServer(ctx context.Context, address string) (err error) {
	o.place = withoutPassword(address)
	if o.home, err = ownBench(); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(o.home), 0o700); err != nil {
		return hinted{fmt.Errorf("cannot make the folder of the key: %w", err), "set XDG_DATA_HOME to a folder that can be written to"}
	}
	o.store, err = postgres.Open(ctx, address)
	return err
}

// withoutPassword is an address as it may be shown. The driver takes passwords
// among the settings too.
func withoutPassword(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return "the server" // the store refuses it in words
	}
	settings := u.Query()
	for _, secret := range []string{"password", "sslpassword"} {
		if settings.Has(secret) {
			settings.Set(secret, "xxxxx")
			u.RawQuery = settings.Encode()
		}
	}
	return u.Redacted()
}

// withBench opens the bench for one piece of work and closes it.
func (a *app) withBench(ctx context.Context, start starting, work func(*openedBench) error) error {
	b, err := a.openBench(ctx, start, "")
	if err != nil {
		return err
	}
	return errors.Join(work(b), b.store.Close())
}

func isServer(place string) bool {
	return strings.HasPrefix(place, "postgres://") || strings.HasPrefix(place, "postgresql://")
}

func (a *app) benchPlace() (string, error) {
	switch {
	case a.bench == "":
		return ownBench()
	case isServer(a.bench):
		return a.bench, nil
	}
	return filepath.Abs(a.bench)
}

// ownBench is the bench in the user's data folder: of XDG_DATA_HOME where that
// is set, else where the system keeps such files.
func ownBench() (string, error) {
	dir := os.Getenv("XDG_DATA_HOME")
	var err error
	switch {
	case filepath.IsAbs(dir):
	case runtime.GOOS == "windows" || runtime.GOOS == "darwin" || runtime.GOOS == "ios":
		dir, err = os.UserConfigDir() // there, data lie in the same folder
	default:
		dir, err = os.UserHomeDir()
		dir = filepath.Join(dir, ".local", "share")
	}
	if err != nil {
		return "", hinted{fmt.Errorf("no folder for the bench: %w", err), "name a file with --bench"}
	}
	return filepath.Join(dir, "fairburn", "bench.db"), nil
}

// beside is the file that belongs to a bench: club.key to club.db.
func beside(home, ext string) string { return strings.TrimSuffix(home, filepath.Ext(home)) + ext }

// tester is who writes: the key beside the bench, made at first use, and the
// name given now or the last time.
func (a *app) tester(home, name string) (bench.Tester, error) {
	key, err := a.key(beside(home, ".key"))
	if err != nil {
		return bench.Tester{}, err
	}
	if name == "" {
		text, err := os.ReadFile(beside(home, ".name"))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return bench.Tester{}, fmt.Errorf("cannot read the tester's name: %w", err)
		}
		name = cmp.Or(strings.TrimSpace(string(text)), "tester")
	}
	return bench.Tester{Key: key, Name: name, Now: time.Now, Random: rand.Reader}, nil
}

// key reads the key, and draws one where there is none.
func (a *app) key(path string) (journal.Key, error) {
	var key journal.Key
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return a.newKey(path)
	}
	if err == nil {
		err = key.UnmarshalText(text)
	}
	if err != nil {
		return key, hinted{fmt.Errorf("cannot use the key %s: %w", path, err), "bring it back from a copy; without it, move it away and a new one is made, which signs as somebody else"}
	}
	return key, nil
}

func (a *app) newKey(path string) (journal.Key, error) {
	key, err := journal.NewKey(rand.Reader)
	if err != nil {
		return key, err
	}
	text, err := key.MarshalText()
	if err != nil {
		return key, err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return a.key(path) // another run was quicker
	}
	if err == nil {
		_, err = f.Write(text)
		err = errors.Join(err, f.Sync(), f.Close())
	}
	if err != nil {
		return key, hinted{fmt.Errorf("cannot keep the key: %w", err), "choose a folder that can be written to with --bench"}
	}
	fmt.Fprintf(a.err, "fairburn: note: your key is %s; keep a copy of it, and whoever has it can write in your name\n", path)
	return key, nil
}

// isTitle reports a name that is no file, so that it may be a title on the bench.
func (a *app) isTitle(name string) bool {
	_, err := os.Stat(name)
	if name == "-" || !errors.Is(err, fs.ErrNotExist) {
		return false
	}
	place, err := a.benchPlace()
	if err != nil || isServer(place) {
		return err == nil
	}
	_, err = os.Stat(place)
	return err == nil || a.bench != ""
}

// onBench puts a trial on the bench together.
func (a *app) onBench(ctx context.Context, title string) (t *trial.Trial, fs []finding.Finding, err error) {
	err = a.withBench(ctx, false, func(b *openedBench) error {
		t, fs, err = b.Trial(title)
		if errors.Is(err, bench.ErrUnknown) {
			return hinted{fmt.Errorf("%q is neither a file nor the title of a trial on the bench %s", title, b.place), "give the path of a .toml sheet, or a title that fairburn trials lists"}
		}
		return err
	})
	return t, fs, err
}
