//go:build !unix

package folder

import "os"

// forceDir: these systems keep names in order by themselves.
func forceDir(*os.File) error { return nil }
