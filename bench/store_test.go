package bench

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"fairburn/journal"
	"fairburn/journal/journaltest"
)

// stalled is a store that does not answer readers while it is stuck.
type stalled struct {
	journal.Store
	mu    sync.Mutex
	stuck chan struct{} // closed when it answers again; nil where it does
	asked chan string   // told of each reader that waits
	fails error         // what a stuck one comes to in the end
}

func (s *stalled) stick() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.stuck, s.asked = make(chan struct{}), make(chan string, 100)
}

func (s *stalled) release(err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.fails = err
	close(s.stuck)
	s.stuck = nil
}

func (s *stalled) wait(ctx context.Context, what string) error {
	s.mu.Lock()
	stuck, asked := s.stuck, s.asked
	s.mu.Unlock()
	if stuck == nil {
		return nil
	}
	asked <- what
	select {
	case <-stuck:
		s.mu.Lock()
		defer s.mu.Unlock()
		return s.fails
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (s *stalled) Since(ctx context.Context, after int64, largest int) iter.Seq2[journal.Entry, error] {
	return func(yield func(journal.Entry, error) bool) {
		if err := s.wait(ctx, "since"); err != nil {
			yield(journal.Entry{}, err)
			return
		}
		s.Store.Since(ctx, after, largest)(yield)
	}
}

func (s *stalled) Get(ctx context.Context, id journal.ID) (journal.Entry, error) {
	if err := s.wait(ctx, "get"); err != nil {
		return journal.Entry{}, err
	}
	return s.Store.Get(ctx, id)
}

// onStalled is a bench on such a store, with two rivals and a photo.
func onStalled(t *testing.T) (*Bench, *stalled, journal.ID) {
	t.Helper()
	store := &stalled{Store: journaltest.NewMemory()}
	b := open(t, store, tester(1, "Fern"))
	take(t, b, bare, Refuse)
	pressAll(t, b, at(1, "light", 0), at(2, "boil", 390), at(3, "boil", 393))
	p, err := b.AddPhoto(context.Background(), Shot{Kind: "burn", Subject: "Ring/1", JPEG: jpeg(2 * largestKept)})
	if err != nil {
		t.Fatal(err)
	}
	return b, store, p.ID
}

// TestAStalledStoreHoldsUpNoPage asks all that pages show while each of the methods
// that ask the store waits for it. Where one held the lock this would never end.
func TestAStalledStoreHoldsUpNoPage(t *testing.T) {
	away := errors.New("away")
	for name, call := range map[string]func(*Bench, journal.ID) error{
		"refresh": func(b *Bench, _ journal.ID) error { return b.Refresh(context.Background()) },
		"history": func(b *Bench, _ journal.ID) error {
			_, err := b.History(context.Background(), "burn", "Ring/1")
			return err
		},
		"settle": func(b *Bench, id journal.ID) error { return b.Settle(context.Background(), id) },
		"settle mark": func(b *Bench, _ journal.ID) error {
			return b.SettleMark(context.Background(), "Ring", "1", b.Moments("Ring", "1")[1].ID)
		},
		"undo": func(b *Bench, _ journal.ID) error { return b.Undo(context.Background(), "burn", "Ring/1") },
		"put": func(b *Bench, _ journal.ID) error {
			_, _, err := b.Put(context.Background(), Edit{Kind: "trial", Thing: read(t, bare)})
			return err
		},
		"take": func(b *Bench, _ journal.ID) error {
			_, err := b.Take(context.Background(), read(t, bare), Replace)
			return err
		},
		"record": func(b *Bench, id journal.ID) error { _, err := b.Record(context.Background(), id); return err },
		"photo":  func(b *Bench, id journal.ID) error { _, _, err := b.Photo(context.Background(), id); return err },
		"press":  func(b *Bench, _ journal.ID) error { return b.Press(context.Background(), []Press{at(9, "pot_on", 10)}) },
	} {
		t.Run(name, func(t *testing.T) {
			b, store, photo := onStalled(t)
			store.stick()
			came := make(chan error)
			go func() { came <- call(b, photo) }()
			<-store.asked
			b.Version("")
			b.List()
			b.Shelf()
			b.Unsettled()
			b.Findings()
			b.Burning()
			b.Moments("Ring", "1")
			b.Photos("burn", "Ring/1")
			b.Thing("burn", "Ring/1")
			if _, _, err := b.Trial("Ring"); err != nil {
				t.Error(err)
			}
			if log, n := b.Log(0, 10); len(log) == 0 || n == 0 {
				t.Error(log, n)
			}
			store.release(away)
			if err := <-came; !errors.Is(err, away) {
				t.Errorf("%v, expected %v", err, away)
			}
			if err := b.Refresh(context.Background()); err != nil {
				t.Error(err)
			}
		})
	}
}

// TestWhoWaitsForAStoreWaitsOnce has many ask while one reading is under way: what it
// fails with is told to all of them, and the store is not asked again for each.
func TestWhoWaitsForAStoreWaitsOnce(t *testing.T) {
	b, store, _ := onStalled(t)
	store.stick()
	away, came := errors.New("away"), make(chan error, 20)
	go func() { came <- b.Refresh(context.Background()) }()
	<-store.asked
	var ready sync.WaitGroup
	for range 19 {
		ready.Add(1)
		go func() { then := b.lastReading(); ready.Done(); came <- b.catchUpSince(context.Background(), then) }()
	}
	ready.Wait()
	store.release(away)
	for range 20 {
		if err := <-came; !errors.Is(err, away) {
			t.Errorf("%v, expected %v", err, away)
		}
	}
	if n := len(store.asked); n != 0 {
		t.Errorf("the store was asked %d times more", n)
	}
	if begun := b.lastReading().begun; begun != b.lastReading().ended {
		t.Errorf("reading %d is under way", begun)
	}
}

// TestWhoGivesUpFailsNobodyElse lets the one who reads leave while another waits.
func TestWhoGivesUpFailsNobodyElse(t *testing.T) {
	b, store, _ := onStalled(t)
	store.stick()
	ctx, leave := context.WithCancel(context.Background())
	first, second := make(chan error), make(chan error)
	go func() { first <- b.Refresh(ctx) }()
	<-store.asked
	then := b.lastReading()
	go func() { second <- b.catchUpSince(context.Background(), then) }()
	leave()
	if err := <-first; !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	<-store.asked // the second reads now
	store.release(nil)
	if err := <-second; err != nil {
		t.Error(err)
	}
	ended, end := context.WithCancel(context.Background())
	end()
	b.turn <- struct{}{} // somebody reads
	if err := b.Refresh(ended); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	<-b.turn
}

// TestATroubledReadingDamagesNothing has a thing's large body fail to come once: it is
// read the next time, and is not taken for damaged.
func TestATroubledReadingDamagesNothing(t *testing.T) {
	store := journaltest.NewMemory()
	fern := open(t, store, tester(1, "Fern"))
	take(t, fern, strings.Replace(ring, `title = "Ring"`, `title = "Ring"`+"\nquestion = \""+strings.Repeat("w", 2*largestKept)+`"`, 1), Refuse)
	troubled := &stalled{Store: store, fails: errors.New("away")}
	failing := &failingGet{stalled: troubled, times: 1}
	if _, err := Open(context.Background(), failing, tester(2, "Rowan")); err == nil || err.Error() != "opening the bench: away" {
		t.Error(err)
	}
	rowan := open(t, failing, tester(2, "Rowan"))
	if _, fs, err := rowan.Trial("Ring"); err != nil || len(fs) > 0 || len(rowan.Findings()) > 0 {
		t.Error(err, fs, rowan.Findings())
	}
}

// failingGet fails as many times.
type failingGet struct {
	*stalled
	times int
}

func (f *failingGet) Get(ctx context.Context, id journal.ID) (journal.Entry, error) {
	if f.times--; f.times >= 0 {
		return journal.Entry{}, f.fails
	}
	return f.stalled.Get(ctx, id)
}

// TestWhatIsShunnedWhileItIsReadStaysOut erases a record between its reading and its
// being taken up.
func TestWhatIsShunnedWhileItIsReadStaysOut(t *testing.T) {
	b, _, photo := onStalled(t)
	e, err := b.store.Get(context.Background(), photo)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.Shun(context.Background(), photo, "test"); err != nil {
		t.Fatal(err)
	}
	_, before := b.Log(0, 0)
	b.takeUp([]journal.Entry{e})
	if _, n := b.Log(0, 0); n != before || len(b.Photos("burn", "Ring/1")) != 0 {
		t.Errorf("%d records, expected %d", n, before)
	}
}

// TestReadersAndAWriterInterleave lets two benches read one store while a third
// writes: each sees what came in one go whole or not at all, never less than before,
// and in the end all see the same.
func TestReadersAndAWriterInterleave(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lots := rapid.SliceOfN(rapid.IntRange(1, 5), 1, 8).Draw(t, "presses in each lot")
		store := journaltest.NewMemory()
		writer := open(t, store, tester(1, "Fern"))
		take(t, writer, bare, Refuse)
		readers := []*Bench{writer, open(t, store, tester(2, "Rowan"))}
		whole := map[int]bool{0: true}
		n := 0
		for _, lot := range lots {
			n += lot
			whole[n] = true
		}
		var all sync.WaitGroup
		done := make(chan struct{})
		for _, b := range readers {
			all.Go(func() { watchMoments(t, b, whole, done) })
		}
		n = 0
		for _, lot := range lots {
			var presses []Press
			for range lot {
				n++
				presses = append(presses, at(n, "not_boiling", float64(n)))
			}
			if err := writer.Press(context.Background(), presses); err != nil {
				t.Errorf("press: %v", err)
			}
		}
		close(done)
		all.Wait()
		for _, b := range readers {
			if got := len(b.Moments("Ring", "1")); got != n {
				t.Errorf("%s sees %d moments of %d", b.Tester(), got, n)
			}
		}
	})
}

// watchMoments looks until done and then once more.
func watchMoments(t *rapid.T, b *Bench, whole map[int]bool, done chan struct{}) {
	for last, going := 0, true; going; {
		select {
		case <-done:
			going = false
		default:
		}
		if err := b.Refresh(context.Background()); err != nil {
			t.Errorf("refresh: %v", err)
		}
		n := len(b.Moments("Ring", "1"))
		if n < last || !whole[n] {
			t.Errorf("%s sees %d moments after %d; lots end at %s", b.Tester(), n, last, fmt.Sprint(whole))
		}
		last = n
	}
}
