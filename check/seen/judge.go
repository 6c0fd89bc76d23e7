package seen

import (
	"slices"
	"time"

	"lampblack/check/flash"
	"lampblack/light"
)

// The rules that a movement is held to are a little stricter than those it is checked by,
// for what the checks may see and the samples miss: a peak between two samples lies above
// both by as much as light runs in half a step, which is what bent allows, in each of the
// drives that come together; terms that are left out, and the checks' own rounding.
var (
	strictBT       = flash.Rule{Source: flash.BT.Source, Step: 18.5, Bright: flash.BT.Bright, Contrast: 1. / 18, Most: flash.BT.Most}
	strictRed      = flash.Rule{Source: flash.Red.Source, Ratio: .79, Distance: .19, Veil: 1.95, Most: flash.Red.Most}
	strictRelative = flash.Rule{Source: relative.Source, Step: .096, Bright: .804, Most: relative.Most}

	strict = rules{&strictBT, &strictRed, &strictRelative, squeezed}
	// What passes the stricter rules may fail these: a change that counts by the one and not by
	// the other moves the instant of its neighbour, and flashes of two units at once are one.
	exact = rules{&flash.BT, &flash.Red, &relative, 0}
)

// rules are what flashes are counted by.
type rules struct {
	general, red, relative *flash.Rule
	squeezed               float64
}

// squeezed is by how much time runs closer for them: two edges that lie a second less 2 ms
// and a little more apart, by samples of 1 ms on both sides, count as within it.
const squeezed = 4e-4

// judge counts the flashes of a stretch of a movement at any factor.
type judge struct {
	eyes   *Eyes
	motion *motion
	from   time.Duration
	times  []time.Duration // squeezed
	by     *rules

	worst    int // the eye that saw too much last, which is asked first
	values   []float32
	scratch  mix
	colours  []flash.Colour
	channels [3][]float32
}

// Judged is the worst second by one rule.
type Judged struct {
	Rule  Rule
	Eye   int // index in Transport.Eyes; -1 for all units together
	From  time.Duration
	Count int
}

// Rule is what flashes are counted by.
type Rule int

// The rules, in the order in which they are asked.
const (
	NoRule     Rule = iota // nothing is over
	ByUnits                // flashes of all units together
	ByEye                  // general flashes, as one eye sees them
	ByEyeOfRed             // red flashes, as one eye sees them
)

func newJudge(e *Eyes, m *motion) *judge {
	j := &judge{eyes: e, motion: m, from: m.times[0]}
	j.times = make([]time.Duration, len(m.times))
	j.values, j.colours = make([]float32, len(m.times)), make([]flash.Colour, len(m.times))
	for k := range j.channels {
		j.channels[k] = make([]float32, len(m.times))
	}
	return j
}

// over tells by which rule the movement has more flashes than the rule allows, if any:
// more than three in a second, over all units or to one eye.
func (j *judge) over(factor float32) Judged {
	if over := j.overBy(&strict, factor); over.Rule != NoRule {
		return over
	}
	return j.overBy(&exact, factor)
}

func (j *judge) overBy(by *rules, factor float32) Judged {
	if j.by != by {
		j.by = by
		for i, t := range j.motion.times {
			j.times[i] = j.from + time.Duration(float64(t-j.from)*(1-by.squeezed))
		}
	}
	s := j.scene(factor)
	all := s.Together()
	if w := flash.Count(all.Spots, all.Trains, 0); w.Count > flash.BT.Most {
		return Judged{ByUnits, -1, j.instant(w.From), w.Count}
	}
	j.look(s, factor)
	for _, by := range []struct {
		kind Kind
		rule Rule
	}{{GeneralBT, ByEye}, {RedWCAG, ByEyeOfRed}} {
		if eye, w := s.first(by.kind, j.worst); eye >= 0 {
			j.worst = eye
			return Judged{by.rule, eye, j.instant(w.From), w.Count}
		}
	}
	return Judged{Eye: -1}
}

// instant is when a squeezed instant is.
func (j *judge) instant(at time.Duration) time.Duration {
	return j.from + time.Duration(float64(at-j.from)/(1-j.by.squeezed)).Round(time.Millisecond)
}

// scene is what there is to see at a factor: units, and those that flash by themselves.
func (j *judge) scene(factor float32) *Scene {
	m := j.motion
	s := &Scene{eyes: j.eyes, top: m.top(factor), lenses: make([]lens, len(j.eyes.rig.Units))}
	for u := range s.lenses {
		j.scratch = m.mixOf(j.scratch, factor, m.drives[u], func(d int) float64 { return m.watts[d] })
		l := &s.lenses[u]
		if m.light == nil && m.swing(j.scratch, .05) < .04 {
			continue // no tenth, even if a window holds but half of it
		}
		values := j.values
		if m.light != nil {
			values = make([]float32, len(m.times))
			l.output = values
		}
		l.flashes = flash.General(j.by.relative, j.times, m.series(values, j.scratch, .0005))
	}
	if m.light != nil {
		s.findTrains(m.at(factor, j.times))
	}
	return s
}

// at is the light at a factor.
func (m *motion) at(factor float32, times []time.Duration) *Light {
	l := &Light{Times: times}
	for i := range m.light {
		s := &m.light[i]
		levels := make([]float32, len(s.still))
		for d, v := range s.still {
			levels[d] = v + factor*(s.full[d]-v)
		}
		l.Levels, l.Rates = append(l.Levels, levels), append(l.Rates, s.rates)
	}
	return l
}

// look finds what pieces flash.
func (j *judge) look(s *Scene, factor float32) {
	var l *Light
	if j.motion.light != nil {
		l = j.motion.at(factor, j.times)
	}
	s.pieces = j.eyes.pieces(s.top)
	for i := range s.pieces {
		p := &s.pieces[i]
		active := slices.DeleteFunc(activeDrives(p.row), func(d int) bool { return s.top[d] == 0 })
		j.general(p, active, factor)
		if p.mayRedden(active) {
			j.red(p, active, factor)
		}
		if l != nil {
			p.findBlinks(active, l, s)
		}
	}
	s.findPatterns()
	s.findSets()
	s.sights = make([]*sight, len(j.eyes.transport.Eyes))
	for i := range s.sights {
		s.sights[i] = s.sightOf(i)
	}
}

// halfStep is what a piece goes up or down within a window at least if it flashes: half of
// the least change that counts, at 160 cd/m² by contrast, as an edge is dated where it is
// half done and may have begun before the window.
const halfStep = 8.5

// general finds the general flashes of a piece.
func (j *judge) general(p *piece, active []int, factor float32) {
	j.scratch = j.motion.mixOf(j.scratch, factor, active, func(d int) float64 { return p.row[d].Y })
	if j.motion.swing(j.scratch, halfStep) < halfStep {
		return
	}
	p.general = flash.General(j.by.general, j.times, j.motion.series(j.values, j.scratch, .2))
}

// redness is linear in light, and not below 0 for a saturated red, whose R is at least a
// share of R + G + B; what of G and B is below 0 counts as 0, so any part of the two will do.
func redness(c light.XYZ, part [2]float64) float64 {
	r, g, b := c.LinearSRGB()
	return (1-strictRed.Ratio)*r - strictRed.Ratio*(part[0]*g+part[1]*b)
}

// red finds the red flashes of a piece. It is looked at only where it may be a red: where
// each of three sums of drives, which no red has below 0, may reach that.
func (j *judge) red(p *piece, active []int, factor float32) {
	for _, part := range [3][2]float64{{1, 0}, {0, 1}, {1, 1}} {
		j.scratch = j.motion.mixOf(j.scratch, factor, active, func(d int) float64 { return redness(p.row[d], part) })
		j.scratch[0] += float32(redness(light.XYZ{X: .95047 * strictRed.Veil, Y: strictRed.Veil, Z: 1.08883 * strictRed.Veil}, part))
		if !j.motion.reaches(j.scratch) {
			return
		}
	}
	for k, channel := range [3]func(c *light.XYZ) float64{
		func(c *light.XYZ) float64 { return c.X }, func(c *light.XYZ) float64 { return c.Y }, func(c *light.XYZ) float64 { return c.Z },
	} {
		j.scratch = j.motion.mixOf(j.scratch, factor, active, func(d int) float64 { return channel(&p.row[d]) })
		j.motion.series(j.channels[k], j.scratch, .02)
	}
	for i := range j.colours {
		j.colours[i] = flash.Colour{X: j.channels[0][i], Y: j.channels[1][i], Z: j.channels[2][i]}
	}
	p.red = flash.RedFlashes(j.by.red, j.times, j.colours)
}
