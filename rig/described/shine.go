package described

import (
	"math"
	"slices"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/wire/gdtf"
)

// lightPart is what a channel lets through, by value of its first octet.
type lightPart struct {
	level    [256]float64
	from, to int
	function *gdtf.Function
	word     string // of the colour; "" for a dimmer
}

// shine samples a function that dims. With several octets the others are as the first, so that the
// ends are the ends.
func (v *values) shine(s *gdtf.Span, word string) {
	if v.light == nil {
		v.light = &lightPart{from: 256, to: -1, function: s.Function, word: word}
	}
	l := v.light
	if l.word != word {
		v.note("it has more than one colour in turn: values %d to %d are kept out of", v.octet(s.From), v.octet(s.To))
		v.add(s.From, s.To, rig.Range{Does: rig.Never})
		return
	}
	from, to := v.octet(s.From), v.octet(s.To)
	if l.to >= 0 && from > l.to+1 {
		v.note("it dims in two stretches: values %d to %d are kept out of", from, to)
		v.add(s.From, s.To, rig.Range{Does: rig.Never})
		return
	}
	curve := v.profile(s.Function.Profile)
	for _, p := range v.parts(s) {
		for x := v.octet(p.From); x <= v.octet(p.To); x++ {
			l.level[x] = level(p, v.whole(x), s, curve)
		}
	}
	l.from, l.to = min(l.from, from), max(l.to, to)
}

// whole is the value of all octets for one of the first.
func (v *values) whole(octet int) uint64 {
	return gdtf.Value{N: uint64(octet), Bytes: 1}.At(v.size)
}

// parts are those of a function that dims; one that tells no physical values goes from 0 to 1, as the
// attribute means.
func (v *values) parts(s *gdtf.Span) []gdtf.Part {
	f := *s.Function
	if !f.PhysFrom.Told || !f.PhysTo.Told {
		f.PhysFrom, f.PhysTo = gdtf.Is(0), gdtf.Is(1)
	}
	told := *s
	told.Function = &f
	return told.Parts(v.size)
}

// level is the light of a part at a value: along its profile, which is that of the function.
func level(p gdtf.Part, x uint64, s *gdtf.Span, curve func(float64) float64) float64 {
	if curve != nil && s.To > s.From {
		u := float64(x-s.From) / float64(s.To-s.From)
		from, to := 0., 1.
		if s.Function.PhysFrom.Told && s.Function.PhysTo.Told {
			from, to = s.Function.PhysFrom.Value, s.Function.PhysTo.Value
		}
		return from + (to-from)*curve(u)
	}
	if p.To == p.From {
		return p.PhysFrom.Value
	}
	share := math.Min(math.Max(float64(x)-float64(p.From), 0)/float64(p.To-p.From), 1)
	return p.PhysFrom.Value + share*(p.PhysTo.Value-p.PhysFrom.Value)
}

// profile is a dimmer's response, both ways in shares. Whether a file counts from 0 to 1 or to 100 it does
// not say: its value at the end does.
func (v *values) profile(name string) func(float64) float64 {
	if name == "" {
		return nil
	}
	i := slices.IndexFunc(v.t.r.t.Physical.Profiles, func(p gdtf.Profile) bool { return p.Name == name })
	if i < 0 {
		v.note("its dimmer profile %q is not there: taken as even", name)
		return nil
	}
	points := v.t.r.t.Physical.Profiles[i].Points
	at := func(x float64) float64 {
		sum := 0.0
		for _, p := range points {
			if d := x - p.At.Value; d >= 0 {
				sum = p.C0.Value + d*(p.C1.Value+d*(p.C2.Value+d*p.C3.Value))
			}
		}
		return sum
	}
	one, hundred := at(1), at(100)
	switch {
	case math.Abs(one-1) < .02 && !slices.ContainsFunc(points, func(p gdtf.ProfilePoint) bool { return p.At.Value > 1 }):
		return at
	case math.Abs(hundred-100) < 2:
		return func(u float64) float64 { return at(100*u) / 100 }
	case math.Abs(hundred-1) < .02:
		return func(u float64) float64 { return at(100 * u) }
	}
	v.note("its dimmer profile %q does not end at full light: taken as even", name)
	return nil
}

// lit makes a slot that drives or dims.
func (v *values) lit() {
	s, l := v.slot, v.light
	s.Cell = v.t.cell(v.c)
	if l.word == "" && (v.t.coloured(v.c) || len(v.t.followers(v.c)) > 0) {
		s.Dims = []string{"all"}
		if f := v.t.followers(v.c); len(f) > 0 {
			s.Dims, s.Cell = f, 0
		}
	} else {
		word := l.word
		if word == "" {
			word = "light"
		}
		var beam *gdtf.Geometry
		if len(v.c.Openings) > 0 {
			beam = v.t.layout.Openings[v.c.Openings[0]].Beam
		}
		s.Drives = v.t.r.out.emitters[v.t.r.emitter(l.function, word, beam)].name
	}
	v.curve()
}

// curve finds the law of the slot, and whether it dims in all of its travel or in a part.
func (v *values) curve() {
	l := v.light
	top := 0.0
	for x := l.from; x <= l.to; x++ {
		top = max(top, l.level[x])
	}
	if top <= 0 {
		v.note("its light is told as 0 at every value: taken as even from dark to full")
		for x := l.from; x <= l.to; x++ {
			l.level[x] = float64(x-l.from) / float64(max(l.to-l.from, 1))
		}
		top = 1
	}
	falls := l.level[l.from] > l.level[l.to]
	if falls && v.slot.Fine == 0 {
		slices.Reverse(l.level[l.from : l.to+1])
	} else if falls {
		v.note("it is full at %d and dark at %d, which a type cannot say: these values are kept out of", l.from, l.to)
		v.ranges = append(v.ranges, rig.Range{From: l.from, To: l.to, Does: rig.Never})
		v.sorted()
		return
	}
	scale := 1.0
	if top > 1.5 { // per cent
		scale = top
	}
	least := 0.0
	for x := l.from; x <= l.to; x++ {
		least = min(max(l.level[x]/scale, least), 1) // light that falls stays
		l.level[x] = least
	}
	// In all of its travel, of which ranges may take some values.
	if l.from == 0 && !falls {
		if c, ok := v.fit(0, 255, l.to); ok {
			v.slot.Curve = c
			return
		}
	}
	c, ok := v.fit(l.from, l.to, l.to)
	if !ok {
		v.note("its light does not run from dark to full: taken so all the same")
		a, b := l.level[l.from], l.level[l.to]
		for x := l.from; x <= l.to; x++ {
			l.level[x] = (l.level[x] - a) / max(b-a, 1e-9)
		}
		c, _ = v.fit(l.from, l.to, l.to)
	}
	v.slot.Curve = c
	does := rig.Level
	if falls {
		does = rig.LevelDown
	}
	if l.from > 0 || l.to < 255 || falls {
		v.ranges = append(v.ranges, rig.Range{From: l.from, To: l.to, Does: does})
		v.sorted()
	}
}

func (v *values) sorted() {
	slices.SortStableFunc(v.ranges, func(a, b rig.Range) int { return a.From - b.From })
}

// within is how far a curve may be off what is told: half a step of 8 bits.
const within = .002

// fit finds a curve over the travel from one value to another that has the light that is told, up to the value
// known.
func (v *values) fit(from, to, known int) (rig.Curve, bool) {
	told := v.light.level[from : known+1]
	if told[0] > within || known == to && told[len(told)-1] < 1-within {
		return rig.Curve{}, false
	}
	c := rig.Curve{}
	for x := range told {
		if told[x] < 1e-6 {
			c.DarkTo = x
		}
		if told[x] > 1-1e-6 && c.FullFrom == 0 {
			c.FullFrom = x
		}
	}
	if c.FullFrom == to-from {
		c.FullFrom = 0
	}
	good := func() bool {
		lc := c.Light()
		lc.Max = uint16(to - from)
		lc.Full = min(lc.Full, lc.Max)
		if lc.Check() != nil {
			return false
		}
		for x := range told {
			if math.Abs(lc.Level(uint16(x))-told[x]) > within {
				return false
			}
		}
		return true
	}
	for _, law := range []light.Law{"", light.Square, light.SCurve} {
		if c.Then = rig.CurveLaw(law); good() {
			return c, true
		}
	}
	c.Then = ""
	full := to - from
	if c.FullFrom > 0 {
		full = c.FullFrom
	}
	if n := len(told); full >= n && n > 1 { // what ranges take goes on to full
		told = slices.Clone(told)
		for x := n; x <= full; x++ {
			told = append(told, told[n-1]+(1-told[n-1])*float64(x-n+1)/float64(full-n+1))
		}
	}
	for _, rows := range []int{4, 8, 16, 32, 64, 128, full - c.DarkTo} {
		c.Table = rowsOf(told, c.DarkTo, full, rows)
		if good() {
			return c, true
		}
	}
	return c, false
}

// rowsOf reads a table of equal steps off the light that is told.
func rowsOf(told []float64, dark, full, rows int) []float64 {
	out := make([]float64, rows+1)
	for i := range out {
		x := float64(dark) + float64(full-dark)*float64(i)/float64(rows)
		a := min(int(x), len(told)-1)
		b := min(a+1, len(told)-1)
		y := told[a] + (x-float64(a))*(told[b]-told[a])
		out[i] = math.Round(y*1e4) / 1e4
	}
	out[0], out[rows] = 0, 1
	return out
}
