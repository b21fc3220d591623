// Package journal keeps what testers recorded: signed facts that are never
// changed, only replaced by later facts or, for good reasons, shunned.
//
// A record's id is the hash of its stored bytes, so merging two benches is the
// union of two sets: a retry does no harm and no order matters. What stands for
// a subject is worked out from the set alone (Fold). No clock settles anything:
// where two records contradict each other, both are shown to a person.
//
// The package refuses to read a record in any other form than the one it was
// written in, to apply what another author would like to see replaced, and to
// interpret bodies: a Kind registered by the caller does that.
//
// Read store.go, record.go, key.go, fold.go; then exchange.go, merge.go and
// verify.go. Adapters share committer.go and hub.go.
package journal

import (
	"context"
	"errors"
	"iter"
	"math"
	"time"
)

// ErrClosed is returned by a store that has been closed.
var ErrClosed = errors.New("the bench is closed")

// ErrFull is wrapped by a store that had no room left: nothing of what it was
// given is kept, and what it held before is whole.
var ErrFull = errors.New("no space left")

// ErrAway is wrapped by a store on a server that cannot be reached or did not answer
// in time. What was to be kept may have been, where the answer alone was lost.
var ErrAway = errors.New("the store does not answer")

// ErrAbsent is wrapped by Get when a store does not hold the record.
var ErrAbsent = errors.New("no such record here")

// Whole asks Store.Since for records of any size.
const Whole = math.MaxInt32

// Store keeps stored records and knows nothing of what they say; Check or Merge
// comes before Append. Its methods may be called from several goroutines.
type Store interface {
	// Append keeps what is not yet here and returns once that would outlive a
	// power cut. The outcomes stand in the order of the batch's records. After an
	// error nothing of the batch is kept, unless ctx ended first or the error wraps
	// ErrAway: then it may be, and appending again does no harm.
	Append(ctx context.Context, b Batch) ([]Outcome, error)
	// Since yields the entries after a sequence number, in ascending order: 0
	// yields all. Bodies of more than largest bytes stay in the store.
	Since(ctx context.Context, after int64, largest int) iter.Seq2[Entry, error]
	// Get returns one record in full; the error wraps ErrAbsent when it is not here.
	Get(ctx context.Context, id ID) (Entry, error)
	// Beginning returns one record with at most so many bytes of its body, and fails
	// as Get does.
	Beginning(ctx context.Context, id ID, largest int) (Entry, error)
	// Shun erases records here and keeps them from coming back. It holds for
	// this store alone. An id that is not here yet is kept out all the same.
	Shun(ctx context.Context, list []Shunned) error
	// Shunned returns the list in order of id.
	Shunned(ctx context.Context) ([]Shunned, error)
	// Backup writes all of it to a new file at path; a file there is never replaced.
	Backup(ctx context.Context, path string) error
	// Watch sends the newest sequence number after every change, its own ones
	// too; quick ones are sent as one. The channel closes with ctx or the store.
	Watch(ctx context.Context) <-chan int64
	Close() error
}

// Batch is what came in at one go.
type Batch struct {
	Records []Stored
	Receipt Receipt
}

// Receipt tells when and from whom records came to one store. It is no part of
// a record: it is neither signed nor passed on.
type Receipt struct {
	At   time.Time // kept to the microsecond
	From string    // such as "this bench" or the file that was merged
}

// Entry is a record in a store.
type Entry struct {
	Seq int64 // ascending in the order in which records became visible, with gaps
	Stored
	Receipt Receipt
	Cut     bool // Bytes ends where the body begins, of Beginning within it; Get brings the whole
}

// Shortened is an entry with at most so many bytes of its body, as Store.Beginning
// gives it.
func (e Entry) Shortened(largest int) Entry {
	if head, body := e.Split(); len(body)-1 > largest { // the last byte closes the record
		e.Bytes, e.Cut = e.Bytes[:len(head)+largest], true
	}
	return e
}

// Outcome is what became of a record that was appended.
type Outcome int

const (
	Added  Outcome = iota // it is new here
	Known                 // it was here already
	Barred                // it is on the shun list
)

// Shunned is one line of the shun list.
type Shunned struct {
	ID  ID
	At  time.Time // kept to the microsecond
	Why string
}
