package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"fairburn/finding"
	"fairburn/journal"
	"fairburn/publish"
	"fairburn/report"
)

// The commands that keep a bench whole and pass its records on.

func (a *app) verifyCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "verify",
		Short: "hold every record on the bench to its hash and its signature",
		Long: `verify reads every record, holds it to its hash and its author's signature, and
lists what a person should look at: damage, records that contradict each other,
corrections that others propose.

` + exitHelp,
		Example: `  fairburn verify
  fairburn verify --bench club.db --json`,
		Args: between(0, 0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) error {
			return a.withBench(c.Context(), false, func(b *openedBench) error {
				v, err := b.Verify(c.Context())
				if err != nil {
					return err
				}
				return a.writeKept(v.Findings, struct {
					Bench    string            `json:"bench"`
					Records  int               `json:"records"`
					Findings []finding.Finding `json:"findings"`
				}{b.place, v.Records, v.Findings}, fmt.Sprintf("bench: %s\n%d records read, %d things to look at\n", b.place, v.Records, len(v.Findings)))
			})
		},
	}
}

// writeKept writes what a command did and what it found.
func (a *app) writeKept(fs []finding.Finding, value any, text string) error {
	a.heed(fs)
	if a.asJSON {
		return a.writeJSON(value)
	}
	fmt.Fprint(a.out, report.Plain(text))
	for _, f := range fs {
		fmt.Fprintln(a.out, report.Plain(f.String()))
	}
	return nil
}

func (a *app) backupCommand() *cobra.Command {
	return a.writingCommand(&cobra.Command{
		Use:   "backup FILE",
		Short: "write a copy of the bench to a new file",
		Long: `backup writes all of the bench to a new file while others may go on writing: of a
bench file a bench file, which --bench opens; of a PostgreSQL bench a text file
for merge. The key is not in it: keep a copy of that as well.

` + exitHelp,
		Example: `  fairburn backup backup.db`,
	}, journal.Store.Backup)
}

func (a *app) recordsCommand() *cobra.Command {
	return a.writingCommand(&cobra.Command{
		Use:   "records FILE",
		Short: "write the records of the bench to a text file that others can merge",
		Long: `records writes every record of the bench to a new text file, one a line, for
another tester to merge. Whoever has the file can read all of it.

` + exitHelp,
		Example: `  fairburn records for-rowan.txt`,
	}, func(s journal.Store, ctx context.Context, path string) error { return journal.BackupText(ctx, s, path) })
}

// writingCommand writes the store to a new file in one way or another.
func (a *app) writingCommand(c *cobra.Command, write func(journal.Store, context.Context, string) error) *cobra.Command {
	c.Args = between(1, 1, "the file to write")
	c.RunE = func(c *cobra.Command, args []string) error {
		return a.withBench(c.Context(), false, func(b *openedBench) error {
			path, err := filepath.Abs(args[0])
			if err == nil {
				err = write(b.store, c.Context(), path)
			}
			if errors.Is(err, fs.ErrExist) {
				return hinted{err, "a file that is there is never written over"}
			}
			if err != nil {
				return err
			}
			return a.writeKept(nil, struct {
				Bench string `json:"bench"`
				File  string `json:"file"`
			}{b.place, path}, fmt.Sprintf("bench: %s\nwritten to %s\n", b.place, path))
		})
	}
	return c
}

func (a *app) mergeCommand() *cobra.Command {
	var replace bool
	c := &cobra.Command{
		Use:   "merge FILE|PACK",
		Short: "add the records of another bench, or the burns of a published pack",
		Long: `merge adds to the bench every record of a file that records wrote and that it has
not yet, checked against its hash and its author's signature. Doing so twice, or in
another order, comes to the same. What another tester would correct in your records is
listed and not applied; what contradicts each other is left out of trials until settled.

A pack, a folder or .zip that publish wrote, is held to its checksums and read as if it
came from somebody who means harm. Its trial becomes that of a tester of its own, named
"pack" and eight digits: nothing in it counts as yours. Where its sheet says which trial
it repeats, judging that trial compares the testers. A later edition takes the place of
an earlier one only with --replace: that it is one is its own word, so hold its checksum
against the one that its publisher gives. --replace reaches what was taken of that pack
and nothing that a tester recorded.

` + exitHelp,
		Example: `  fairburn merge from-rowan.txt
  fairburn merge from-fern
  fairburn merge from-fern.zip --replace`,
		Args: between(1, 1, "a file that fairburn records wrote, or a pack"),
		RunE: func(c *cobra.Command, args []string) error {
			if info, err := os.Stat(args[0]); err == nil && info.IsDir() || strings.EqualFold(filepath.Ext(args[0]), ".zip") {
				return a.mergePack(c.Context(), args[0], replace)
			}
			f, err := os.Open(args[0])
			if err != nil {
				return hinted{fmt.Errorf("cannot open the records: %w", err), "give a file that fairburn records wrote"}
			}
			defer f.Close()
			return a.withBench(c.Context(), true, func(b *openedBench) error { return a.merge(c.Context(), b, f) })
		},
	}
	c.Flags().BoolVar(&replace, "replace", false, "let this edition of a pack take the place of the one on the bench")
	return c
}

// mergePack takes the trial of a pack.
func (a *app) mergePack(ctx context.Context, name string, replace bool) error {
	p, err := a.readPack(name)
	if err != nil {
		return err
	}
	return a.withBench(ctx, true, func(b *openedBench) error {
		m, err := publish.Merge(ctx, b.Bench, b.store, p, replace)
		if errors.Is(err, publish.ErrEdition) {
			return hinted{fmt.Errorf("%s: %w", name, err), "hold that checksum against the one that its publisher gives; fairburn merge --replace then lets this one take its place. What testers recorded themselves stays as it is"}
		}
		if err != nil {
			a.tell(m.Findings)
			return fmt.Errorf("%s: %w", name, err)
		}
		return a.writeKept(m.Findings, struct {
			Bench string `json:"bench"`
			publish.Merged
		}{b.place, m}, fmt.Sprintf("bench: %s\n%s, by %s: %d added, %d corrected, %d there already\n", b.place, m.Title, m.Who, len(m.Added), len(m.Replaced), m.Kept))
	})
}

func (a *app) merge(ctx context.Context, b *openedBench, f *os.File) error {
	m, err := b.Merge(ctx, f, f.Name())
	if err != nil {
		return hinted{fmt.Errorf("%s: %w", f.Name(), err), "from a bench file, fairburn records FILE --bench BENCH writes what merge reads"}
	}
	found := append([]finding.Finding{}, m.Faults...)
	for i := range found {
		found[i].Where.File = f.Name()
	}
	found = append(found, m.Findings...)
	return a.writeKept(found, struct {
		Bench    string            `json:"bench"`
		New      []journal.ID      `json:"new"`
		Known    int               `json:"known"`
		Barred   int               `json:"barred"`
		Refused  int               `json:"refused"`
		Findings []finding.Finding `json:"findings"`
	}{b.place, m.New, m.Known, m.Barred, m.Refused, found},
		fmt.Sprintf("bench: %s\n%d records new, %d there already, %d shunned, %d refused\n", b.place, len(m.New), m.Known, m.Barred, m.Refused))
}

func (a *app) shunCommand() *cobra.Command {
	var why string
	c := &cobra.Command{
		Use:   "shun ID",
		Short: "erase one record here and keep it out",
		Long: `shun erases a record from this bench and keeps it out when it is merged again;
what it had replaced stands again. It is for what must not be kept, such as a
stranger's data. What is merely wrong is better corrected: take the mended sheet.

` + exitHelp,
		Example: `  fairburn shun 00c0ffee00c0ffee00c0ffee00c0ffee00c0ffee00c0ffee00c0ffee00c0ffee --why "a stranger's data" --bench club.db`,
		Args:    between(1, 1, "the id of a record"),
		RunE: func(c *cobra.Command, args []string) error {
			var id journal.ID
			if err := id.UnmarshalText([]byte(args[0])); err != nil {
				return usage{hinted{err, "fairburn history TRIAL shows the ids"}}
			}
			if why == "" {
				return usage{hinted{errors.New("shun needs a reason"), `such as --why "a stranger's data"`}}
			}
			return a.withBench(c.Context(), false, func(b *openedBench) error {
				here, err := b.Shun(c.Context(), id, why)
				if err != nil {
					return err
				}
				said := "erased, and kept out from now on"
				if !here {
					said = "it was not here; kept out from now on"
				}
				return a.writeKept(nil, struct {
					Bench string     `json:"bench"`
					ID    journal.ID `json:"id"`
					Here  bool       `json:"here"`
				}{b.place, id, here}, fmt.Sprintf("bench: %s\n%s\n", b.place, said))
			})
		},
	}
	c.Flags().StringVar(&why, "why", "", "the reason, kept in the shun list")
	return c
}
