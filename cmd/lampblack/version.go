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
			_, err := fmt.Fprintf(c.OutOrStdout(), "lampblack %s, %s, %s/%s\n", ownVersion(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return err
		},
	}
}

// ownVersion is that of a release, or of the module that this was built from.
func ownVersion() string {
	if info, ok := debug.ReadBuildInfo(); ok && released == "" && info.Main.Version != "" && info.Main.Version != "(devel)" {
		return info.Main.Version
	}
	return cmp.Or(released, "unreleased")
}
