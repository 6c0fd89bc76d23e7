package meet

import (
	"math/rand/v2"
	"slices"
	"time"

	"lampblack/check/flash"
)

// Chance is what alignments of the zones' clocks come to that are drawn at random, each
// with the same chance: the worst second of each.
type Chance struct {
	Counts []int   // by alignment drawn, ascending: flashes in its worst second
	Share  float64 // of the alignments that have more than the rule allows
	Median int
	High   int // 95 of 100 alignments have no more
}

// Likely draws alignments and counts what an eye sees that stays for a while.
func Likely(e *Eye, o Options) Chance {
	rule, draws := o.rule(), o.Draw
	if draws == 0 {
		draws = 400
	}
	length := wholeMs(o.For)
	spans := make([]int, len(e.Lines))
	for z := range e.Lines {
		spans[z] = e.Lines[z].span()
		if !e.Lines[z].Repeats {
			spans[z] += 2 * hold
		}
		if o.For == 0 {
			length = max(length, spans[z])
		}
	}
	v := newView(e, rule, length)
	r := rand.New(rand.NewPCG(o.Seed, 0x6d656574))
	out := Chance{Counts: make([]int, draws)}
	from := make([]int, len(spans))
	for i := range out.Counts {
		for z := range from {
			from[z] = r.IntN(spans[z])
		}
		n := v.count(from, o.Area)
		out.Counts[i] = n
		if n > rule.Most {
			out.Share += 1 / float64(draws)
		}
	}
	slices.Sort(out.Counts)
	out.Median, out.High = out.Counts[draws/2], out.Counts[min(draws*95/100, draws-1)]
	return out
}

// view holds what counting at one alignment needs.
type view struct {
	rule   *flash.Rule
	spots  []Spot
	curves [][]moves // by spot, then zone
	times  []time.Duration
	sum    []float32
	colour []flash.Colour
}

func newView(e *Eye, rule *flash.Rule, length int) *view {
	v := &view{rule: rule, spots: e.Spots, times: make([]time.Duration, length)}
	for i := range v.times {
		v.times[i] = time.Duration(i) * time.Millisecond
	}
	for i := range e.Spots {
		var zones []moves
		for z := range e.Lines {
			zones = append(zones, movesOf(&e.Lines[z], e.Spots[i].Light[z]))
		}
		v.curves = append(v.curves, zones)
	}
	if rule.Ratio > 0 {
		v.colour = make([]flash.Colour, length)
	} else {
		v.sum = make([]float32, length)
	}
	return v
}

// count is the worst second when each zone begins at an instant of its line.
func (v *view) count(from []int, area float64) int {
	spots := make([]flash.Spot, len(v.spots))
	for i := range v.spots {
		spots[i].Area = v.spots[i].Area
		if v.rule.Ratio > 0 {
			clear(v.colour)
			for z := range from {
				c := &v.curves[i][z]
				c.x.along(from[z], len(v.colour), func(k int, x float32) { v.colour[k].X += x })
				c.y.along(from[z], len(v.colour), func(k int, y float32) { v.colour[k].Y += y })
				c.z.along(from[z], len(v.colour), func(k int, z float32) { v.colour[k].Z += z })
			}
			spots[i].Flashes = flash.RedFlashes(v.rule, v.times, v.colour)
			continue
		}
		clear(v.sum)
		for z := range from {
			v.curves[i][z].y.onto(v.sum, from[z])
		}
		spots[i].Flashes = flash.General(v.rule, v.times, v.sum)
	}
	return flash.Count(spots, nil, area).Count
}

// onto adds the curve to a sum, from an instant on.
func (c *curve) onto(sum []float32, from int) {
	for len(sum) > 0 {
		n := len(sum)
		if c.goesOn {
			n = min(n, c.starts-from)
		} else {
			n = min(n, len(c.v)-from)
		}
		for i, x := range c.v[from : from+n] {
			sum[i] += x
		}
		sum = sum[n:]
		if from = 0; !c.goesOn {
			last := c.v[len(c.v)-1]
			for i := range sum {
				sum[i] += last
			}
			return
		}
	}
}

// along hands over the curve's values from an instant on.
func (c *curve) along(from, n int, f func(i int, v float32)) {
	line := make([]float32, n)
	c.onto(line, from)
	for i, v := range line {
		f(i, v)
	}
}
