package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"fairburn/finding"
	"fairburn/reduce"
	"fairburn/report"
	"fairburn/trial"
)

func (a *app) reduceCommand() *cobra.Command {
	var id string
	c := &cobra.Command{
		Use:   "reduce SHEET|TRIAL [TABLE...]",
		Short: "turn every burn's readings into figures, raw beside corrected",
		Long: `reduce reads a trial's sheet and any burn tables and writes the figures of every
burn: status, times, fuel, efficiency with what it counts, and what was brought
to reference conditions beside what was measured. With --burn it writes one burn
whole: every figure with its uncertainty and the cause that brings most of it.
What is no file is the title of a trial on the bench.

` + exitHelp,
		Example: `  fairburn reduce trial.toml
  fairburn reduce trial.toml --burn 7
  fairburn reduce trial.toml --json`,
		Args: between(1, 100, "a sheet or a title, and any burn tables"),
		RunE: func(c *cobra.Command, args []string) error {
			t, fs, err := a.load(c.Context(), args)
			if err != nil {
				return err
			}
			return a.writeBurns(a.reduced(t, fs), id)
		},
		ValidArgsFunction: completeSheets,
	}
	c.Flags().StringVarP(&id, "burn", "b", "", "id of one burn to write whole")
	return c
}

func (a *app) writeBurns(r *trial.Reduced, id string) error {
	a.heed(r.Findings)
	if id != "" && !slices.ContainsFunc(r.Results, func(b trial.Burned) bool { return b.ID == id }) {
		return hinted{fmt.Errorf("the trial has no burn %q", id), "fairburn reduce SHEET lists the burns with their ids"}
	}
	var results []*reduce.Result
	for i := range r.Results {
		if id == "" || r.Results[i].ID == id {
			results = append(results, &r.Results[i].Result)
			a.heed(r.Results[i].Result.Findings)
		}
	}
	o := options(r.Trial)
	switch {
	case a.asJSON:
		return a.writeJSON(struct {
			Title    string            `json:"title"`
			Burns    []*reduce.Result  `json:"burns"`
			Findings []finding.Finding `json:"findings,omitempty"`
		}{r.Title, results, r.Findings})
	case id != "":
		return report.Burn(a.out, r, id, o)
	}
	return report.Burns(a.out, r, o)
}
