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

func TestNearTurn(t *testing.T) {
	const at, s = 10 * time.Second, time.Second
	for name, c := range map[string]struct {
		turns []time.Duration
		want  time.Duration
	}{
		"none":               {nil, at},
		"none within reach":  {[]time.Duration{at - 2*s, at + 2*s}, at},
		"the nearer of two":  {[]time.Duration{at - s, at + s/2}, at + s/2},
		"one at the place":   {[]time.Duration{at, at + s}, at},
		"one behind another": {[]time.Duration{at - s/2, at + s}, at - s/2},
	} {
		var turns []Moment
		for _, d := range c.turns {
			turns = append(turns, Moment{Kind: Turn, Time: d})
		}
		if got := nearTurn(turns, at, 2*s); got != c.want {
			t.Errorf("%s: got %v, want %v", name, got, c.want)
		}
	}
}
