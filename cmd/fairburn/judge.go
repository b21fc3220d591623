package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"fairburn/draw"
	"fairburn/repeat"
	"fairburn/report"
	"fairburn/trial"
	"fairburn/verdict"
)

// judgeFiles are what judge writes beside its answer, "" for none.
type judgeFiles struct{ page, charts string }

// judged is a trial with its verdict, and what other testers' burns say of it.
type judged struct {
	*trial.Reduced
	verdict *verdict.Verdict
	others  *repeat.Comparison // nil where nobody repeated it
}

func (a *app) judgeCommand() *cobra.Command {
	var files judgeFiles
	var with []string
	c := &cobra.Command{
		Use:   "judge SHEET|TRIAL [TABLE...]",
		Short: "say which entry is better, how sure that is, and what would settle the rest",
		Long: `judge reads a trial's sheet (TOML) and any burn tables (CSV, XLSX) beside it,
reduces every burn, compares all entries at once and writes the verdict.

One axis, judge_by in the sheet, carries the error rate: fastest, least fuel,
surest boil or lightest system. Speed and fuel are always both shown. "Too few
burns" and "not settled" are verdicts. What is no file is the title of a trial on
the bench.

` + exitHelp,
		Example: `  fairburn judge trial.toml
  fairburn judge trial.toml burns.csv --report report.html
  fairburn judge trial.toml --charts charts
  fairburn judge "Four burners for an autumn walk"
  fairburn judge trial.toml --with repeated.toml
  fairburn judge trial.toml --json
  fairburn judge trial.toml --units us`,
		Args: between(1, 100, "a sheet or a title, and any burn tables"),
		RunE: func(c *cobra.Command, args []string) error {
			j, err := a.judge(c.Context(), args, with)
			if err != nil {
				return err
			}
			return a.writeVerdict(j, files)
		},
		ValidArgsFunction: completeSheets,
	}
	c.Flags().StringVarP(&files.page, "report", "r", "", "also write the report as one HTML file")
	c.Flags().StringVar(&files.charts, "charts", "", "also write every chart into this folder, as SVG, PDF and PNG")
	c.Flags().StringArrayVarP(&with, "with", "w", nil, "a trial in which others repeated this one: a sheet or a title (may be given several times)")
	_ = c.MarkFlagFilename("report", "html")
	_ = c.MarkFlagFilename("with", "toml")
	_ = c.MarkFlagDirname("charts")
	return c
}

// writeVerdict writes the files first, so that whoever reads the answer has them.
func (a *app) writeVerdict(j judged, files judgeFiles) error {
	r, v := j.Reduced, j.verdict
	o := options(r.Trial)
	o.Repeat = j.others
	o.Made = time.Now().Format("2 January 2006")
	if files.page != "" {
		if err := writePage(files.page, v, r, o); err != nil {
			return err
		}
	}
	if files.charts != "" {
		if err := writeCharts(files.charts, j, o); err != nil {
			return err
		}
	}
	if a.asJSON {
		return report.RepeatJSON(a.out, v, r, j.others)
	}
	if err := report.Terminal(a.out, v, r, o); err != nil {
		return err
	}
	if files.page != "" {
		fmt.Fprintf(a.out, "\nreport written to %s\n", files.page)
	}
	if files.charts != "" {
		fmt.Fprintf(a.out, "\ncharts written to %s\n", files.charts)
	}
	return nil
}

func completeSheets(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"toml", "csv", "tsv", "xlsx"}, cobra.ShellCompDirectiveFilterFileExt
}

// writePage writes the report so that a reader never sees half of one.
func writePage(name string, v *verdict.Verdict, r *trial.Reduced, o report.Options) error {
	var page bytes.Buffer
	if err := report.HTML(&page, v, r, o); err != nil {
		return fmt.Errorf("cannot make the report: %w", err)
	}
	return writeWhole(name, page.Bytes())
}

// chartWidth is that of a chart in a report read on a desktop, px; chartScale
// makes its PNG sharp on a dense screen.
const (
	chartWidth = 880
	chartScale = 2
)

// writeCharts writes every chart of the verdict and of its testers three times:
// SVG for pages, PDF for print, PNG for editors.
func writeCharts(dir string, j judged, o report.Options) error {
	at := report.Layout{Width: chartWidth, Alone: true}
	charts, err := report.Charts(j.verdict, j.Reduced, o.System, at)
	if err == nil && j.others != nil {
		var more []report.Chart
		more, err = report.RepeatCharts(j.others, o.System, at)
		charts = append(charts, more...)
	}
	if err != nil {
		return fmt.Errorf("cannot draw the charts: %w", err)
	}
	return saveCharts(dir, charts)
}

// saveCharts writes charts into a folder, each three times.
func saveCharts(dir string, charts []report.Chart) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return hinted{fmt.Errorf("cannot make the folder for the charts: %w", err), "name another with --charts"}
	}
	const mmPerPixel = 25.4 / 96
	made := time.Now()
	for _, c := range charts {
		for _, file := range []struct {
			ext   string
			write func(io.Writer) error
		}{
			{".svg", func(w io.Writer) error { return draw.StandaloneSVG(w, c.Scene) }},
			{".pdf", func(w io.Writer) error { return draw.PDF(w, c.Scene, mmPerPixel, made) }},
			{".png", func(w io.Writer) error { return draw.PNG(w, c.Scene, chartScale, draw.Paper) }},
		} {
			var b bytes.Buffer
			if err := file.write(&b); err != nil {
				return fmt.Errorf("cannot draw %s%s: %w", c.ID, file.ext, err)
			}
			if err := writeWhole(filepath.Join(dir, c.ID+file.ext), b.Bytes()); err != nil {
				return err
			}
		}
	}
	return nil
}
