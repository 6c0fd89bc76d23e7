package meet

import (
	"lampblack/check/flash"
)

// moves are what a zone's colour does on a spot, channel by channel, at every
// millisecond.
type moves struct {
	x, y, z, d curve // d is X + 15 Y + 3 Z, under which u' and v' stand
}

func movesOf(l *Line, light []flash.Colour) moves {
	return moves{
		x: curveOf(l, light, func(c flash.Colour) float32 { return c.X }, tail),
		y: curveOf(l, light, luminance, tail),
		z: curveOf(l, light, func(c flash.Colour) float32 { return c.Z }, tail),
		d: curveOf(l, light, under, tail),
	}
}

func under(c flash.Colour) float32 { return c.X + 15*c.Y + 3*c.Z }

// mostRed bounds red flashes by what each zone does apart, at alignments of whole
// milliseconds, as package flash looks at states and not between them.
//
// From one state of a mix to another, u' = 4X/D changes by (4 ΔX - u' ΔD)/D and v' = 9Y/D
// by (9 ΔY - v' ΔD)/D, D that of either. As u' + v' is below 1.22 for every colour, a
// change by more than the rule's distance d takes
//
//	4 |ΔX| + 9 |ΔY| + 1.22 |ΔD| > d D,  D = D of the veil + D of each zone
//
// and so, as the left side is at most the sum of what the zones do, some zone does more
// than d of its own least D and its share of the veil's. Changes that follow one another
// have no time in common, so there are at most as many as disjoint stretches in which a
// zone does that, added up. Between n flashes there are 2n - 3 whole changes.
func mostRed(e *Eye, o Options) Bound {
	counts := make([]int, len(e.Spots))
	for i := range e.Spots {
		counts[i] = redOfSpot(e, &e.Spots[i], o.rule())
	}
	return Bound{Count: joined(e.Spots, counts, o.Area)}
}

func redOfSpot(e *Eye, spot *Spot, rule *flash.Rule) int {
	red := false
	for _, light := range spot.Light {
		for _, c := range light {
			red = red || mayBeRed(rule, c)
		}
	}
	if !red {
		return 0
	}
	veil := float32(rule.Veil * (.95047 + 15 + 3*1.08883)) // D65, as package flash has it
	most, ever := 0, 0
	for z := range e.Lines {
		m := movesOf(&e.Lines[z], spot.Light[z])
		inSecond, all := m.most(float32(rule.Distance), veil/float32(len(e.Lines)))
		most, ever = most+inSecond, ever+all
	}
	if ever == 0 {
		return 0
	}
	return min((most+3)/2, ceiling)
}

// mayBeRed tells whether a mix with a colour in it may be a saturated red. R - ratio (R +
// G + B) of a mix is the sum of those of its parts, so one part has at least 0; and what
// the primaries cannot show is cut to them, which makes it no larger.
func mayBeRed(rule *flash.Rule, c flash.Colour) bool {
	x, y, z := float64(c.X), float64(c.Y), float64(c.Z)
	r := 3.2404542*x - 1.5371385*y - .4985314*z
	g := -.9692660*x + 1.8760108*y + .0415560*z
	b := .0556434*x - .2040259*y + 1.0572252*z
	return r > 0 && r-rule.Ratio*(r+g+b) >= 0
}

// most is how many disjoint stretches a zone moves in, in any second and in all.
func (m *moves) most(distance, veil float32) (inSecond, all int) {
	var ends []int
	var x, y, d swing
	begin := func(i int) {
		x, y, d = swing{m.x.v[i], m.x.v[i], 0, 0}, swing{m.y.v[i], m.y.v[i], 0, 0}, swing{m.d.v[i], m.d.v[i], 0, 0}
	}
	begin(0)
	for i := range m.x.v[:m.x.starts+window+pairing] {
		x.take(m.x.v[i])
		y.take(m.y.v[i])
		d.take(m.d.v[i])
		if 4*(x.high-x.low)+9*(y.high-y.low)+1.22*(d.high-d.low) > distance*(d.low+veil) {
			ends = append(ends, i)
			begin(i)
		}
	}
	// A second that begins between two ends may hold one stretch that ends before
	// the first of them would.
	first := 0
	for last := range ends {
		for ends[last]-ends[first] >= window {
			first++
		}
		inSecond = max(inSecond, last-first+2)
	}
	return inSecond, len(ends)
}

func (s *swing) take(v float32) { s.low, s.high = min(s.low, v), max(s.high, v) }
