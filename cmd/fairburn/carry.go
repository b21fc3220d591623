package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"fairburn/bench"
	"fairburn/carry"
	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/sheet"
	"fairburn/trial"
)

// carryAsked is what the command line asks beside the trip's sheet.
type carryAsked struct {
	trials    []string
	objective string
	reserve   string
	days      int
	card      string
	charts    string
}

func (a *app) carryCommand() *cobra.Command {
	var asked carryAsked
	c := &cobra.Command{
		Use:   "carry TRIP",
		Short: "say what to put in the pack for a trip, and how likely it runs dry",
		Long: `carry reads the sheet of a trip (TOML), or takes the trip of that title on the
bench, and answers with whole kits: burner, pot, small things, millilitres and
bottles, led by the chance of running dry.

Fuel is what the burns of the bench took, moved to the trip; without burns a
published planning range stands in and says so. Gas, tablets and no stove at all
are compared where the sheet lists them. Wind and cold are ranges, for nobody has
measured them. Your notes on local rules are passed on as written.

` + exitHelp,
		Example: `  fairburn carry weekend.toml
  fairburn carry weekend.toml --trial trial.toml
  fairburn carry "A summer weekend"
  fairburn carry weekend.toml --days 5 --reserve "5 % dry"
  fairburn carry weekend.toml --objective "mean carried mass"
  fairburn carry weekend.toml --card card.html --charts charts
  fairburn carry weekend.toml --json`,
		Args:              between(1, 1, "the sheet of one trip, or its title on the bench"),
		RunE:              func(c *cobra.Command, args []string) error { return a.carry(c.Context(), args[0], asked) },
		ValidArgsFunction: completeSheets,
	}
	f := c.Flags()
	f.StringArrayVarP(&asked.trials, "trial", "t", nil, "sheet or title of a trial whose burns count; without it, all trials on the bench")
	f.StringVar(&asked.objective, "objective", "", "what the best kit has least of: start mass, mean carried mass, chance of running dry, waiting, cost")
	f.StringVar(&asked.reserve, "reserve", "", `reserve: "1 day", "25 % more" or "2 % dry"`)
	f.IntVar(&asked.days, "days", 0, "let the trip last so many days: cut it, or lengthen its last leg")
	f.StringVar(&asked.card, "card", "", "also write a card to print and fold, as one HTML file")
	f.StringVar(&asked.charts, "charts", "", "also write every chart into this folder, as SVG, PDF and PNG")
	_ = c.MarkFlagFilename("card", "html")
	_ = c.MarkFlagDirname("charts")
	_ = c.RegisterFlagCompletionFunc("objective", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		var names []string
		for _, o := range carry.Objectives() {
			names = append(names, string(o))
		}
		return names, cobra.ShellCompDirectiveNoFileComp
	})
	return c
}

// carry reads, answers and writes.
func (a *app) carry(ctx context.Context, name string, asked carryAsked) error {
	p, err := a.packing(ctx, name, asked.trials)
	if err != nil {
		return err
	}
	if err := asked.into(p.Trip); err != nil {
		return err
	}
	if a.seed != 0 {
		p.Seed = a.seed
	}
	shelf, more := p.Take(p.burned...)
	answer, err := a.answered(ctx, p.Trip.Trip, shelf)
	if err != nil {
		return err
	}
	answer.Answer.Findings = slices.Concat(p.found, more, answer.Answer.Findings)
	answer.Markers = report.MarkersOf(p.burned)
	a.heed(answer.Answer.Findings)
	return a.writeCarry(answer, asked, p.System)
}

// into puts what the command line asks over what the sheet asks.
func (q carryAsked) into(t *sheet.Trip) error {
	if q.objective != "" {
		o, err := quantity.ParseWord("objective", q.objective, quantity.Words(carry.Objectives()...))
		if err != nil {
			return usage{err}
		}
		t.Choose = o
	}
	if q.reserve != "" {
		r, err := sheet.ParseReserve(q.reserve)
		if err != nil {
			return usage{fmt.Errorf("--reserve: %w", err)}
		}
		t.Reserve = r
	}
	switch {
	case q.days < 0:
		return usage{fmt.Errorf("--days %d, expected 1 or more", q.days)}
	case q.days > 0:
		t.Trip = t.Lasting(q.days)
	}
	return nil
}

// packing is a trip with what there is to take.
type packing struct {
	*sheet.Trip
	burned []*trial.Reduced
	found  []finding.Finding
}

// packing reads a trip, and the trials that are named, else all that is on the bench:
// burns, gear that no trial names, and fuel that other trips used.
func (a *app) packing(ctx context.Context, name string, trials []string) (p packing, err error) {
	title := a.isTitle(name)
	if !title {
		data, err := a.readFile(name)
		if err != nil {
			return p, err
		}
		if p.Trip, p.found, err = sheet.ReadTrip(name, data); err != nil {
			return p, err
		}
	}
	for _, name := range trials {
		t, fs, err := a.load(ctx, []string{name})
		if err != nil {
			return p, err
		}
		a.tell(fs)
		p.burned = append(p.burned, t.Reduce())
	}
	if !title && (len(trials) > 0 || a.benchless()) {
		return p, nil
	}
	return p, a.withBench(ctx, false, func(b *openedBench) error {
		if title {
			t, _, err := b.Trip(name)
			if err != nil {
				return err
			}
			own := *t // what the bench hands out is not ours to change
			p.Trip = &own
		}
		p.Past = slices.Concat(b.Used(p.Title), p.Past)
		if len(trials) == 0 {
			p.all(b)
		}
		return nil
	})
}

// benchless reports, and says, that the user has no bench yet.
func (a *app) benchless() bool {
	place, err := a.benchPlace()
	if err != nil || a.bench != "" || isServer(place) {
		return false
	}
	if _, err := os.Stat(place); !errors.Is(err, fs.ErrNotExist) {
		return false
	}
	fmt.Fprintln(a.err, "fairburn: there is no bench yet, so only what the sheet lists is counted; --trial names a trial's sheet")
	return true
}

// all takes every trial of the tester's own, and what else lies on their shelf.
func (p *packing) all(b *openedBench) {
	for _, s := range b.List() {
		if !s.Own {
			continue
		}
		t, _, err := b.Trial(s.Title)
		if err != nil {
			p.found = append(p.found, bench.LeftOut(s.Title, err))
			continue
		}
		p.burned = append(p.burned, t.Reduce())
	}
	p.burned = append(p.burned, b.Unburned())
}

// leastSweep is how many days the sweep goes at least: past the published turns of
// spirit against gas, the last of them in the second week.
const leastSweep = 14

// answered asks for the best kit, what days change, and what the answer hangs on.
func (a *app) answered(ctx context.Context, t carry.Trip, s carry.Shelf) (report.Carry, error) {
	var p carry.Planner
	step := a.progress("planning", 3)
	best, err := p.Choose(ctx, t, s, step(0))
	if err != nil || len(best.Kits) == 0 {
		return report.Carry{Answer: best, Reserve: t.Reserve}, err
	}
	sweep, errSweep := p.Sweep(ctx, t, s, max(leastSweep, best.Days+2), step(1))
	drivers, errDrive := p.Drive(ctx, t, s, step(2))
	step(3)
	return report.Carry{Answer: best, Reserve: t.Reserve, Sweep: sweep, Drivers: drivers}, cmp.Or(errSweep, errDrive)
}

// patience is how long nothing is said of work that goes on.
const patience = 500 * time.Millisecond

// progress shows on a screen, after a moment, how far work of several parts has
// come. Each part asks for its own; asking for the one after the last ends it.
func (a *app) progress(what string, parts int) func(part int) carry.Progress {
	if !isTerminal(a.err) {
		return func(int) carry.Progress { return nil }
	}
	began, said := time.Now(), false
	return func(part int) carry.Progress {
		if part == parts && said {
			fmt.Fprint(a.err, "\r\x1b[K")
		}
		return func(done, total int) {
			if time.Since(began) > patience {
				said = true
				fmt.Fprintf(a.err, "\rfairburn: %s, part %d of %d: %d of %d ", what, part+1, parts, done, total)
			}
		}
	}
}

// writeCarry writes the files first, so that whoever reads the answer has them.
func (a *app) writeCarry(c report.Carry, asked carryAsked, own quantity.System) error {
	o := report.Options{System: own, Version: version, Made: time.Now().Format("2 January 2006")}
	if a.units.set {
		o.System = a.units.system
	}
	if asked.card != "" {
		var page bytes.Buffer
		if err := report.CarryCardFile(&page, c, o); err != nil {
			return fmt.Errorf("cannot make the card: %w", err)
		}
		if err := writeWhole(asked.card, page.Bytes()); err != nil {
			return err
		}
	}
	if asked.charts != "" {
		charts, err := report.CarryCharts(c, o.System, report.Layout{Width: chartWidth, Alone: true})
		if err != nil {
			return fmt.Errorf("cannot draw the charts: %w", err)
		}
		if err := saveCharts(asked.charts, charts); err != nil {
			return err
		}
	}
	if a.asJSON {
		return report.CarryJSON(a.out, c)
	}
	if err := report.CarryTerminal(a.out, c, o); err != nil {
		return err
	}
	if asked.card != "" {
		fmt.Fprintf(a.out, "\ncard written to %s\n", asked.card)
	}
	if asked.charts != "" {
		fmt.Fprintf(a.out, "\ncharts written to %s\n", asked.charts)
	}
	return nil
}
