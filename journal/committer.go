package journal

import (
	"context"
	"errors"
	"runtime"
	"sync"
)

// together is how many waiting batches share one transaction at most.
const together = 256

// Committer lets everybody who waits share one transaction: one goroutine takes
// what waits, writes it at one go, and answers each. A transaction costs a round
// to the disk whatever it holds, so twenty phones at once are served like one.
type Committer struct {
	write func([]Batch) ([][]Outcome, error)
	jobs  chan job
	quit  chan struct{}
	done  chan struct{}
	once  sync.Once
}

type job struct {
	batch  Batch
	answer chan answer
}

type answer struct {
	outcomes []Outcome
	err      error
}

// NewCommitter starts the goroutine. write puts all batches into one
// transaction, or none of them; it is never called twice at a time.
func NewCommitter(write func([]Batch) ([][]Outcome, error)) *Committer {
	// jobs is unbuffered: what has been handed over will be answered.
	c := &Committer{write: write, jobs: make(chan job), quit: make(chan struct{}), done: make(chan struct{})}
	go c.run()
	return c
}

// Append hands over a batch and waits for its transaction. When ctx ends while
// that runs, the batch may be kept all the same.
func (c *Committer) Append(ctx context.Context, b Batch) ([]Outcome, error) {
	if err := ctx.Err(); err != nil { // such as a phone's that was revoked meanwhile
		return nil, err
	}
	j := job{b, make(chan answer, 1)}
	select {
	case c.jobs <- j:
	case <-c.quit:
		return nil, ErrClosed
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	select {
	case a := <-j.answer:
		return a.outcomes, a.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// Close answers what has been handed over and stops.
func (c *Committer) Close() {
	c.once.Do(func() { close(c.quit) })
	<-c.done
}

func (c *Committer) run() {
	defer close(c.done)
	for {
		select {
		case j := <-c.jobs:
			c.commit(c.collect(j))
		case <-c.quit:
			return
		}
	}
}

// collect takes what else waits. Those just answered get a chance to come back
// first: with many writers that doubles what one transaction carries.
func (c *Committer) collect(first job) []job {
	runtime.Gosched()
	jobs := []job{first}
	for len(jobs) < together {
		select {
		case j := <-c.jobs:
			jobs = append(jobs, j)
		default:
			return jobs
		}
	}
	return jobs
}

// commit writes jobs together. If that fails each is tried alone, so that one
// batch that cannot be kept (too large for the disk, say) refuses no other; but not
// where the store is away, which each would be told of only after a wait of its own.
func (c *Committer) commit(jobs []job) {
	batches := make([]Batch, len(jobs))
	for i, j := range jobs {
		batches[i] = j.batch
	}
	all, err := c.write(batches)
	if err != nil && len(jobs) > 1 && !errors.Is(err, ErrAway) {
		for i := range jobs {
			c.commit(jobs[i : i+1])
		}
		return
	}
	for i, j := range jobs {
		if err != nil {
			j.answer <- answer{nil, err}
			continue
		}
		j.answer <- answer{all[i], nil}
	}
}
