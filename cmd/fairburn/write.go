package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// writeJSON writes a value for other programs, indented.
func (a *app) writeJSON(v any) error {
	e := json.NewEncoder(a.out)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// writeWhole writes a file beside its place and then moves it there, so that a
// reader never sees half of one. A link is followed; what is no ordinary file
// (a folder, a device) is left alone.
func writeWhole(name string, data []byte) (err error) {
	defer func() {
		if err != nil {
			err = hinted{fmt.Errorf("cannot write %s: %w", name, err), "choose a folder that exists and can be written to"}
		}
	}()
	to := name
	if end, err := filepath.EvalSymlinks(name); err == nil {
		to = end
	}
	if info, err := os.Stat(to); err == nil && !info.Mode().IsRegular() {
		return errors.New("it is there and no ordinary file")
	}
	f, err := os.CreateTemp(filepath.Dir(to), ".fairburn-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, errWrite := f.Write(data)
	if err := errors.Join(errWrite, f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Chmod(f.Name(), 0o644); err != nil {
		return err
	}
	return os.Rename(f.Name(), to)
}
