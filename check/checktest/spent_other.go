//go:build !unix

package checktest

import "time"

// Spent is nothing on systems that do not tell.
func Spent() time.Duration { return 0 }
