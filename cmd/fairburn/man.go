package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// manCommand writes man pages from the same texts as --help.
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
			root := c.Root()
			root.DisableAutoGenTag = true
			return doc.GenManTree(root, &doc.GenManHeader{Title: "FAIRBURN", Section: "1", Source: "fairburn", Manual: "fairburn"}, args[0])
		},
	}
}
