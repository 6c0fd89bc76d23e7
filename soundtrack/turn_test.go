package soundtrack

import (
	"testing"
	"time"
)

// A turn goes to the surest hit near it, else to the nearest bar, else it stays.
func TestTurnsSnap(t *testing.T) {
	const ms = time.Millisecond
	at := 10 * time.Second
	hit := func(d time.Duration, score float64) peak { return peak{Time: (at + d).Seconds(), Score: score} }
	for name, c := range map[string]struct {
		peaks []peak
		bars  []time.Duration
		want  time.Duration
	}{
		"nothing near":            {nil, []time.Duration{at - 260*ms, at + 260*ms}, at},
		"the nearer of two bars":  {nil, []time.Duration{at - 200*ms, at + 10*ms, at + 210*ms}, at + 10*ms},
		"a bar before":            {nil, []time.Duration{at - 240*ms}, at - 240*ms},
		"a hit before a bar":      {[]peak{hit(100*ms, .9)}, []time.Duration{at + 5*ms}, at + 100*ms},
		"a hit too far":           {[]peak{hit(160*ms, 1)}, nil, at},
		"the surer hit of two":    {[]peak{hit(-20*ms, .5), hit(60*ms, .9)}, nil, at + 60*ms},
		"an unsure hit, far away": {[]peak{hit(140*ms, .4)}, []time.Duration{at - 30*ms}, at - 30*ms},
	} {
		if got := snapped(at, c.peaks, c.bars); (got - c.want).Abs() > time.Microsecond {
			t.Errorf("%s: moved to %v, want %v", name, got, c.want)
		}
	}
}
