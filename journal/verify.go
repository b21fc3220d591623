package journal

import (
	"context"
	"fmt"

	"fairburn/finding"
)

// Verified is what Verify looked at and found.
type Verified struct {
	Records  int
	Findings []finding.Finding // faults of single records first, then those of Fold.Findings
}

// Verify reads every record of a store in full and checks hash, form, author
// and signature, then bodies and references as Fold.Findings does. Each fault is
// a finding that names its record; damaged records are left out of what follows
// and the rest stays usable. The error is for a store that cannot be read.
func Verify(ctx context.Context, store Store, kinds map[string]Kind) (Verified, error) {
	var v Verified
	fold := NewFold(kinds)
	for e, err := range store.Since(ctx, 0, Whole) {
		if err != nil {
			return v, fmt.Errorf("verifying: %w", err)
		}
		v.Records++
		if _, err = e.Check(); err == nil {
			err = fold.Add(e)
		}
		if err != nil {
			code, sentence := damage(err)
			v.Findings = append(v.Findings, finding.Finding{Code: code, Severity: finding.Fault,
				Where:    finding.Place{Subject: "record " + e.ID.String()},
				Sentence: sentence, Remedy: "restore a backup that verifies and merge this bench into it"})
		}
	}
	shunned, err := store.Shunned(ctx)
	if err != nil {
		return v, fmt.Errorf("verifying: %w", err)
	}
	v.Findings = append(v.Findings, fold.Findings(shunned)...)
	return v, nil
}
