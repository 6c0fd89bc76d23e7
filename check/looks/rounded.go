package looks

import (
	"math"
	"time"

	"lampblack/check/finding"
	"lampblack/light"
	"lampblack/score"
	"lampblack/source"
)

// mostApart is how far in u'v' unlike units that were asked for one colour may
// lie apart once it is cut into slots: the colours of two lamps that far apart
// are told from one another at once, side by side on one cloth. Three times
// what is just seen (0.003 to 0.004); this tool's choice.
const mostApart = .01

// leastLight is the least share of a drive's full light that counts as asked for: below
// it a solver's remainder is taken for nothing. This tool's choice.
const leastLight = 5e-4

// apart finds parts whose units show one colour by their levels, and several by their
// slots. It is told only where the rounding is to blame: units whose levels already lie
// apart have another gamut, which colour-unmatched tells. Units at 16 bits hardly ever
// appear here.
func (r *limits) apart(look int, from, to time.Duration, cues []string) {
	l := &r.Show.Looks[look]
	groups := map[*score.Part][]int{}
	var order []*score.Part
	wanted := r.coloured(look)
	for u := range r.Rig().Units {
		p := wanted[u]
		if p == nil || p.Colour == nil {
			continue
		}
		if groups[p] == nil {
			order = append(order, p)
		}
		groups[p] = append(groups[p], u)
	}
	for _, p := range order {
		meant, _, _ := r.spread(groups[p], l.Levels)
		shown, a, b := r.spread(groups[p], l.Given())
		if shown <= mostApart || meant > mostApart {
			continue // either alike, or told by another check
		}
		r.Add(finding.Finding{ID: "colour-apart", Severity: finding.Warn, Place: finding.Thing("look", l.Name), Value: shown, Limit: mostApart, Unit: "u'v'", Cues: cues,
			Units: []string{r.Unit(a), r.Unit(b)}, Source: "CIE 1976 u'v' of what the slots give; the limit is this tool's choice",
			Says: finding.Say("units %s and %s are asked for one colour in look %s and show two: so low, the steps of their dimmers are too coarse for it", r.Unit(a), r.Unit(b), l.Name),
			Cure: finding.Say("give the look more light and fewer units, or use modes of 16 bits or with a dimmer of their own")}.At(p.Colour.Pos).During(from, to))
	}
}

// spread is the greatest distance in u'v' between any two of the units that are lit,
// and which they are. Units that give no visible light have no colour, and are left
// out.
func (r *limits) spread(units []int, levels []float32) (most float64, a, b int) {
	colours := make([]light.XYZ, len(units))
	for i, u := range units {
		colours[i] = r.shines(u, levels)
	}
	for i, c := range colours {
		for j, d := range colours[:i] {
			if c.Y <= 0 || d.Y <= 0 {
				continue
			}
			if apart := c.UV().Distance(d.UV()); apart > most {
				most, a, b = apart, units[j], units[i]
			}
		}
	}
	return most, a, b
}

// unlit finds units that the look wants lit and the slots leave dark. The unit's
// brightest drive decides. All units of a look make one finding, with the most that any
// of them was asked for, so that the figure does not promise too little.
func (r *limits) unlit(look int, from, to time.Duration, cues []string) {
	l := &r.Show.Looks[look]
	given := l.Given()
	var names []string
	var at source.Pos
	most := 0.0
	for u := range r.Rig().Units {
		want, got := r.brightest(u, l.Levels, given)
		if want < leastLight || got > 0 {
			continue
		}
		if names == nil {
			at = r.Rig().Units[u].Name.Pos
		}
		names = append(names, r.Unit(u))
		most = max(most, 100*float64(want))
	}
	if names == nil {
		return
	}
	says := finding.Say("unit %s stays dark in look %s: %.2g %% of full is less than the first step of the dimmer", names[0], l.Name, most)
	if n := len(names); n > 1 {
		says = finding.Say("%d units stay dark in look %s (%s): %.2g %% of full, or less, is less than the first step of the dimmer", n, l.Name, source.First(names, 6), most)
	}
	r.Add(finding.Finding{ID: "unit-dark", Severity: finding.Warn, Place: finding.Thing("look", l.Name), Value: math.Round(most*1e4) / 1e4, Unit: "% of full", Cues: cues, Units: names,
		Source: "the fixture types' slot tables", Says: says,
		Cure: finding.Say("give the look more light there, or leave those units out")}.At(at).During(from, to))
}

// brightest is the greatest of a unit's drives as a look wants them, and of what its slots give.
func (r *limits) brightest(unit int, levels, given []float32) (want, got float32) {
	first, last := r.Rig().UnitDrives(unit)
	for d := first; d < last; d++ {
		want, got = max(want, levels[d]), max(got, given[d])
	}
	return want, got
}

// coarse is how many times too much or too little a unit may give by the steps of its dimmer (this
// tool's choice: half as much again is seen side by side).
const coarse = 1.5

// stepped finds units that are lit, and give much more or less than was asked for.
func (r *limits) stepped(look int, from, to time.Duration, cues []string) {
	l := &r.Show.Looks[look]
	given := l.Given()
	var names []string
	var at source.Pos
	worst, asked := 1.0, 0.0
	for u := range r.Rig().Units {
		want, got := r.brightest(u, l.Levels, given)
		if want < leastLight || got <= 0 {
			continue
		}
		times := float64(got / want)
		if times < coarse && times > 1/coarse {
			continue
		}
		if names == nil {
			at = r.Rig().Units[u].Name.Pos
			worst, asked = times, 100*float64(want)
		}
		names = append(names, r.Unit(u))
	}
	if names == nil {
		return
	}
	f := finding.Finding{ID: "unit-steps", Severity: finding.Warn, Place: finding.Thing("look", l.Name), Value: worst, Limit: coarse, Unit: "times what is asked for", Cues: cues, Units: names,
		Source: "the fixture types' slot tables",
		Says:   finding.Say("unit %s is asked for %.2g %% of full in look %s and gives %.2g %%: so low, the steps of its dimmer are too coarse", names[0], asked, l.Name, asked*worst),
		Cure:   finding.Say("ask for a step that it has, use a mode with 16 bits, or hang it farther away")}
	r.Add(f.At(at).During(from, to))
}
