package output

import (
	"testing"
	"time"
)

// Ten of ten seconds are no news, eleven are, and it stays so until no more than two are left;
// a stall is counted when it is over, and a clock that is set forgets.
func TestRecent(t *testing.T) {
	var r Recent
	start := time.Unix(1000, 0)
	sum := uint64(0)
	for _, c := range []struct {
		at    time.Duration
		more  uint64
		count uint64
		much  bool
	}{
		{0, 0, 0, false},
		{time.Second, 10, 10, false},
		{2 * time.Second, 1, 11, true},
		{9 * time.Second, 0, 11, true},
		{11 * time.Second, 5, 6, true}, // the first ten are over
		{12 * time.Second, 0, 5, true},
		{20 * time.Second, 0, 5, true},
		{21 * time.Second, 2, 2, false},
		{63 * time.Second, 44, 44, true}, // nothing was asked for long: they came just now
		{74 * time.Second, 0, 0, false},
		{-time.Hour, 3, 0, false},
		{-time.Hour + time.Second, 12, 12, true},
	} {
		sum += c.more
		count, much := r.Of(start.Add(c.at), sum)
		if count != c.count || much != c.much {
			t.Errorf("%v: %d, %v, want %d, %v", c.at, count, much, c.count, c.much)
		}
	}
}
