package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"fairburn/bench"
	"fairburn/finding"
	"fairburn/sheet"
	"fairburn/trial"
)

func (a *app) takeCommand() *cobra.Command {
	var replace bool
	var name string
	c := &cobra.Command{
		Use:   "take FILE...",
		Short: "bring sheets and burn tables into the bench",
		Long: `take keeps on the bench what is new in each sheet: what is said of the trial as a
whole, every burn, and every thing on the shelf, each as a signed record. Burn
tables belong to the sheet, or the title of a trial on the bench, before them.
The sheet of a trip is kept whole.

Nothing is lost. Taking the same again adds nothing. A changed burn is recorded
beside the old one and counts in its place; a burn that should not count gets the
key void. Gear whose name the bench already has with other figures stops the
sheet: give it a name of its own, or correct the record for every trial that used
it with --replace, which also settles what records contradict and declines what
others proposed. What another tester recorded is not replaced: your correction is
kept as a proposal.

` + exitHelp,
		Example: `  fairburn take trial.toml
  fairburn take trial.toml burns.csv --name "Rowan"
  fairburn take trial.toml --replace
  fairburn take trial.toml --bench club.db`,
		Args: between(1, 100, "sheets and burn tables"),
		RunE: func(c *cobra.Command, args []string) error {
			clash := bench.Refuse
			if replace {
				clash = bench.Replace
			}
			return a.take(c.Context(), args, clash, name)
		},
		ValidArgsFunction: completeSheets,
	}
	c.Flags().BoolVar(&replace, "replace", false, "correct gear as well, settle what is contradicted, decline proposals: as the sheet has it")
	c.Flags().StringVar(&name, "name", "", "your name in the records; kept for the next time")
	return c
}

// taken is one trial or trip to be taken.
type taken struct {
	*trial.Trial
	trip *sheet.Trip
	read []finding.Finding
}

// loadTaken reads a sheet with its tables, or the sheet of a trip.
func (a *app) loadTaken(ctx context.Context, names []string) (x taken, err error) {
	x.Trial, x.read, err = a.load(ctx, names)
	if !errors.Is(err, sheet.ErrTrip) || len(names) > 1 {
		return x, err
	}
	data, err := a.readFile(names[0])
	if err != nil {
		return x, err
	}
	x.trip, x.read, err = sheet.ReadTrip(names[0], data)
	return x, err
}

// into takes it into the bench.
func (x taken) into(ctx context.Context, b *openedBench, clash bench.Clash) (bench.Report, error) {
	if x.trip == nil {
		return b.Take(ctx, x.Trial, clash)
	}
	r, _, err := b.PutTrip(ctx, x.trip, nil)
	return r, err
}

// take reads everything before it opens the bench, so that a sheet that cannot
// be read makes none.
func (a *app) take(ctx context.Context, names []string, clash bench.Clash, name string) error {
	var all []taken
	for _, group := range bySheet(names) {
		t, err := a.loadTaken(ctx, group)
		if err != nil {
			return err
		}
		a.heed(t.read)
		if worst, _ := finding.Worst(t.read); worst == finding.Fault {
			a.tell(t.read)
			return hinted{fmt.Errorf("%s: some of it cannot be read, so nothing was taken", group[0]), "mend what is named above and take it again"}
		}
		all = append(all, t)
	}
	b, err := a.openBench(ctx, true, name)
	if err != nil {
		return err
	}
	reports, err := a.takeInto(ctx, b, all, clash)
	if err == nil && name != "" {
		err = writeWhole(beside(b.home, ".name"), []byte(name+"\n"))
	}
	return errors.Join(err, a.writeTaken(b, reports), b.store.Close())
}

// bySheet puts each sheet together with the tables behind it.
func bySheet(names []string) [][]string {
	var groups [][]string
	for i, name := range names {
		if i == 0 || !isTable(name) {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], name)
	}
	return groups
}

func (a *app) takeInto(ctx context.Context, b *openedBench, all []taken, clash bench.Clash) ([]bench.Report, error) {
	var reports []bench.Report
	for _, t := range all {
		r, err := t.into(ctx, b, clash)
		a.tell(append(t.read, r.Findings...))
		a.heed(r.Findings)
		if errors.Is(err, bench.ErrRefused) {
			return reports, hinted{err, "settle what is named above, or see fairburn take --help on --replace"}
		}
		if err != nil {
			return reports, err
		}
		reports = append(reports, r)
	}
	return reports, nil
}

func (a *app) writeTaken(b *openedBench, reports []bench.Report) error {
	if len(reports) == 0 {
		return nil
	}
	if a.asJSON {
		return a.writeJSON(struct {
			Bench string         `json:"bench"`
			Taken []bench.Report `json:"taken"`
		}{b.place, reports})
	}
	fmt.Fprintf(a.out, "bench: %s\n", b.place)
	for _, r := range reports {
		fmt.Fprintf(a.out, "%s: %d added, %d corrected, %d proposed, %d there already\n", r.Title, len(r.Added), len(r.Replaced), len(r.Proposed), r.Kept)
		for _, c := range r.Replaced {
			fmt.Fprintf(a.out, "  corrected %s: %s\n", c.Thing, c)
		}
		for _, c := range r.Proposed {
			fmt.Fprintf(a.out, "  proposed to its tester, %s: %s\n", c.Thing, c)
		}
	}
	return nil
}

func (a *app) exportCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "export TITLE [FILE]",
		Short: "write a trial or a trip on the bench as a sheet",
		Long: `export puts a trial, or a trip, together from the records that stand and writes
it as a sheet, to the file or to the terminal: the sheet that was taken, with
every correction since. What records contradict is left out and named.

` + exitHelp,
		Example: `  fairburn export "Four burners for an autumn walk"
  fairburn export "Four burners for an autumn walk" copy.toml`,
		Args: between(1, 2, "a title and a file to write"),
		RunE: func(c *cobra.Command, args []string) error {
			text, fs, err := a.sheetOf(c.Context(), args[0])
			if err != nil {
				return err
			}
			a.heed(fs)
			a.tell(fs)
			switch {
			case len(args) == 2:
				return writeWhole(args[1], text)
			case a.asJSON:
				return a.writeJSON(struct {
					Title    string            `json:"title"`
					Sheet    string            `json:"sheet"`
					Findings []finding.Finding `json:"findings,omitempty"`
				}{args[0], string(text), fs})
			}
			_, err = a.out.Write(text)
			return err
		},
	}
}

// sheetOf is the sheet of the trial of that title, else of the trip.
func (a *app) sheetOf(ctx context.Context, title string) (text []byte, fs []finding.Finding, err error) {
	err = a.withBench(ctx, false, func(b *openedBench) error {
		t, found, err := b.Trial(title)
		if err == nil {
			fs = found
			text, err = sheet.Write(t)
			return err
		}
		trip, _, errTrip := b.Trip(title)
		switch {
		case !errors.Is(err, bench.ErrUnknown):
			return err
		case errors.Is(errTrip, bench.ErrUnknown):
			return hinted{fmt.Errorf("%q is the title of no trial and no trip on the bench %s", title, b.place), "fairburn trials lists the trials"}
		case errTrip != nil:
			return errTrip
		}
		text, err = sheet.WriteTrip(trip)
		return err
	})
	return text, fs, err
}
