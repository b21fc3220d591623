package journal

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
)

var ctx = context.Background()

func TestCommitterTakesWhatWaitsTogether(t *testing.T) {
	const writers = 300
	release, sizes := make(chan struct{}), []int(nil)
	c := NewCommitter(func(b []Batch) ([][]Outcome, error) {
		<-release
		sizes = append(sizes, len(b))
		all := make([][]Outcome, len(b))
		for i := range b {
			all[i] = make([]Outcome, len(b[i].Records))
		}
		return all, nil
	})
	var wg sync.WaitGroup
	for n := range writers {
		wg.Go(func() {
			got, err := c.Append(ctx, Batch{Records: make([]Stored, n)})
			if err != nil || len(got) != n {
				t.Errorf("writer of %d records got %d outcomes, %v", n, len(got), err)
			}
		})
	}
	close(release)
	wg.Wait()
	c.Close()
	sum := 0
	for _, n := range sizes {
		sum += n
	}
	if sum != writers || slices.Max(sizes) > together || len(sizes) == writers {
		t.Errorf("transactions of %v batches, expected %d in all, some together, none of more than %d", sizes, writers, together)
	}
}

// One batch that cannot be kept must not refuse the others.
func TestCommitterTriesEachAloneAfterAFailure(t *testing.T) {
	poison := errors.New("too large")
	start := make(chan struct{})
	c := NewCommitter(func(b []Batch) ([][]Outcome, error) {
		<-start
		for _, one := range b {
			if one.Receipt.From == "poison" {
				return nil, poison
			}
		}
		return make([][]Outcome, len(b)), nil
	})
	defer c.Close()
	var wg sync.WaitGroup
	for _, from := range []string{"a", "poison", "b", "c"} {
		wg.Go(func() {
			_, err := c.Append(ctx, Batch{Receipt: Receipt{From: from}})
			if (from == "poison") != errors.Is(err, poison) {
				t.Errorf("%s got %v", from, err)
			}
		})
	}
	close(start)
	wg.Wait()
}

func TestCommitterRefusesWhenClosedOrEnded(t *testing.T) {
	hold := make(chan struct{})
	c := NewCommitter(func(b []Batch) ([][]Outcome, error) { <-hold; return make([][]Outcome, len(b)), nil })
	ended, cancel := context.WithCancel(ctx)
	told := make(chan error)
	go func() {
		_, err := c.Append(ended, Batch{})
		told <- err
	}()
	cancel() // before or while it is written
	if err := <-told; !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	close(hold)
	c.Close()
	c.Close()
	if _, err := c.Append(ctx, Batch{}); !errors.Is(err, ErrClosed) {
		t.Errorf("got %v", err)
	}
}

// Whoever left before a batch was handed over leaves nothing behind.
func TestCommitterTakesNothingOfWhoLeft(t *testing.T) {
	written := 0
	c := NewCommitter(func(b []Batch) ([][]Outcome, error) { written++; return make([][]Outcome, len(b)), nil })
	ended, cancel := context.WithCancel(ctx)
	cancel()
	for range 100 { // the writer is free, so chance would let some pass
		if _, err := c.Append(ended, Batch{}); !errors.Is(err, context.Canceled) {
			t.Errorf("got %v", err)
		}
	}
	if c.Close(); written > 0 {
		t.Errorf("%d batches were written", written)
	}
}

func TestHubSendsTheNewestAndCloses(t *testing.T) {
	var h Hub
	watch, cancel := context.WithCancel(ctx)
	slow, other := h.Watch(watch), h.Watch(ctx)
	h.Publish(1)
	h.Publish(2)
	if got := <-slow; got != 2 {
		t.Errorf("got %d, expected the newest, 2", got)
	}
	cancel()
	if _, open := <-slow; open {
		t.Error("the channel is open after its context ended")
	}
	if got := <-other; got != 2 {
		t.Errorf("got %d, expected 2", got)
	}
	h.Close()
	if _, open := <-other; open {
		t.Error("the channel is open after the hub closed")
	}
	if _, open := <-h.Watch(ctx); open {
		t.Error("a closed hub gives an open channel")
	}
}

func TestWriteNewIsAllOrNothing(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "backup")
	write := func(text string, err error) error {
		return WriteNew(path, func(beside string) error {
			return errors.Join(os.WriteFile(beside, []byte(text), 0o600), err)
		})
	}
	full := errors.New("full")
	if err := write("half", full); !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 0 {
		t.Errorf("left behind %v, %v", left, err)
	}
	if err := write("first", nil); err != nil {
		t.Fatal(err)
	}
	if err := write("second", nil); !errors.Is(err, fs.ErrExist) {
		t.Errorf("got %v", err)
	}
	if got, err := os.ReadFile(path); err != nil || string(got) != "first" {
		t.Errorf("holds %q, %v", got, err)
	}
}

// Somebody else takes the name while the file is being written.
func TestWriteNewReplacesNothingThatAppearsMeanwhile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "backup")
	err := WriteNew(path, func(beside string) error {
		return errors.Join(os.WriteFile(beside, []byte("ours"), 0o600), os.WriteFile(path, []byte("theirs"), 0o600))
	})
	if !errors.Is(err, fs.ErrExist) || err.Error() != path+": file already exists; choose another name" {
		t.Errorf("got %v", err)
	}
	if got, err := os.ReadFile(path); err != nil || string(got) != "theirs" {
		t.Errorf("holds %q, %v", got, err)
	}
	if left, err := os.ReadDir(filepath.Dir(path)); err != nil || len(left) != 1 {
		t.Errorf("left behind %v, %v", left, err)
	}
}
