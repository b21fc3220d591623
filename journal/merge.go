package journal

import (
	"context"
	"fmt"
	"iter"

	"fairburn/finding"
)

// mostFaults is how many refused lines are told one by one.
const mostFaults = 100

// Records go to the store in portions of at most this many, or of about this
// many bytes, so that a file of any size needs little memory.
const (
	portionRecords = 1000
	portionBytes   = 4 << 20
)

// Merged tells what became of the records of a file.
type Merged struct {
	New     []ID // in the order of the file
	Known   int  // were here already
	Barred  int  // are on the shun list here
	Refused int  // could not be read or did not hold what they claim
	// Faults says why, for the first hundred refused: line_unreadable or a code
	// of Stored.Check, each with its line.
	Faults []finding.Finding
}

// Merge adds to the store what it does not hold yet and only that: the union of
// two sets, so merging twice or in another order ends in the same state. A
// record that fails Check is refused and the rest goes in. When it returns an
// error, what Merged names is in the store all the same.
func Merge(ctx context.Context, store Store, lines iter.Seq2[Line, error], receipt Receipt) (Merged, error) {
	var m Merged
	batch, size := Batch{Receipt: receipt}, 0
	flush := func() error {
		err := m.append(ctx, store, batch)
		batch.Records, size = nil, 0
		return err
	}
	for line, err := range lines {
		if err != nil {
			if kept := flush(); kept != nil {
				return m, fmt.Errorf("merging: %w", kept)
			}
			return m, fmt.Errorf("merging: %w", err)
		}
		if !m.admits(line) {
			continue
		}
		batch.Records, size = append(batch.Records, line.Stored), size+len(line.Stored.Bytes)
		if len(batch.Records) < portionRecords && size < portionBytes {
			continue
		}
		if err := flush(); err != nil {
			return m, fmt.Errorf("merging, line %d: %w", line.Number, err)
		}
	}
	if err := flush(); err != nil {
		return m, fmt.Errorf("merging: %w", err)
	}
	return m, nil
}

// admits checks a line and keeps account of it when it is refused.
func (m *Merged) admits(line Line) bool {
	fault := finding.Finding{Code: "line_unreadable", Severity: finding.Fault, Where: finding.Place{Line: line.Number}}
	if line.Fault != nil {
		fault.Sentence = line.Fault.Error()
	} else if _, err := line.Stored.Check(); err != nil {
		fault.Code, fault.Sentence = damage(err)
	} else {
		return true
	}
	m.Refused++
	if len(m.Faults) < mostFaults {
		m.Faults = append(m.Faults, fault)
	}
	return false
}

func (m *Merged) append(ctx context.Context, store Store, b Batch) error {
	if len(b.Records) == 0 {
		return nil
	}
	outcomes, err := store.Append(ctx, b)
	if err != nil {
		return err
	}
	for i, o := range outcomes {
		switch o {
		case Added:
			m.New = append(m.New, b.Records[i].ID)
		case Known:
			m.Known++
		case Barred:
			m.Barred++
		}
	}
	return nil
}
