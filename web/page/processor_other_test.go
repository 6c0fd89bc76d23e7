//go:build !unix

package page

import "time"

// processorTime is not asked for here.
func processorTime() time.Duration { return 0 }
