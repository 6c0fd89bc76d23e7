package dark

import (
	"testing"

	"lampblack/check/checktest"
)

// One foot-candle is a lumen on a square foot, and a foot is 0.3048 m: IBC
// 1008.2.1 has 1 fc, New York City 0.2 fc during performances.
func TestFootCandles(t *testing.T) {
	checktest.Within(t, "1 fc", egress, 1/(.3048*.3048), 1e-4)
	checktest.Within(t, "0.2 fc", performance, .2/(.3048*.3048), 1e-4)
}
