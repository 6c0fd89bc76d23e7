package desk

import (
	"fmt"
	"math"
	"slices"

	"lampblack/room"
	"lampblack/score"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// tolerance is how far from a goal a look may be, as in package show.
const tolerance = .02

// misses lists what the score asks of a look and the desk does not give: what the show
// by itself misses, and goals that are missed, or missed by more, in the light of the
// scene that stands for it. A goal that the show itself misses is no loss of the
// desk's, unless the desk makes it worse.
func (p *Plan) misses(look *show.Look, shown []float32) []show.Miss {
	e := p.Show.Score.Looks.Get(look.Name)
	if e == nil {
		return look.Misses
	}
	out := slices.Clone(look.Misses)
	g := goals{Plan: p, look: look, shown: shown, out: &out}
	parts := p.Show.Score.Parts(look.Name)
	for i := range parts {
		g.part(&parts[i])
	}
	for i := range e.Dark {
		d := &e.Dark[i]
		g.most(d.On.Pos, "lx", float64(d.Most), p.brightest(d.On.Name, look.Levels), p.brightest(d.On.Name, shown),
			"%s has %s in its brightest part through the desk, at most %s wanted", d.On.Name)
	}
	if e.Eyes != nil {
		t := p.Show.Transport
		for i := range t.Eyes {
			name := t.Places[t.Eyes[i]].Name
			g.most(e.Eyes.Pos, "W/m²", float64(e.Eyes.Most), float64(t.MostUVA(i, look.Levels).High), float64(t.MostUVA(i, shown).High),
				"the eyes of %s get %s of UV-A through the desk, at most %s wanted", name)
		}
	}
	return out
}

// goals compares a look with the scene that stands for it.
type goals struct {
	*Plan
	look  *show.Look
	shown []float32
	out   *[]show.Miss
}

// part looks at what one part asks for. Light on a surface is counted whole, that of
// other parts with it, as in the look itself. What is wanted of lux is no more than the
// look itself gives, as the desk cannot mend the look.
func (g *goals) part(part *score.Part) {
	t := g.Show.Transport
	if part.Lux != nil {
		own, found := float64(t.Lux(part.On.Name, g.look.Levels)), float64(t.Lux(part.On.Name, g.shown))
		g.least(part.Pos, "lx", min(*part.Lux, own), own, found, "%s has %s through the desk instead of %s", part.On.Name)
	}
	if part.Glow == nil {
		return
	}
	name := part.Glow.Object.Name
	own, ok := t.Glow(name, g.look.Levels)
	found, _ := t.Glow(name, g.shown)
	if !ok {
		return
	}
	if math.IsNaN(found.Over) {
		found.Over = 0 // of an object without light before a black background
	}
	g.least(part.Glow.Pos, "times its background", part.Glow.Over, own.Over, found.Over, "%s shows %s through the desk instead of %s", name)
	g.least(part.Glow.Pos, "cd/m²", float64(part.Glow.Luminance), own.Own.Y, found.Own.Y, "%s glows with %s through the desk instead of %s", name)
}

// least reports a value that is under its goal, and under what the show has.
func (g *goals) least(at source.Pos, unit string, wanted, own, found float64, format, name string) {
	if found < wanted*(1-tolerance) && found < own*(1-tolerance) {
		g.add(at, unit, wanted, found, format, name)
	}
}

// most reports a value that is over its ceiling, and over what the show has.
func (g *goals) most(at source.Pos, unit string, wanted, own, found float64, format, name string) {
	if found > wanted*(1+tolerance) && found > own*(1+tolerance) {
		g.add(at, unit, wanted, found, format, name)
	}
}

// add puts a miss in the place of the one that the show has of the same goal.
func (g *goals) add(at source.Pos, unit string, wanted, found float64, format, name string) {
	is, should := si.SayBoth(found, wanted, unit)
	*g.out = slices.DeleteFunc(*g.out, func(m show.Miss) bool { return m.Pos == at && m.Unit == unit })
	*g.out = append(*g.out, show.Miss{Pos: at, Look: g.look.Name, Text: fmt.Sprintf(format, name, is, should), Wanted: wanted, Found: found, Unit: unit})
}

// brightest is the illuminance in the brightest piece of a surface.
func (p *Plan) brightest(name string, levels []float32) float64 {
	most := 0.0
	for _, row := range p.Show.Transport.PieceRows(name, room.Photopic) {
		sum := 0.0
		for d, w := range row {
			sum += float64(w * float64(levels[d]))
		}
		most = max(most, sum)
	}
	return most
}
