package main

import (
	"cmp"
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// released is set by release.sh; empty in builds from the source.
var released string

// versionCmd prints what a report of a fault needs: version, compiler, system.
func versionCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "print the version",
		Args:  cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			version := cmp.Or(released, "unreleased")
			if info, ok := debug.ReadBuildInfo(); ok && released == "" && info.Main.Version != "" && info.Main.Version != "(devel)" {
				version = info.Main.Version
			}
			_, err := fmt.Fprintf(c.OutOrStdout(), "lampblack %s, %s, %s/%s\n", version, runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return err
		},
	}
}
