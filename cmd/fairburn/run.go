package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/trial"
)

// Exit codes; every help names them.
const (
	done     = 0
	failed   = 1
	misused  = 2
	doubtful = 3
)

const exitHelp = `Exit codes: 0 done, 1 failed, 2 misused, 3 done but findings could change the answer.`

// version is set by the release build.
var version = "development"

// streams are what a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// app is one run of the program: streams, common flags, and whether findings
// could change the answer.
type app struct {
	streams
	units  unitsFlag
	bench  string
	seed   uint64
	asJSON bool
	doubt  bool
}

// hinted is an error with what to do about it.
type hinted struct {
	error
	hint string
}

func (h hinted) Unwrap() error { return h.error }

// usage marks an error of the command line.
type usage struct{ error }

func (u usage) Unwrap() error { return u.error }

// run runs the program and returns its exit code. Errors are written as
// "fairburn: error:" and, where something can be done, "fairburn: hint:".
func run(ctx context.Context, args []string, s streams) int {
	a := &app{streams: s}
	root := a.root()
	root.SetArgs(args)
	c, err := root.ExecuteContextC(ctx)
	switch {
	case err == nil && a.doubt:
		return doubtful
	case err == nil:
		return done
	}
	fmt.Fprintln(s.err, "fairburn: error:", report.Plain(err.Error()))
	var h hinted
	var u usage
	switch {
	case errors.As(err, &h):
		fmt.Fprintln(s.err, "fairburn: hint:", h.hint)
	case errors.As(err, &u):
		fmt.Fprintln(s.err, "fairburn: hint:", c.CommandPath(), "--help says more, with examples")
	}
	if errors.As(err, &u) {
		return misused
	}
	return failed
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "fairburn",
		Short: "judge bench trials of small spirit burners",
		Long: `fairburn judges bench trials of small spirit burners for backpacking: it reads
the sheet that a tester keeps, reduces every burn to figures at reference
conditions, and says which burner is really better, how sure that is, and what
would settle the rest.

` + exitHelp,
		Example: `  fairburn demo --once
  fairburn judge trial.toml
  fairburn reduce trial.toml --burn 7
  fairburn plan trial.toml --snuffed 4
  fairburn open
  fairburn take trial.toml
  fairburn carry weekend.toml --trial trial.toml
  fairburn ask boil --elevation "640 m"`,
		Version:       version,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return unknownCommand(c, args[0])
			}
			return c.Help()
		},
	}
	root.SetIn(a.in)
	root.SetOut(a.out)
	root.SetErr(a.err)
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return usage{fmt.Errorf("%w (%s)", err, c.CommandPath())}
	})
	root.SuggestionsMinimumDistance = 2
	f := root.PersistentFlags()
	f.Var(&a.units, "units", "units to print: metric or us; without it, the sheet's own")
	f.BoolVar(&a.asJSON, "json", false, "write JSON for other programs")
	f.Uint64Var(&a.seed, "seed", 0, "seed of everything random; 0 takes the sheet's")
	f.StringVar(&a.bench, "bench", "", "bench file, or a postgres:// address; without it, bench.db in the user's data folder")
	_ = root.RegisterFlagCompletionFunc("units", cobra.FixedCompletions([]string{"metric", "us"}, cobra.ShellCompDirectiveNoFileComp))
	addGroup(root, "trial", "Judging a trial:", a.demoCommand(), a.judgeCommand(), a.reduceCommand(), a.planCommand(), a.askCommand())
	addGroup(root, "trip", "Packing for a trip:", a.carryCommand())
	addGroup(root, "publish", "Publishing a test:", a.publishCommand(), a.filmCommand())
	addGroup(root, "bench", "Keeping trials on a bench:", a.openCommand(), a.takeCommand(), a.trialsCommand(), a.historyCommand(), a.exportCommand(),
		a.verifyCommand(), a.backupCommand(), a.recordsCommand(), a.mergeCommand(), a.shunCommand())
	root.AddCommand(manCommand())
	return root
}

// addGroup adds commands under a heading of their own in the help.
func addGroup(root *cobra.Command, id, title string, commands ...*cobra.Command) {
	root.AddGroup(&cobra.Group{ID: id, Title: title})
	for _, c := range commands {
		c.GroupID = id
	}
	root.AddCommand(commands...)
}

func unknownCommand(c *cobra.Command, name string) error {
	err := fmt.Errorf("unknown command %q", name)
	if near := c.SuggestionsFor(name); len(near) > 0 {
		return usage{hinted{err, "did you mean " + strings.Join(near, " or ") + "?"}}
	}
	return usage{err}
}

// between asks for at least so many arguments and at most so many, in words.
func between(least, most int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) < least || len(args) > most {
			return usage{fmt.Errorf("%s takes %s, got %d arguments", c.CommandPath(), what, len(args))}
		}
		return nil
	}
}

// unitsFlag is the units preference; unset leaves it to the sheet.
type unitsFlag struct {
	system quantity.System
	set    bool
}

func (u *unitsFlag) String() string {
	if !u.set {
		return ""
	}
	return u.system.String()
}

func (u *unitsFlag) Type() string { return "metric|us" }

func (u *unitsFlag) Set(s string) error {
	var sys quantity.System
	if err := sys.UnmarshalText([]byte(strings.ToLower(s))); err != nil {
		return errors.New("expected metric or us")
	}
	u.system, u.set = sys, true
	return nil
}

// options are those of a report in the units of its trial.
func options(t *trial.Trial) report.Options {
	return report.Options{System: t.Units(), Version: version}
}

// heed notes findings that could change the answer.
func (a *app) heed(fs []finding.Finding) {
	if worst, ok := finding.Worst(fs); ok && worst >= finding.Caution {
		a.doubt = true
	}
}

// tell writes findings to the error stream, one a line.
func (a *app) tell(fs []finding.Finding) {
	for _, f := range fs {
		fmt.Fprintln(a.err, "fairburn:", report.Plain(f.String()))
	}
}
