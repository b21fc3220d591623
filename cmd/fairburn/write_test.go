package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A file is written whole or not at all, a link is followed, and what is no
// ordinary file stays what it is.
func TestWriteWhole(t *testing.T) {
	dir := t.TempDir()
	file, link, folder := filepath.Join(dir, "file"), filepath.Join(dir, "link"), filepath.Join(dir, "folder")
	if err := os.Symlink(file, link); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"first", "second"} {
		if err := writeWhole(file, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(file); err != nil || string(got) != text {
			t.Errorf("got %q, %v, expected %q", got, err, text)
		}
	}
	if err := writeWhole(link, []byte("third")); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link became %v, %v", info, err)
	}
	if got, _ := os.ReadFile(file); string(got) != "third" {
		t.Errorf("behind the link: %q", got)
	}
	if err := writeWhole(folder, nil); err == nil || !strings.Contains(err.Error(), "no ordinary file") {
		t.Errorf("a folder: %v", err)
	}
	if err := writeWhole(filepath.Join(dir, "none", "file"), nil); err == nil {
		t.Error("a folder that is not there")
	}
	left, err := filepath.Glob(filepath.Join(dir, ".fairburn-*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}
