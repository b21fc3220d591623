package bench

import (
	"context"
	"fmt"
	"io"
	"slices"

	"fairburn/finding"
	"fairburn/journal"
)

// Merged is what became of the records of another bench.
type Merged struct {
	journal.Merged
	Findings []finding.Finding // what there is to look at that was not there before
}

// Merge adds the records of an exchange file; from says where they came from.
// Doing so twice, or in another order, comes to the same.
func (b *Bench) Merge(ctx context.Context, file io.Reader, from string) (Merged, error) {
	before := b.Findings()
	m, err := journal.Merge(ctx, b.store, journal.ReadExchange(file), journal.Receipt{At: b.now(), From: from})
	if err != nil {
		return Merged{Merged: m}, err
	}
	if err := b.Refresh(ctx); err != nil {
		return Merged{Merged: m}, fmt.Errorf("reading what was merged: %w", err)
	}
	fresh := slices.DeleteFunc(b.Findings(), func(f finding.Finding) bool { return slices.Contains(before, f) })
	return Merged{m, fresh}, nil
}

// Shun erases a record here and keeps it out; what it had replaced stands again.
// It holds for this bench alone. It reports whether the record was here.
func (b *Bench) Shun(ctx context.Context, id journal.ID, why string) (here bool, err error) {
	if _, err := b.store.Get(ctx, id); err == nil {
		here = true
	}
	if err := b.store.Shun(ctx, []journal.Shunned{{ID: id, At: b.now(), Why: why}}); err != nil {
		return here, err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.drop(id)
	return here, nil
}

// Verify reads every record again, holds it to its hash and its signature, and
// adds what Findings says. Where two testers have gear of one name that is no
// fault: each trial uses its own tester's.
func (b *Bench) Verify(ctx context.Context) (journal.Verified, error) {
	v, err := journal.Verify(ctx, b.store, Kinds())
	if err != nil {
		return v, err
	}
	told := []string{"records_disagree", "record_proposed", "record_newer"} // by Findings, of what a trial uses
	v.Findings = slices.DeleteFunc(v.Findings, func(f finding.Finding) bool { return slices.Contains(told, f.Code) })
	for _, f := range b.Findings() {
		if f.Code != "record_damaged" {
			v.Findings = append(v.Findings, f)
		}
	}
	return v, nil
}
