package desk

import (
	"fmt"
	"math"
	"slices"
	"time"

	"lampblack/si"
)

// Light that moves by itself comes down to a few stored states and recalls of them: each
// the nearest that there is for as long as it is so. How far what the audience sees then is
// from what moves is told.

const (
	mostStored = 6                      // states of what one cue moves
	movesStep  = 50 * time.Millisecond  // how often it is looked at
	leastStand = 150 * time.Millisecond // for which a state stands (a choice: nearer recalls are none that a desk keeps up with for long)
	mostSeen   = 20000                  // samples of one cue
)

// moving is what one cue's movement has become.
type moving struct {
	cue     int
	states  int
	recalls int
	off     float64 // mean difference, CIEDE2000
	span    time.Duration
}

// moves adds the recalls of what moves by itself in a cue that stays, from when it is
// complete until the next one.
func (c *collector) moves(i int) {
	cue := &c.show.Cues[i]
	from, to := cue.Start+max(cue.Up, cue.Falls()), min(c.show.StaysUntil(i), c.show.Length)
	n := int((to - from) / movesStep)
	if !c.show.Moves(i) || n < 2 {
		return
	}
	n = min(n, mostSeen)
	seen := make([][]float32, n)
	for k := range seen {
		seen[k] = slices.Clone(c.show.ByItself(c.frame, i, from+time.Duration(k)*movesStep).Levels)
	}
	stored := farthest(seen, mostStored)
	of := likest(seen, stored)
	smooth(of, int(leastStand/movesStep))
	m := moving{cue: i, span: to - from}
	states := map[int]int{} // by stored
	last := -1
	for k, which := range of {
		if _, known := states[which]; !known {
			copy(c.frame.Levels, seen[stored[which]])
			copy(c.frame.Flash, c.show.Looks[cue.Look].Flash)
			c.show.Encode(c.frame)
			states[which] = c.state(fmt.Sprintf("%s, step %d", c.show.Looks[cue.Look].Name, len(states)+1))
		}
		if which != last {
			c.asks = append(c.asks, ask{at: from + time.Duration(k)*movesStep, land: begins, state: states[which], cue: i, moves: true})
			m.recalls++
			last = which
		}
		mean, _ := c.eye.difference(c.eye.see(seen[k]), c.states[states[which]].sight)
		m.off += mean / float64(n)
	}
	m.states = len(states)
	c.moved = append(c.moved, m)
}

// farthest chooses up to most of the samples, each the farthest from those before it; fewer
// where there are no more that differ.
func farthest(seen [][]float32, most int) []int {
	chosen := []int{0}
	apart := make([]float64, len(seen))
	for i := range seen {
		apart[i] = unlike(seen[i], seen[0])
	}
	for len(chosen) < most {
		next := 0
		for i := range apart {
			if apart[i] > apart[next] {
				next = i
			}
		}
		if apart[next] < 1e-4 {
			break
		}
		chosen = append(chosen, next)
		for i := range seen {
			apart[i] = min(apart[i], unlike(seen[i], seen[next]))
		}
	}
	return chosen
}

// unlike is how far two states of light are apart, in the square of levels as the eye takes
// them: lightness goes by the cube root.
func unlike(a, b []float32) float64 {
	sum := 0.0
	for d := range a {
		x := math.Cbrt(float64(a[d])) - math.Cbrt(float64(b[d]))
		sum += x * x
	}
	return sum
}

func likest(seen [][]float32, stored []int) []int {
	out := make([]int, len(seen))
	for i := range seen {
		least := math.Inf(1)
		for k, s := range stored {
			if off := unlike(seen[i], seen[s]); off < least {
				out[i], least = k, off
			}
		}
	}
	return out
}

// smooth lets each state stand for at least so many samples.
func smooth(of []int, least int) {
	for from := 0; from < len(of); {
		to := from + 1
		for to < len(of) && of[to] == of[from] {
			to++
		}
		if to-from < least { // it stands longer, at the cost of what comes after it
			to = min(from+least, len(of))
			for k := from; k < to; k++ {
				of[k] = of[from]
			}
		}
		from = to
	}
}

// lostMoves tells what has become of light that moves by itself.
func (p *Plan) lostMoves() {
	for _, m := range p.need.moved {
		c := &p.Show.Cues[m.cue]
		p.Losses = append(p.Losses, Loss{Harm: m.off * m.span.Seconds(), From: c.Start, Cues: []string{c.Number.Name}, kind: fades,
			Text: fmt.Sprintf("its light moves by itself: the desk has %s of that, recalled %d times in %s; colours differ by %.1f on the mean from what moves (CIEDE2000)",
				count(m.states, "step"), m.recalls, si.FormatTime(m.span), m.off)})
	}
}
