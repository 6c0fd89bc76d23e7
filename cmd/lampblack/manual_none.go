//go:build !manual

package main

import "github.com/spf13/cobra"

// extra lists the commands that only the build for the manual has.
func extra() []*cobra.Command { return nil }
