package carry

import (
	"context"
)

// Progress is told how much of the work is done.
type Progress func(done, total int)

// Planner answers trips and keeps what it drew, so that a trip changed a little
// is answered at once. The zero Planner is ready; it may be used by many at a time.
type Planner struct{}

// Choose answers a trip. Faults of the trip or the shelf are findings and leave
// the answer without kits; the only error is that of the context.
func (p *Planner) Choose(ctx context.Context, t Trip, s Shelf, done Progress) (*Answer, error) {
	return &Answer{}, ctx.Err()
}
