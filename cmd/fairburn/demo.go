package main

import (
	"cmp"
	"context"
	"crypto/rand"
	"embed"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"fairburn/bench"
	"fairburn/journal"
	"fairburn/journal/sqlite"
	"fairburn/pack"
	"fairburn/plan"
	"fairburn/publish"
	"fairburn/report"
	"fairburn/sheet"
	"fairburn/trial"
	"fairburn/verdict"
)

// demoSheet is an invented trial, its readings written by hand.
//
//go:embed demo.toml
var demoSheet []byte

// demoRepeated is an invented repeat of it by somebody else, the same as among the
// examples of the documents.
//
//go:embed demo_repeated.toml
var demoRepeated []byte

// demoNext is an invented trial with a plan and no burn yet.
//
//go:embed demo_next.toml
var demoNext []byte

// demoTrips are two invented trips, the same as among the examples of the documents.
//
//go:embed demo_weekend.toml demo_ten_days.toml
var demoTrips embed.FS

func (a *app) demoCommand() *cobra.Command {
	var once bool
	var out string
	var to serving
	c := &cobra.Command{
		Use:   "demo",
		Short: "judge an invented trial, then open its bench on this machine",
		Long: `demo judges an invented trial of four burners, prints the verdict, writes the
report and the sheet it came from, and opens a bench that holds the trial, a second
one still to be burned, and two trips to pack for, until it is stopped with Ctrl-C.
That bench is thrown away then. Nothing leaves the machine, unless --lan lets a phone in.

Exit codes: 0 done, 1 failed, 2 misused.`,
		Example: `  fairburn demo
  fairburn demo --lan
  fairburn demo --once
  fairburn demo --once --units us --out demo`,
		Args: between(0, 0, "no arguments"),
		RunE: func(c *cobra.Command, _ []string) error {
			return a.demo(c.Context(), once, out, to)
		},
	}
	c.Flags().BoolVar(&once, "once", false, "stop after the report is written")
	c.Flags().StringVar(&out, "out", "", "folder to write to (default: fairburn/demo in the user's cache folder)")
	c.Flags().StringVar(&to.addr, "addr", "", "address to serve on (default 127.0.0.1:8417, with --lan 0.0.0.0:8417)")
	c.Flags().BoolVar(&to.lan, "lan", false, "let a paired phone on the local network in")
	_ = c.MarkFlagDirname("out")
	return c
}

func (a *app) demo(ctx context.Context, once bool, out string, to serving) error {
	r, v, err := a.judgeDemo()
	if err != nil {
		return err
	}
	o := options(r.Trial)
	if a.asJSON {
		return report.JSON(a.out, v, r)
	}
	if err := report.Terminal(a.out, v, r, o); err != nil {
		return err
	}
	if out == "" {
		cache, err := os.UserCacheDir()
		if err != nil {
			return hinted{fmt.Errorf("no folder for the report: %w", err), "name one with --out"}
		}
		out = filepath.Join(cache, "fairburn", "demo")
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return hinted{fmt.Errorf("cannot make the folder for the report: %w", err), "name another with --out"}
	}
	page := filepath.Join(out, "report.html")
	if err := writePage(page, v, r, o); err != nil {
		return err
	}
	if err := writeWhole(filepath.Join(out, "trial.toml"), demoSheet); err != nil {
		return err
	}
	fmt.Fprintf(a.out, "\nreport: %s\nsheet:  %s\nnext:   write the burns of your own over a copy of that sheet, then fairburn judge COPY\n", page, filepath.Join(out, "trial.toml"))
	if once {
		return nil
	}
	b, err := demoBench(ctx)
	if err != nil {
		return err
	}
	return errors.Join(a.serve(ctx, b, to), b.store.Close(), os.RemoveAll(filepath.Dir(b.place)))
}

// demoBench fills a bench that is thrown away.
func demoBench(ctx context.Context) (*openedBench, error) {
	dir, err := os.MkdirTemp("", "fairburn-demo-")
	if err != nil {
		return nil, hinted{fmt.Errorf("no room for the bench of the demo: %w", err), "set TMPDIR to a folder that can be written to"}
	}
	place := filepath.Join(dir, "bench.db")
	store, err := sqlite.Open(place)
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	o := &openedBench{store: store, place: place}
	if err := o.fill(ctx); err != nil {
		return nil, errors.Join(err, store.Close(), os.RemoveAll(dir))
	}
	return o, nil
}

// fill takes the judged trial, one with a plan whose gear that one brought, and the
// trips.
func (o *openedBench) fill(ctx context.Context) error {
	key, err := journal.NewKey(rand.Reader)
	if err != nil {
		return err
	}
	o.Bench, err = bench.Open(ctx, o.store, bench.Tester{Key: key, Name: "tester", Now: time.Now, Random: rand.Reader})
	if err != nil {
		return err
	}
	judged, _, err := sheet.Read("demo.toml", demoSheet)
	if err != nil {
		return err
	}
	if _, err := o.Take(ctx, judged, bench.Refuse); err != nil {
		return err
	}
	next, _, err := sheet.Read("demo_next.toml", demoNext)
	if err != nil {
		return err
	}
	p, _, err := plan.Make(next, plan.Wish{Snuffed: 4})
	if err != nil {
		return err
	}
	next.Plan = p.Plan
	if _, _, err = o.Put(ctx, bench.Edit{Kind: "trial", Thing: next}); err != nil {
		return err
	}
	return cmp.Or(o.fillTrips(ctx), o.fillRepeat(ctx))
}

// fillRepeat takes the invented repeat of another tester as a pack is taken.
func (o *openedBench) fillRepeat(ctx context.Context) error {
	p, err := pack.New(pack.About{Tool: "fairburn", Title: "Three of the four, built again", Invented: true, Made: time.Now()},
		[]pack.File{{Path: publish.SheetName, Data: demoRepeated, Says: "the sheet"}})
	if err != nil {
		return err
	}
	_, err = publish.Merge(ctx, o.Bench, o.store, p, false)
	return err
}

func (o *openedBench) fillTrips(ctx context.Context) error {
	for _, name := range []string{"demo_weekend.toml", "demo_ten_days.toml"} {
		text, err := demoTrips.ReadFile(name)
		if err != nil {
			return err
		}
		t, _, err := sheet.ReadTrip(name, text)
		if err != nil {
			return err
		}
		if _, _, err := o.PutTrip(ctx, t, nil); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) judgeDemo() (*trial.Reduced, *verdict.Verdict, error) {
	t, fs, err := sheet.Read("demo.toml", demoSheet)
	if err != nil {
		return nil, nil, err
	}
	r := a.reduced(a.said(t), fs)
	return r, verdict.Judge(r), nil
}
