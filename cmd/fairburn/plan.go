package main

import (
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"fairburn/finding"
	"fairburn/plan"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/sheet"
	"fairburn/trial"
)

// planFlags are a wish as typed.
type planFlags struct {
	blocks, snuffed, stations int
	factor, coolDown, cv, see string
	into                      string
}

func (a *app) planCommand() *cobra.Command {
	var f planFlags
	c := &cobra.Command{
		Use:   "plan SHEET|TRIAL [TABLE...]",
		Short: "lay out a fair trial: blocks, shuffled order, burns needed, what is unfair before it is lit",
		Long: `plan reads a sheet that lists the entries and lays out the burns: every entry once
a block, in an order shuffled by a stored seed. Burns run to flame-out time the
boil; burns snuffed at the boil weigh the fuel it took. With --into the plan is
written into a copy of the sheet. What is no file is the title of a trial on the
bench.

` + exitHelp,
		Example: `  fairburn plan trial.toml
  fairburn plan trial.toml --blocks 5 --snuffed 4
  fairburn plan trial.toml --factor "wind: still, fan low" --into next.toml
  fairburn plan trial.toml --cv "4 %" --see "10 %"`,
		Args: between(1, 100, "a sheet or a title, and any burn tables"),
		RunE: func(c *cobra.Command, args []string) error {
			t, fs, err := a.load(c.Context(), args)
			if err != nil {
				return err
			}
			if err := f.checkInto(args); err != nil {
				return err
			}
			w, err := f.wish()
			if err != nil {
				return err
			}
			w.Seed = a.seed
			if n := len(t.Plan.Slots); n > 0 {
				fmt.Fprintf(a.err, "fairburn: note: the trial has a plan of %d burns; this is another, and counts only where --into writes it\n", n)
			}
			p, more, err := plan.Make(t, w)
			if err != nil {
				return fmt.Errorf("cannot plan the trial: %w", err)
			}
			return a.writePlan(t, p, append(fs, more...), f.into)
		},
		ValidArgsFunction: completeSheets,
	}
	flags := c.Flags()
	flags.IntVar(&f.blocks, "blocks", 0, "blocks run to flame-out; 0 takes what the question needs")
	flags.IntVar(&f.snuffed, "snuffed", 0, "blocks snuffed at the boil and weighed")
	flags.IntVar(&f.stations, "stations", 1, "burners that burn at the same time")
	flags.StringVar(&f.factor, "factor", "", `one more thing varied: "wind: still, fan low"`)
	flags.StringVar(&f.coolDown, "cool-down", "", `rest of a burner between its burns, such as "10 min"`)
	flags.StringVar(&f.cv, "cv", "", `expected scatter of one entry's burns, such as "4 %"`)
	flags.StringVar(&f.see, "see", "", "difference that ought to be found; without it, the sheet's margin")
	flags.StringVar(&f.into, "into", "", "write the sheet with the plan to this file")
	_ = c.MarkFlagFilename("into", "toml")
	return c
}

func (f planFlags) wish() (plan.Wish, error) {
	w := plan.Wish{Blocks: f.blocks, Snuffed: f.snuffed, Stations: f.stations}
	if f.factor != "" {
		name, levels, ok := strings.Cut(f.factor, ":")
		if !ok {
			return w, usage{fmt.Errorf(`--factor: read %q, expected a name and its levels, such as "wind: still, fan low"`, f.factor)}
		}
		w.Factor.Name = strings.TrimSpace(name)
		for l := range strings.SplitSeq(levels, ",") {
			w.Factor.Levels = append(w.Factor.Levels, strings.TrimSpace(l))
		}
	}
	if f.coolDown != "" {
		d, err := quantity.ParseDuration(f.coolDown)
		if err != nil {
			return w, flagError("--cool-down", err)
		}
		w.CoolDown = d.Value
	}
	for _, share := range []struct {
		flag, text string
		into       *quantity.Ratio
	}{{"--cv", f.cv, &w.CV}, {"--see", f.see, &w.Difference}} {
		if share.text == "" {
			continue
		}
		r, err := quantity.ParseRatio(share.text)
		if err != nil {
			return w, flagError(share.flag, err)
		}
		*share.into = r.Value
	}
	return w, nil
}

// checkInto refuses to write the plan over what it was read from: a sheet is
// written anew, without the comments that a person put in.
func (f planFlags) checkInto(read []string) error {
	to, err := os.Stat(f.into)
	if err != nil {
		return nil // it is not there yet
	}
	for _, name := range read {
		if from, err := os.Stat(name); err == nil && os.SameFile(from, to) {
			return usage{hinted{fmt.Errorf("--into: %s is what the plan is read from, and writing it anew would lose its comments", f.into), "name another file"}}
		}
	}
	return nil
}

func (a *app) writePlan(t *trial.Trial, p *plan.Proposal, fs []finding.Finding, into string) error {
	a.heed(fs)
	if into != "" {
		t.Plan = p.Plan
		text, err := sheet.Write(t)
		if err != nil {
			return err
		}
		if err := writeWhole(into, text); err != nil {
			return err
		}
	}
	if a.asJSON {
		return report.PlanJSON(a.out, p, fs)
	}
	if err := report.Plan(a.out, t, p, fs, options(t)); err != nil {
		return err
	}
	if into != "" {
		fmt.Fprintf(a.out, "\nsheet with the plan written to %s\nnext: add a [[burn]] for each, with its block and order, then fairburn judge %s\n", into, into)
	}
	return nil
}
