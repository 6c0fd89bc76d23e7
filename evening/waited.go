package evening

import (
	"strconv"
	"strings"
	"time"
)

// Waited is how long the waits of a piece have lasted that are over, in their order: the
// gaps of its line, in microseconds, with spaces between. It is a text so that states can
// be compared.
type Waited string

// Wait is the gaps as a value.
func Wait(gaps []time.Duration) Waited {
	var b strings.Builder
	for i, gap := range gaps {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(strconv.FormatInt(gap.Microseconds(), 10))
	}
	return Waited(b.String())
}

// Gaps are the first gaps, at most so many. What is no length of time ends them: a line of
// a log may be damaged.
func (w Waited) Gaps(most int) []time.Duration {
	var out []time.Duration
	for _, word := range strings.Fields(string(w)) {
		us, err := strconv.ParseInt(word, 10, 64)
		if err != nil || us < 0 || us > longest*1e6 || len(out) == most {
			break
		}
		out = append(out, time.Duration(us)*time.Microsecond)
	}
	return out
}
