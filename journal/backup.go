package journal

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// WriteNew makes the file at path appear whole or not at all: write fills a
// file beside it, which is brought to the disk and then gets its name; nobody else
// may read it. A file already there is left alone and the error wraps fs.ErrExist.
func WriteNew(path string, write func(beside string) error) error {
	if err := vacant(path); err != nil {
		return err
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), ".fairburn-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	beside := filepath.Join(dir, filepath.Base(path))
	if err := write(beside); err != nil {
		return err
	}
	if err := errors.Join(os.Chmod(beside, 0o600), syncFile(beside)); err != nil { // nobody else may read it
		return err
	}
	if err := christen(beside, path); err != nil {
		return err
	}
	// The new name must outlive a power cut too. Not every system can sync a
	// folder; there the name is as safe as that system makes it.
	_ = syncFile(filepath.Dir(path))
	return nil
}

func vacant(path string) error {
	_, err := os.Lstat(path)
	if err == nil {
		return fmt.Errorf("%s: %w; choose another name", path, fs.ErrExist)
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// christen gives a file its name by a second link to it, which fails where the
// name was taken meanwhile. Disks without links, such as FAT, can only rename:
// there a file that appears between the look and the renaming is replaced.
func christen(beside, path string) error {
	if os.Link(beside, path) == nil {
		return nil
	}
	if err := vacant(path); err != nil {
		return err
	}
	return os.Rename(beside, path)
}

func syncFile(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// BackupText writes all records of a store to a new exchange file, for stores
// that are not files themselves. It carries neither receipts nor the shun list.
func BackupText(ctx context.Context, store Store, path string) error {
	return WriteNew(path, func(beside string) error {
		f, err := os.OpenFile(beside, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
		if err != nil {
			return err
		}
		_, err = WriteExchange(f, store.Since(ctx, 0, Whole))
		return errors.Join(err, f.Close())
	})
}
