package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
)

// manCommand writes man pages from the same texts as --help. cobra's own writer
// of them goes through Markdown, whose parser is half a megabyte.
func manCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "man DIR",
		Short:   "write the man pages into a folder",
		Long:    "man writes one man page a command into a folder.\n\nExit codes: 0 done, 1 failed, 2 misused.",
		Example: "  fairburn man ./man && man ./man/fairburn-judge.1",
		Args:    between(1, 1, "a folder"),
		RunE: func(c *cobra.Command, args []string) error {
			if err := os.MkdirAll(args[0], 0o755); err != nil {
				return hinted{fmt.Errorf("cannot make the folder: %w", err), "name a folder that can be written to"}
			}
			return writeManPages(c.Root(), args[0])
		},
	}
}

// writeManPages writes the page of a command and those of all below it.
func writeManPages(c *cobra.Command, dir string) error {
	path := filepath.Join(dir, manName(c)+".1")
	if err := os.WriteFile(path, []byte(manPage(c)), 0o644); err != nil {
		return hinted{fmt.Errorf("cannot write a man page: %w", err), "name a folder that can be written to"}
	}
	for _, below := range c.Commands() {
		if !below.IsAvailableCommand() {
			continue
		}
		if err := writeManPages(below, dir); err != nil {
			return err
		}
	}
	return nil
}

func manName(c *cobra.Command) string { return strings.ReplaceAll(c.CommandPath(), " ", "-") }

// manPage is the help of a command in the man macros of roff. Its lines stay as
// they are broken there.
func manPage(c *cobra.Command) string {
	c.InitDefaultHelpFlag()
	var also []string
	if c.HasParent() {
		also = append(also, manName(c.Parent())+"(1)")
	}
	for _, below := range c.Commands() {
		if below.IsAvailableCommand() {
			also = append(also, manName(below)+"(1)")
		}
	}
	var out strings.Builder
	fmt.Fprintf(&out, ".TH FAIRBURN 1 \"\" fairburn fairburn\n.SH NAME\n%s \\- %s\n", roff(manName(c)), roff(c.Short))
	for _, s := range []struct{ title, text string }{
		{"SYNOPSIS", c.UseLine()},
		{"DESCRIPTION", c.Long},
		{"OPTIONS", c.NonInheritedFlags().FlagUsages()},
		{"OPTIONS OF EVERY COMMAND", c.InheritedFlags().FlagUsages()},
		{"EXAMPLES", c.Example},
		{"SEE ALSO", strings.Join(also, "\n")},
	} {
		if s.text != "" {
			fmt.Fprintf(&out, ".SH %s\n.nf\n%s\n.fi\n", s.title, roff(strings.TrimRight(s.text, "\n")))
		}
	}
	return out.String()
}

// roff writes plain text so that no sign of it is taken for an instruction: \&
// at the beginning of a line is nothing that can be seen.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`, "\n.", "\n\\&.", "\n'", "\n\\&'").Replace(text)
	if strings.HasPrefix(text, ".") || strings.HasPrefix(text, "'") {
		return `\&` + text
	}
	return text
}
