package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

func newManual(s streams) *cobra.Command {
	var dir string
	c := &cobra.Command{
		Use:   "manual -o DIR",
		Short: "Write the manual pages of all commands into a folder",
		Long: `Manual writes one page a command, for man: put the folder's pages into a man1 directory,
or read one as "man ./man/deadrung-find.1".`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if dir == "" {
				return usagef("name the folder with -o")
			}
			if err := os.MkdirAll(dir, 0o755); err != nil {
				return fmt.Errorf("cannot make the folder of the manual: %w", err)
			}
			cmd.Root().DisableAutoGenTag = true
			if err := manualPages(cmd.Root(), dir, s); err != nil {
				return err
			}
			fmt.Fprintf(s.err, "The manual pages are in %s.\n", dir)
			return nil
		},
	}
	c.Flags().StringVarP(&dir, "output", "o", "", "the folder; it is made where there is none (needed)")
	return c
}

// manualPages writes the page of a command and those of the commands below it.
func manualPages(c *cobra.Command, dir string, s streams) error {
	for _, sub := range c.Commands() {
		if !sub.IsAvailableCommand() || sub.IsAdditionalHelpTopicCommand() {
			continue
		}
		if err := manualPages(sub, dir, s); err != nil {
			return err
		}
	}
	name := filepath.Join(dir, strings.ReplaceAll(c.CommandPath(), " ", "-")+".1")
	return saved(s.files.Write(name, func(w io.Writer) error {
		return doc.GenMan(c, &doc.GenManHeader{Section: "1", Source: "deadrung " + version()}, w)
	}), "the manual")
}
