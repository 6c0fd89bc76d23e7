//go:build manual

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// The manual pages are written by release.sh alone: the tag keeps what writes
// them out of the program that people run.
func extra() []*cobra.Command { return []*cobra.Command{manualCmd()} }

// manualCmd leaves itself out of the pages that it writes.
func manualCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "manual FOLDER",
		Short: "write the manual pages and the completions of four shells",
		Args:  cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			all := root()
			if own, _, err := all.Find([]string{"manual"}); err == nil {
				all.RemoveCommand(own)
			}
			all.DisableAutoGenTag = true
			pages, shells := filepath.Join(args[0], "man"), filepath.Join(args[0], "completions")
			for _, dir := range []string{pages, shells} {
				if err := os.MkdirAll(dir, 0o755); err != nil {
					return err
				}
			}
			day := time.Unix(0, 0).UTC() // the same bytes on every day
			if err := doc.GenManTree(all, &doc.GenManHeader{Title: "LAMPBLACK", Section: "1", Source: "Lampblack", Manual: "Lampblack", Date: &day}, pages); err != nil {
				return fmt.Errorf("write manual pages: %w", err)
			}
			for name, write := range map[string]func(string) error{
				"lampblack.bash": func(f string) error { return all.GenBashCompletionFileV2(f, true) },
				"_lampblack":     all.GenZshCompletionFile,
				"lampblack.fish": func(f string) error { return all.GenFishCompletionFile(f, true) },
				"lampblack.ps1":  all.GenPowerShellCompletionFileWithDesc,
			} {
				if err := write(filepath.Join(shells, name)); err != nil {
					return fmt.Errorf("write completions: %w", err)
				}
			}
			return nil
		},
	}
}
