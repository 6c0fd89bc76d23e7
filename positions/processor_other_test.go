//go:build !unix

package positions_test

import "time"

// spentNow is not known here.
func spentNow() time.Duration { return 0 }
