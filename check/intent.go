package check

import (
	"fmt"
	"math"
	"slices"
	"time"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/score"
	"lampblack/source"
)

// intent compares the show with what its looks ask for.
func (r *report) intent() {
	for i := range r.show.Looks {
		if from, to, cues := r.stands(i); cues != nil {
			r.misses(i, from, to, cues)
			r.strobes(i, from, to, cues)
			r.colours(i, from, to, cues)
			r.rounded(i, from, to, cues)
		}
	}
	r.lensesInEyes()
}

// stands returns when a look is first there, and the cues that bring it.
func (r *report) stands(look int) (from, to time.Duration, cues []string) {
	for i := range r.show.Cues {
		c := &r.show.Cues[i]
		if c.Look != look {
			continue
		}
		if cues == nil {
			from, to = c.Start, r.until(i)
			if c.Bump() {
				to = c.Complete
			}
		}
		cues = append(cues, c.Number.Name)
	}
	return from, to, cues
}

// misses turns what the solver could not reach into findings.
func (r *report) misses(look int, from, to time.Duration, cues []string) {
	l := &r.show.Looks[look]
	for _, m := range l.Misses {
		f := Finding{ID: "goal-missed", Severity: Warn, Place: place("look", l.Name), Value: m.Found, Limit: m.Wanted, Unit: m.Unit, Cues: cues,
			Text: m.Text, Hint: m.Hint, Source: "the show's own score"}
		low := m.Found < m.Wanted
		switch {
		case m.Unit == "W/m²":
			f.ID = "uv-look-ceiling"
		case m.Unit != "lx":
			f.ID = "glow-low"
		case r.darkAt(m.Pos):
			f.ID = "spill-on-black"
		}
		if low && m.Wanted != 0 {
			f.Margin = (m.Found - m.Wanted) / m.Wanted
		}
		r.add(f.at(m.Pos).during(from, to))
	}
}

// darkAt tells whether a place in the score is a wish for darkness.
func (r *report) darkAt(p source.Pos) bool {
	for i := range r.show.Score.Looks {
		for _, d := range r.show.Score.Looks[i].Value.Dark {
			if d.On.Pos == p || d.Pos == p {
				return true
			}
		}
	}
	return false
}

// strobes finds units that are asked to flash and cannot, or not so.
func (r *report) strobes(look int, from, to time.Duration, cues []string) {
	l := &r.show.Looks[look]
	for u, wanted := range l.Flash {
		if wanted <= 0 {
			continue
		}
		g := flashRange(r.show.Rig.Units[u].Mode)
		f := Finding{ID: "strobe-unable", Severity: Warn, Place: place("unit", r.unit(u)), Value: 0, Limit: float64(wanted), Unit: "Hz", Units: []string{r.unit(u)}, Cues: cues,
			Source: "the fixture type's slot table"}.at(r.show.Rig.Units[u].Name.Pos).during(from, to)
		switch {
		case g == nil:
			f.Text = fmt.Sprintf("look %s asks unit %s to flash at %.3g Hz, and no slot of its mode flashes", l.Name, r.unit(u), wanted)
		case g.Does == rig.FlashRandom:
			f.Severity, f.Value = Note, float64(g.High)
			f.Text = fmt.Sprintf("unit %s flashes at random in look %s; it is counted at %v", r.unit(u), l.Name, g.High)
		case wanted < float32(min(g.Low, g.High)) || wanted > float32(max(g.Low, g.High)):
			f.Value = min(max(float64(wanted), float64(min(g.Low, g.High))), float64(max(g.Low, g.High)))
			f.Text = fmt.Sprintf("look %s asks unit %s to flash at %.3g Hz, and it will at %.3g Hz", l.Name, r.unit(u), wanted, f.Value)
		default:
			continue
		}
		f.Margin = -1
		r.add(f)
	}
}

func flashRange(m *rig.Mode) *rig.Range {
	if m == nil {
		return nil
	}
	for i := range m.Slots {
		for j := range m.Slots[i].Ranges {
			if g := &m.Slots[i].Ranges[j]; g.Does == rig.Flash || g.Does == rig.FlashRandom {
				return g
			}
		}
	}
	return nil
}

// mostOff is how far in u'v' a mixed colour may be from the wanted one: about
// what is seen side by side on a stage; this tool's choice.
const mostOff = .02

// colours finds units that cannot mix a look's colour.
func (r *report) colours(look int, from, to time.Duration, cues []string) {
	name := r.show.Looks[look].Name
	wanted := r.coloured(look)
	type group struct {
		part *score.Part
		kind *rig.Type
	}
	told := map[group]int{} // by group: its finding
	var found []Finding
	for u := range r.show.Rig.Units {
		p := wanted[u]
		if p == nil || p.Colour == nil {
			continue
		}
		off, ok := r.colourOff(look, u, p)
		if !ok || off <= mostOff {
			continue
		}
		g := group{p, r.show.Rig.Units[u].Type}
		if k, known := told[g]; known {
			found[k].Units = append(found[k].Units, r.unit(u))
			continue
		}
		told[g] = len(found)
		found = append(found, Finding{ID: "colour-unmatched", Severity: Warn, Place: fmt.Sprintf("look %s, %s", name, r.show.Rig.Units[u].TypeName.Name), Value: off, Limit: mostOff, Unit: "u'v'", Cues: cues,
			Units: []string{r.unit(u)}, Source: "CIE 1976 u'v' of the mix; the limit is this tool's choice",
			Text: fmt.Sprintf("fixture type %s cannot mix %s in look %s", r.show.Rig.Units[u].TypeName.Name, p.Colour.Text, name),
			Hint: "choose a colour inside its gamut, or give the part to units that have it"}.at(p.Colour.Pos).during(from, to))
	}
	for _, f := range found {
		r.add(f)
	}
}

// coloured returns, by unit, the last part of a look that names it.
func (r *report) coloured(look int) map[int]*score.Part {
	wanted := make(map[int]*score.Part)
	parts := r.show.Score.Parts(r.show.Looks[look].Name)
	for i := range parts {
		for _, u := range r.partUnits(&parts[i]) {
			wanted[u] = &parts[i]
		}
	}
	return wanted
}

func (r *report) partUnits(p *score.Part) []int {
	var out []int
	if p.System.Name != "" {
		out = r.show.Rig.System(p.System.Name)
	}
	for _, ref := range p.Units {
		if u := r.show.Rig.Index(ref.Name); u >= 0 && !slices.Contains(out, u) {
			out = append(out, u)
		}
	}
	return out
}

// colourOff is the distance of what the unit shows from what the part wants;
// not ok for a unit that shows no colour there.
func (r *report) colourOff(look, unit int, p *score.Part) (float64, bool) {
	c, err := light.ParseColour(p.Colour.Text)
	if err != nil || r.show.Rig.Units[unit].Mode == nil {
		return 0, false
	}
	sum := r.shines(unit, r.show.Looks[look].Levels)
	if sum.Y <= 0 {
		return 0, false
	}
	return sum.UV().Distance(c.XY.UV()), true
}

// shines is what a unit gives for the eye at these levels, black light aside.
func (r *report) shines(unit int, levels []float32) light.XYZ {
	var sum light.XYZ
	from, to := r.show.Rig.UnitDrives(unit)
	for d := from; d < to; d++ {
		if e := r.show.Rig.Emitter(d); !e.Light.BlackLight() {
			sum = sum.Plus(e.Light.Colour, float64(levels[d]))
		}
	}
	return sum
}

// Glare. A lens this bright near the line of sight is the brightest thing of a
// dark scene; both figures are this tool's choice.
const (
	glareLuminance = 50.                // cd/m2, violet as the eye takes it
	glareAngle     = 30 * math.Pi / 180 // off the gaze
)

// lensesInEyes reports, unit by unit, lenses that the audience sees lit.
func (r *report) lensesInEyes() {
	tr := r.show.Transport
	top := r.trace().most(len(r.show.Rig.Drives))
	worst := map[int]float64{}
	eyes := map[int][]string{}
	for i := range tr.Views {
		v := &tr.Views[i]
		if tr.Places[tr.Eyes[v.Eye]].Kind != room.KindSeat || float64(v.OffGaze) > glareAngle {
			continue
		}
		if l := r.lensRadiance(v, room.Seen, top); l >= glareLuminance {
			worst[v.Unit] = max(worst[v.Unit], l)
			eyes[v.Unit] = append(eyes[v.Unit], tr.Places[tr.Eyes[v.Eye]].Name)
		}
	}
	for u := range r.show.Rig.Units {
		if eyes[u] == nil {
			continue
		}
		r.add(Finding{ID: "lens-in-eye", Severity: Warn, Place: place("unit", r.unit(u)), Value: worst[u], Limit: glareLuminance, Unit: "cd/m²", Units: []string{r.unit(u)},
			Source: "common practice: no lens in an audience eye; the limits of luminance and of 30° off the gaze are this tool's choice",
			Text:   fmt.Sprintf("%s into the lit lens of unit %s: %s", seatsSee(len(eyes[u])), r.unit(u), first(eyes[u], 6)),
			Hint:   "mask it, turn it, or hang a leg between"}.at(r.show.Rig.Units[u].Name.Pos))
	}
}

// first joins at most n names.
func first(names []string, n int) string {
	out := ""
	for i, s := range names[:min(n, len(names))] {
		if i > 0 {
			out += ", "
		}
		out += s
	}
	if len(names) > n {
		out += fmt.Sprintf(" and %d more", len(names)-n)
	}
	return out
}

func seatsSee(n int) string {
	if n == 1 {
		return "1 seat sees"
	}
	return fmt.Sprintf("%d seats see", n)
}
