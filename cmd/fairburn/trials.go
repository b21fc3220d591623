package main

import (
	"context"
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"fairburn/bench"
)

func (a *app) trialsCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "trials",
		Short: "list the trials on the bench",
		Long: `trials lists the trials on the bench: entries, burns, how many of these are void,
and whose records they are made of.

` + exitHelp,
		Example: `  fairburn trials
  fairburn trials --bench club.db --json`,
		Args: between(0, 0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) error {
			return a.withBench(c.Context(), false, func(b *openedBench) error {
				all := b.Trials()
				if a.asJSON {
					return a.writeJSON(struct {
						Bench  string          `json:"bench"`
						Trials []bench.Summary `json:"trials"`
					}{b.place, all})
				}
				return a.writeTrials(b.place, all)
			})
		},
	}
}

func (a *app) writeTrials(place string, all []bench.Summary) error {
	fmt.Fprintf(a.out, "bench: %s\n\n", place)
	w := tabwriter.NewWriter(a.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "trial\tentries\tburns\tvoid\ttesters\tto look at")
	for _, s := range all {
		fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%s\t%d\n", s.Title, s.Entries, s.Burns, s.Void, strings.Join(s.Testers, ", "), s.Findings)
	}
	return w.Flush()
}

// told is the history of one part of a trial.
type told struct {
	Thing    string          `json:"thing"`
	Versions []bench.Version `json:"versions"`
}

func (a *app) historyCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "history TRIAL [BURN]",
		Short: "show what was corrected in a trial, by whom and when",
		Long: `history shows every part of a trial that has more than one record, or one burn
whatever it has: who recorded it, when by their own clock, what each record
changed, and which one holds. The ids are those that shun takes.

` + exitHelp,
		Example: `  fairburn history "Four burners for an autumn walk"
  fairburn history "Four burners for an autumn walk" 7`,
		Args: between(1, 2, "a title and the id of a burn"),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withBench(c.Context(), false, func(b *openedBench) error {
				parts, err := b.Parts(args[0])
				if err != nil {
					return hinted{err, "fairburn trials lists the trials on the bench"}
				}
				all, err := b.told(c.Context(), parts, args[1:])
				if err != nil {
					return err
				}
				if a.asJSON {
					return a.writeJSON(all)
				}
				a.writeHistory(args[0], all)
				return nil
			})
		},
	}
}

// told looks up the parts that have been corrected, or the one burn asked for.
func (o *openedBench) told(ctx context.Context, parts []bench.Part, burn []string) ([]told, error) {
	all := []told{}
	for _, p := range parts {
		if len(burn) > 0 && (p.Kind != "burn" || p.Name != burn[0]) {
			continue
		}
		versions, err := o.History(ctx, p.Kind, p.Subject)
		if err != nil {
			return nil, err
		}
		if len(versions) > 1 || len(burn) > 0 {
			all = append(all, told{p.Kind + " " + p.Name, versions})
		}
	}
	if len(burn) > 0 && len(all) == 0 {
		return nil, hinted{fmt.Errorf("the trial has no burn %q", burn[0]), "fairburn reduce TRIAL lists the burns with their ids"}
	}
	return all, nil
}

func (a *app) writeHistory(title string, all []told) {
	if len(all) == 0 {
		fmt.Fprintf(a.out, "%s: nothing was corrected\n", title)
	}
	for _, h := range all {
		fmt.Fprintln(a.out, h.Thing)
		for _, v := range h.Versions {
			fmt.Fprintf(a.out, "  %-8s  %s  %s  %s\n", v.State, v.At.Format("2006-01-02 15:04"), v.Tester, v.ID)
			for _, c := range v.Changes {
				fmt.Fprintf(a.out, "            %s\n", c)
			}
		}
	}
}
