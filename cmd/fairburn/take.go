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

// taken is one trial to be taken.
type taken struct {
	*trial.Trial
	read []finding.Finding
}

// take reads everything before it opens the bench, so that a sheet that cannot
// be read makes none.
func (a *app) take(ctx context.Context, names []string, clash bench.Clash, name string) error {
	var all []taken
	for _, group := range bySheet(names) {
		t, fs, err := a.load(ctx, group)
		if err != nil {
			return err
		}
		a.heed(fs)
		if worst, _ := finding.Worst(fs); worst == finding.Fault {
			a.tell(fs)
			return hinted{fmt.Errorf("%s: some of it cannot be read, so nothing was taken", group[0]), "mend what is named above and take it again"}
		}
		all = append(all, taken{t, fs})
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
		r, err := b.Take(ctx, t.Trial, clash)
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
		Use:   "export TRIAL [FILE]",
		Short: "write a trial on the bench as a sheet",
		Long: `export puts a trial together from the records that stand and writes it as a sheet,
to the file or to the terminal: the sheet that was taken, with every correction
since. What records contradict is left out and named.

` + exitHelp,
		Example: `  fairburn export "Four burners for an autumn walk"
  fairburn export "Four burners for an autumn walk" copy.toml`,
		Args: between(1, 2, "a title and a file to write"),
		RunE: func(c *cobra.Command, args []string) error {
			t, fs, err := a.onBench(c.Context(), args[0])
			if err != nil {
				return err
			}
			a.heed(fs)
			a.tell(fs)
			text, err := sheet.Write(t)
			switch {
			case err != nil:
				return err
			case len(args) == 2:
				return writeWhole(args[1], text)
			case a.asJSON:
				return a.writeJSON(struct {
					Title    string            `json:"title"`
					Sheet    string            `json:"sheet"`
					Findings []finding.Finding `json:"findings,omitempty"`
				}{t.Title, string(text), fs})
			}
			_, err = a.out.Write(text)
			return err
		},
	}
}
