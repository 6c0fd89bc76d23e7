package show

import (
	"fmt"
	"math"
	"slices"

	"lampblack/room"
	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// misses says which goals the levels do not meet, and why.
func (f *fitting) misses(levels []float32, x, press []float64) []Miss {
	add := func(pos source.Pos, wanted, found float64, unit string, why because, format string, args ...any) {
		text := fmt.Sprintf(format, args...)
		if why.text != "" {
			text += ": " + why.text
		}
		f.add(Miss{Pos: pos, Text: text, Hint: why.hint, Wanted: wanted, Found: found, Unit: unit})
	}
	for i := range f.parts {
		p := &f.parts[i]
		switch {
		case f.taken[i]:
			f.missTaken(i, add)
		case f.away(p.Target()):
			// the checks tell that it is not there
		case p.Lux != nil && f.follows(i):
			f.missFollowed(i, x, press, add)
		case p.Lux != nil:
			f.missLux(i, x, press, add)
		case p.Glow != nil:
			f.missGlow(i, levels, x, press, add)
		}
	}
	for i := range f.look.Dark {
		d := &f.look.Dark[i]
		found := f.brightest(d.On.Name, levels)
		f.reach(Darkest, d.On.Name, float64(d.Most), found)
		if found > max(float64(d.Most), darkest)*(1+tolerance) {
			is, should := si.SayBoth(found, float64(d.Most), "lx")
			add(d.On.Pos, float64(d.Most), found, "lx", fixed, "%s is not as dark as asked: %s in its brightest part, at most %s wanted", d.On.Name, is, should)
		}
	}
	f.missOnly(levels, add)
	f.missEyes(levels, add)
	return f.missed
}

func (f *fitting) add(m Miss) {
	m.Look = f.name
	f.missed = append(f.missed, m)
}

// missed tells of one miss. Its arguments are those of a Miss without the name of the
// look, why it is, and the text with what goes into it.
type missed func(pos source.Pos, wanted, found float64, unit string, why because, format string, args ...any)

// because is why a goal is missed, and what would help; either may be "".
type because struct{ text, hint string }

// missTaken tells of a goal that the look itself takes the units from. One that
// comes from another look is meant to give way, and nothing is said.
func (f *fitting) missTaken(part int, add missed) {
	p := &f.parts[part]
	why := because{"later parts of the same look take all its units", "take this part out, or let the later ones name other units"}
	switch {
	case f.inherited(part):
	case p.Lux != nil:
		add(p.Pos, *p.Lux, 0, "lx", why, "the %s on %s are not sought", si.Say(*p.Lux, "lx"), p.On.Name)
	case p.Glow != nil:
		add(p.Glow.Pos, f.wantedGlow(p.Glow), 0, "cd/m²", why, "the glow of %s is not sought", p.Glow.Object.Name)
	}
}

// covered tells of a goal on what has no bare piece to be lit.
func (f *fitting) covered(name string) bool {
	return f.transport.Find(name) != nil && f.transport.MeanRow(name, room.Photopic) == nil
}

// missLux tells when a part brings more or less than it was asked for. Two hundredths
// and .01 lx are what the eye and the rounding of slots make of no account.
func (f *fitting) missLux(part int, x, press []float64, add missed) {
	p := &f.parts[part]
	if f.covered(p.On.Name) {
		f.reach(Illuminance, p.On.Name, *p.Lux, 0)
		add(p.Pos, *p.Lux, 0, "lx", buried, "0 lx on %s instead of %s", p.On.Name, si.Say(*p.Lux, "lx"))
	}
	row := f.transport.MeanRow(p.On.Name, room.Photopic)
	if row == nil {
		return
	}
	found := dot(f.ofPart(part, row), x)
	f.reach(Illuminance, p.On.Name, *p.Lux, found)
	if off := found - *p.Lux; off > tolerance**p.Lux+.01 || off < -tolerance**p.Lux-.01 {
		is, should := si.SayBoth(found, *p.Lux, "lx")
		add(p.Pos, *p.Lux, found, "lx", f.why(part, x, press), "%s on %s instead of %s", is, p.On.Name, should)
	}
}

// missGlow tells when an object glows less than was asked for. The first reason that
// holds is told alone: a paint that cannot glow is no matter of levels.
func (f *fitting) missGlow(part int, levels []float32, x, press []float64, add missed) {
	g := f.parts[part].Glow
	if f.covered(g.Object.Name) {
		add(g.Pos, f.wantedGlow(g), 0, "cd/m²", buried, "%s cannot be seen to glow", g.Object.Name)
	}
	glow, most, even, ok := f.dimmest(g.Object.Name, levels)
	if !ok {
		return
	}
	f.reachGlow(g, &glow, even)
	why := f.why(part, x, press)
	name, want := g.Object.Name, float64(g.Luminance)
	where := ""
	if f.in != nil && f.show.ways[name] != nil {
		where = " where it has least on its way"
		if glow.Own.Y < leastOfBest*most {
			why = because{fmt.Sprintf("it has %s there at the most, and %s elsewhere: it turns from its lamps, or leaves their beams", si.Say(glow.Own.Y, "cd/m²"), si.Say(most, "cd/m²")),
				"let it face its lamps (faces), lead it through their light, or aim one there"}
		}
	}
	if ok, paint, instead := f.show.Room.Fluoresces(name); !ok {
		f.add(Miss{Pos: g.Pos, Wanted: f.wantedGlow(g), Unit: "cd/m²", Hint: instead + " does, for one; `lampblack materials` lists all that do",
			Text: fmt.Sprintf("%s cannot glow: %s does not fluoresce", name, paint)})
		return
	}
	switch seen, least := float64(glow.SeenOwn), float64(glow.Least.Best); {
	case want > 0 && glow.Own.Y < want*(1-tolerance):
		is, should := si.SayBoth(glow.Own.Y, want, "cd/m²")
		add(g.Pos, want, glow.Own.Y, "cd/m²", why, "%s glows with %s%s instead of %s", name, is, where, should)
	case seen < least*(1-tolerance):
		is, should := si.SayBoth(seen, least, "cd/m²")
		add(g.Pos, least, seen, "cd/m²", why, "%s glows with %s%s, and is seen for what it is from %s on (%s for eyes of 70 years) by %s", name, is, where, should, si.Say(float64(glow.Least.High), "cd/m²"), glow.From)
	}
	if float64(g.Even) > 0 && even < float64(g.Even)*(1-tolerance) {
		add(g.Pos, float64(g.Even), even, "of its mean", uneven, "%s glows unevenly%s: its least part has %.0f %% of its mean instead of %.0f %%", name, where, 100*even, 100*float64(g.Even))
	}
	if glow.Washed > mostWashed && seenEnough(&glow, g) {
		add(g.Pos, mostWashed, glow.Washed, "of what is seen", bright, "%.0f %% of what is seen of %s is light that is not the show's: it looks like a thing in daylight, and does not seem to glow", 100*glow.Washed, name)
	}
	if glow.Over < g.Over*(1-tolerance) {
		is, should := si.SayBoth(glow.Over, g.Over, "")
		if glow.Stray > .5 {
			why = because{"light that is not the show's makes most of that; at the most that it may be it is " + si.Say(glow.Worst, "") + " times", "keep that light from it, read it with a meter (stray light: in room.yaml), or ask for less"}
		}
		add(g.Pos, g.Over, glow.Over, "times its background", why, "the glow of %s is %s times its background%s instead of %s times", name, is, where, should)
	}
}

// leastOfBest is the share of its best place from which an object is held to leave its light. A choice.
const leastOfBest = .2

// mostWashed is how much of what is seen of an object may be light that is not the show's: with more, most of it
// does not come and go with the look (a choice, no source).
const mostWashed = .5

// seenEnough tells whether the glow is not told as missing for another reason already.
func seenEnough(glow *room.Glow, g *score.Glow) bool {
	return glow.Over >= g.Over*(1-tolerance) && glow.SeenOwn > 0
}

// What helps where no level does.
var (
	bright = because{"", "keep that light out, play later, or paint the thing so that it is dark by day (stray light: in room.yaml says what there is)"}
	fixed  = because{"parts at a fixed level bring it", "lower their levels, or aim them elsewhere"}
	buried = because{"other things cover all of it", "move it before them"}
	uneven = because{"its lamps light one part of it more than another", "light it from two sides or from farther away, or ask for less evenness"}
)

// dimmest is the glow of an object where it is least over its background and least of all,
// of the places that it has, and where it is most; and the least part of it over its mean.
func (f *fitting) dimmest(name string, levels []float32) (least room.Glow, most, even float64, ok bool) {
	even = 1
	for i, t := range f.where(name) {
		g, found := t.Glow(name, levels)
		if !found {
			return g, 0, 0, false
		}
		if i == 0 {
			least = g
		}
		most = max(most, g.Own.Y)
		if g.Own.Y < least.Own.Y {
			least.Own = g.Own
		}
		if g.SeenOwn*least.Least.Best < least.SeenOwn*g.Least.Best {
			least.SeenOwn, least.Least, least.From = g.SeenOwn, g.Least, g.From
		}
		least.Over, least.Worst, least.Stray = min(least.Over, g.Over), min(least.Worst, g.Worst), max(least.Stray, g.Stray)
		least.Washed = max(least.Washed, g.Washed)
		for _, row := range t.GlowPieces(name) {
			if g.Own.Y > 0 {
				even = min(even, dotLevels(row, levels)/g.Own.Y)
			}
		}
	}
	return least, most, even, true
}

// missFollowed tells when what moves is not lit enough somewhere on its way.
func (f *fitting) missFollowed(part int, x, press []float64, add missed) {
	p := &f.parts[part]
	least := math.Inf(1)
	for _, t := range f.where(p.On.Name) {
		if row := t.MeanRow(p.On.Name, room.Photopic); row != nil {
			least = min(least, dot(f.ofPart(part, row), x))
		}
	}
	if !math.IsInf(least, 1) {
		f.reach(Illuminance, p.On.Name, *p.Lux, least)
	}
	if least < *p.Lux*(1-tolerance)-.01 {
		is, should := si.SayBoth(least, *p.Lux, "lx")
		add(p.Pos, *p.Lux, least, "lx", f.why(part, x, press), "%s on %s where it has least on its way, instead of %s", is, p.On.Name, should)
	}
}

// missOnly tells what is seen and should not be.
func (f *fitting) missOnly(levels []float32, add missed) {
	o := f.look.Only
	if o == nil {
		return
	}
	for i := range f.show.Room.Objects {
		name := f.show.Room.Objects[i].Name
		if f.seenToo(name) || f.away(name) {
			continue
		}
		most := 0.0
		for _, t := range f.ever(name) {
			if _, whole, _ := t.GlowRows(name); whole != nil {
				most = max(most, dotLevels(whole, levels))
			}
		}
		want := f.othersMost()
		f.reach(Unseen, name, want, most)
		if most > want*(1+tolerance) {
			is, should := si.SayBoth(most, want, "cd/m²")
			add(o.Pos, want, most, "cd/m²", because{"light at a fixed level falls on it", "let it be off stage then, name it in only, or lower that light"}, "%s is seen as well with %s, at most %s wanted", name, is, should)
		}
	}
}

func (f *fitting) missEyes(levels []float32, add missed) {
	if f.look.Eyes == nil {
		return
	}
	t := f.transport
	most := float64(f.look.Eyes.Most)
	for i := range t.Eyes {
		found := 0.0
		for _, t := range f.ever(t.Places[t.Eyes[i]].Name) {
			found = max(found, dotLevels(highUVA(t, i), levels))
		}
		f.reach(AtEyes, t.Places[t.Eyes[i]].Name, most, found)
		if found > max(most, leastUVA)*(1+tolerance) {
			is, should := si.SayBoth(found, most, "W/m²")
			add(f.look.Eyes.Pos, most, found, "W/m²", fixed, "up to %s of UV-A at the eyes of %s, at most %s wanted", is, t.Places[t.Eyes[i]].Name, should)
		}
	}
}

// why gives the reason that a part's goal is missed. The order of the cases is
// that of what a person can do: units that cannot help, units that give all
// they have, another wish that holds them back, and what is left.
func (f *fitting) why(part int, x, press []float64) because {
	full, count := f.atFull(part, x)
	text := f.hardest(part, press)
	more := "add a unit, hang one nearer or aim it better, or ask for less"
	switch {
	case count == 0 && !slices.Contains(f.owner, part):
		return because{"none of its units has such light", "let the part name units that have"}
	case count == 0 && f.parts[part].Glow != nil:
		return because{"no light that makes its paint glow reaches it from this part", "aim black light at it from where it faces"}
	case count == 0:
		return because{"none of its light reaches it", "aim one of its units at it"}
	case full == count:
		return because{"its units are at full", more}
	case text != "":
		return because{"more would break " + text, "loosen that, or ask for less"}
	case full > 0:
		return because{fmt.Sprintf("%d of its %d units are at full", full, count), more}
	}
	return because{"its own light falls on the background, or the look's other light does", "less of the other light, a darker background, or lamps that hit the object alone"}
}

// atFull counts the units of a part whose light helps its goal, and those of
// them that are at full.
func (f *fitting) atFull(part int, x []float64) (full, count int) {
	for i := range f.scales {
		if f.scales[i].part != part {
			continue
		}
		count++
		if x[i] > .999 {
			full++
		}
	}
	return full, count
}

// hardest is the text of the limit that holds a part back most: its multiplier
// times the part's share in its row, which is what a little more of the part's
// light would cost there. A multiplier is 0 for a limit that is slack, and 1e-6
// is taken for that; the text is then empty.
func (f *fitting) hardest(part int, press []float64) string {
	most, text := 1e-6, ""
	for k, l := range f.limits {
		hold := 0.0
		for i := range f.scales {
			if f.scales[i].part == part {
				hold += press[k] * l.row[i]
			}
		}
		if hold > most {
			most, text = hold, l.text
		}
	}
	return text
}

// brightest is the illuminance in the brightest piece of a surface.
func (f *fitting) brightest(name string, levels []float32) float64 {
	most := 0.0
	for _, t := range f.ever(name) {
		for _, row := range t.PieceRows(name, room.Photopic) {
			most = max(most, dotLevels(row, levels))
		}
	}
	return most
}
