// Package report makes documents from figures: what a terminal shows, one page
// of HTML that holds everything, and JSON for other programs.
//
// It computes no metric and compares nothing: every figure comes from a
// verdict.Verdict, a trial.Reduced or a plan, and is only given units, digits
// and a place. It never shows an efficiency without what it counts, nor a
// corrected figure without the raw one, and it escapes all that people wrote.
//
// Read figure.go (how a figure is printed), table.go (tables as values, which
// every face renders), then a face: terminal.go, page.go, data.go.
package report

import (
	"fairburn/quantity"
	"fairburn/repeat"
)

// Options are what a document needs beside its figures.
type Options struct {
	System  quantity.System // units
	Version string          // of the program, for the foot of a page
	Made    string          // date as it is to be printed; "" for none
	// Repeat is what other testers' burns say of a verdict; nil where nobody
	// repeated the trial.
	Repeat *repeat.Comparison
}
