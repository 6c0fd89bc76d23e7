package light

import (
	"fmt"
	"math"
	"time"
)

// VisibleStep is the relative change of luminance above which a step is
// counted as visible: 1 %, the better end of Weber's 1 to 2 %. Common
// practice, no source.
const VisibleStep = .01

// fusion is how fast steps may follow each other before they read as motion
// rather than as steps, in steps a second. From memory: flicker of a few per
// cent fuses well below this at stage luminances.
const fusion = 25.0

// Steps tells how smooth a fade is once it is cut into slot values.
type Steps struct {
	Count    int           // changes of light over the fade
	Visible  int           // those above VisibleStep that do not run together
	Relative float64       // greatest change as a share of the darker light; black left out
	Lightest float64       // greatest change in L*, full drive being white
	At       float64       // level, 0 to 1, at that change
	Rate     float64       // changes a second where they are slowest among the visible
	Longest  time.Duration // longest wait between two changes
}

// String says it in a line.
func (s Steps) String() string {
	return fmt.Sprintf("%d steps, %d visible; the largest %.2f in L* at %.1f %% of full; longest wait %v",
		s.Count, s.Visible, s.Lightest, 100*s.At, s.Longest.Round(time.Millisecond))
}

// StepVisibility reports the steps of a fade of one emitter from one level to
// another, even in light, over a time, by a group of units that shine on the
// same place with Stagger (units 1: a unit alone). Frames come at rate frames a
// second; steps between two frames merge.
func (c *Curve) StepVisibility(from, to float64, over time.Duration, units int, rate float64) (Steps, error) {
	if err := c.Check(); err != nil {
		return Steps{}, err
	}
	if !(from >= 0 && from <= 1 && to >= 0 && to <= 1) || over <= 0 || over > time.Hour || units < 1 || units > 1000 || !(rate >= 1 && rate <= 1000) {
		return Steps{}, fmt.Errorf("fade from %v to %v over %v, %d units, %v frames/s: want levels 0 to 1, up to an hour, 1 to 1000 units and frames", from, to, over, units, rate)
	}
	// Frame by frame: what does not change from one frame to the next is no step, and what
	// changes twice within one is one.
	var s Steps
	frames := int(math.Ceil(over.Seconds() * rate))
	period := time.Duration(float64(time.Second) / rate)
	before, last := c.group(from, units), 0
	for k := 1; k <= frames; k++ {
		now := c.group(from+(to-from)*float64(k)/float64(frames), units)
		if now == before {
			continue
		}
		s.add(before, now, time.Duration(k-last)*period)
		before, last = now, k
	}
	s.Longest = max(s.Longest, time.Duration(frames-last)*period)
	return s, nil
}

// add takes in one change of light, which came so long after the one before. Out of black
// any step is infinitely large by shares, and counts as visible; only L* can measure it.
func (s *Steps) add(before, now float64, wait time.Duration) {
	s.Count++
	s.Longest = max(s.Longest, wait)
	low, high := min(before, now), max(before, now)
	relative := high/low - 1
	if low > 0 {
		s.Relative = max(s.Relative, relative)
	}
	if d := Lightness(high) - Lightness(low); d > s.Lightest {
		s.Lightest, s.At = d, low
	}
	frequency := 1 / wait.Seconds()
	if relative > VisibleStep && frequency < fusion {
		s.Visible++
		if s.Rate == 0 || frequency < s.Rate {
			s.Rate = frequency
		}
	}
}

// group is the mean light of the units at a level.
func (c *Curve) group(level float64, units int) float64 {
	sum := 0.0
	for u := range units {
		sum += c.Level(c.Stagger(level, u, 0))
	}
	return sum / float64(units)
}
