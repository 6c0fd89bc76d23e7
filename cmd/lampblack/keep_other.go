//go:build !linux && !darwin

package main

import "github.com/spf13/cobra"

// keep runs in this process: the system gives no line that a child inherits.
func keep(c *cobra.Command, args []string, run func(*cobra.Command, []string) error) error {
	return run(c, args)
}

// takeLine has none to take up.
func takeLine() {}
