package looks

import (
	"fmt"
	"math"
	"slices"
	"time"

	"lampblack/check/finding"
	"lampblack/light"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// misses turns what the solver could not reach into findings. The solver names what it
// missed by unit alone, so the identifier is told from that: irradiance is a ceiling of
// ultraviolet, lux is a goal (or a wish for darkness, where the miss points at one),
// and what is left is a glow. Only what is too low has its margin set here; what is too
// high gets it from the report.
func (r *limits) misses(look int, from, to time.Duration, cues []string) {
	l := &r.Show.Looks[look]
	for _, m := range l.Misses {
		f := finding.Finding{ID: "goal-missed", Severity: finding.Warn, Place: finding.Thing("look", l.Name), Value: m.Found, Limit: m.Wanted, Unit: m.Unit, Cues: cues,
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
		r.Add(f.At(m.Pos).During(from, to))
	}
}

// darkAt tells whether a place in the score is a wish for darkness.
func (r *limits) darkAt(p source.Pos) bool {
	for i := range r.Show.Score.Looks {
		for _, d := range r.Show.Score.Looks[i].Value.Dark {
			if d.On.Pos == p || d.Pos == p {
				return true
			}
		}
	}
	return false
}

// strobes finds units that are asked to flash and cannot, or not so. A unit that
// flashes at random is told as a note, since the fastest that it may do is what the
// flash checks count. Rates are compared with both ends of the range as written: a
// table may run from fast to slow.
func (r *limits) strobes(look int, from, to time.Duration, cues []string) {
	l := &r.Show.Looks[look]
	for u, wanted := range l.Flash {
		if wanted <= 0 {
			continue
		}
		g := flashRange(r.Rig().Units[u].Mode)
		f := finding.Finding{ID: "strobe-unable", Severity: finding.Warn, Place: finding.Thing("unit", r.Unit(u)), Value: 0, Limit: float64(wanted), Unit: "Hz", Units: []string{r.Unit(u)}, Cues: cues,
			Source: "the fixture type's slot table"}.At(r.Rig().Units[u].Name.Pos).During(from, to)
		switch {
		case g == nil:
			f.Says = finding.Say("look %s asks unit %s to flash at %.3g Hz, and no slot of its mode flashes", l.Name, r.Unit(u), wanted)
		case g.Does == rig.FlashRandom:
			f.Severity, f.Value = finding.Note, float64(g.Fastest(g.From))
			f.Says = finding.Say("unit %s flashes at random in look %s; it is counted at %v", r.Unit(u), l.Name, g.Fastest(g.From))
		case g.Told != "":
			most := g.Fastest(g.Value(float64(wanted)))
			f.Severity, f.Value = finding.Note, float64(most)
			f.Says = finding.Say("look %s asks unit %s to flash at %.3g Hz; its table has no figures, so that it may flash at up to %v, which is counted", l.Name, r.Unit(u), wanted, most)
			f.Cure = finding.Say("count the flashes of ten seconds at both ends of its range, and write them into the table")
		case wanted < float32(min(g.Low, g.High)) || wanted > float32(max(g.Low, g.High)):
			f.Value = min(max(float64(wanted), float64(min(g.Low, g.High))), float64(max(g.Low, g.High)))
			f.Says = finding.Say("look %s asks unit %s to flash at %.3g Hz, and it will at %.3g Hz", l.Name, r.Unit(u), wanted, f.Value)
		default:
			continue
		}
		f.Margin = -1
		r.Add(f)
	}
}

// flashRange returns the first range of a mode in which the unit flashes: the one that
// a look's flash is encoded into (package rig).
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

// mostOff is how far in u'v' a mixed colour may be from the wanted one. Some 0.004 are
// just seen side by side (from memory); five times that is another colour to an
// audience that has no copy of the wanted one beside it. This tool's choice.
const mostOff = .02

// colours finds units that cannot mix a look's colour. One finding for each part and
// fixture type: units of a type have one gamut, and a person mends the part.
func (r *limits) colours(look int, from, to time.Duration, cues []string) {
	name := r.Show.Looks[look].Name
	wanted := r.coloured(look)
	type group struct {
		part *score.Part
		kind *rig.Type
	}
	told := map[group]int{} // by group: its finding
	var found []finding.Finding
	for u := range r.Rig().Units {
		p := wanted[u]
		if p == nil || p.Colour == nil {
			continue
		}
		off, ok := r.colourOff(look, u, p)
		unable := slices.Contains(r.Show.Looks[look].Unable, u)
		if !unable && (!ok || off <= mostOff) {
			continue
		}
		g := group{p, r.Rig().Units[u].Type}
		if k, known := told[g]; known {
			found[k].Units = append(found[k].Units, r.Unit(u))
			continue
		}
		told[g] = len(found)
		kind := r.Rig().Units[u].TypeName.Name
		f := finding.Finding{ID: "colour-unmatched", Severity: finding.Warn, Place: fmt.Sprintf("look %s, %s", name, kind), Value: off, Limit: mostOff, Unit: "u'v'", Cues: cues,
			Units: []string{r.Unit(u)}, Source: "CIE 1976 u'v' of the mix; the limit is this tool's choice",
			Says: finding.Say("fixture type %s cannot mix %s in look %s", kind, p.Colour.Text, name),
			Cure: finding.Say("choose a colour inside its gamut, or give the part to units that have it")}
		if unable {
			f.Value, f.Limit, f.Unit = 0, 0, ""
			f.Source = "CIE 1976 u'v' of what the type can mix; the limit is this tool's choice"
			f.Says = finding.Say("fixture type %s has nothing near %s: it stays dark in look %s, so that the others have the colour", kind, p.Colour.Text, name)
			f.Cure = finding.Say("give it a part of its own in that look, if it should be lit")
		}
		found = append(found, f.At(p.Colour.Pos).During(from, to))
	}
	for _, f := range found {
		r.Add(f)
	}
}

// coloured returns, by unit, the last part of a look that names it. The last part wins,
// as it does in the solver; earlier colours are covered.
func (r *limits) coloured(look int) map[int]*score.Part {
	wanted := make(map[int]*score.Part)
	parts := r.Show.Score.Parts(r.Show.Looks[look].Name)
	for i := range parts {
		for _, u := range r.partUnits(&parts[i]) {
			wanted[u] = &parts[i]
		}
	}
	return wanted
}

func (r *limits) partUnits(p *score.Part) []int {
	var out []int
	if p.System.Name != "" {
		out = r.Rig().System(p.System.Name)
	}
	for _, ref := range p.Units {
		if u := r.Rig().Index(ref.Name); u >= 0 && !slices.Contains(out, u) {
			out = append(out, u)
		}
	}
	return out
}

// colourOff is the distance of what the unit shows from what the part wants;
// not ok for a unit that shows no colour there.
func (r *limits) colourOff(look, unit int, p *score.Part) (float64, bool) {
	c, err := light.ParseColour(p.Colour.Text)
	if err != nil || r.Rig().Units[unit].Mode == nil {
		return 0, false
	}
	sum := r.shines(unit, r.Show.Looks[look].Levels)
	if sum.Y <= 0 {
		return 0, false
	}
	return sum.UV().Distance(c.XY.UV()), true
}

// shines is what a unit gives for the eye at these levels, black light aside. Black
// light counts for nothing here: it is seen as the glow of what it falls on, not as the
// lamp's colour.
func (r *limits) shines(unit int, levels []float32) light.XYZ {
	var sum light.XYZ
	from, to := r.Rig().UnitDrives(unit)
	for d := from; d < to; d++ {
		if e := r.Rig().Emitter(d); !e.Light.BlackLight() {
			sum = sum.Plus(e.Light.Colour, r.Show.Output(d)*float64(levels[d]))
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

// lensesInEyes reports, unit by unit, lenses that the audience sees lit. The brightest
// that each drive gets over the whole show is taken for all at once, so the value is an
// upper bound: no single instant need have it. Performers are left out: they look into
// lamps all evening, and package dose has what may hurt them.
func (r *limits) lensesInEyes() {
	tr := r.Transport()
	top := r.Trace().Most(len(r.Rig().Drives))
	worst := map[int]float64{}
	eyes := map[int][]string{}
	for _, v := range tr.Lenses() {
		if tr.Places[tr.Eyes[v.Eye]].Kind != room.KindSeat || float64(v.OffGaze) > glareAngle {
			continue
		}
		if l := r.Transport().LensRadiance(v, room.Seen, top); l >= glareLuminance {
			worst[v.Unit] = max(worst[v.Unit], l)
			if name := tr.Places[tr.Eyes[v.Eye]].Name; !slices.Contains(eyes[v.Unit], name) {
				eyes[v.Unit] = append(eyes[v.Unit], name+v.Way())
			}
		}
	}
	for u := range r.Rig().Units {
		if eyes[u] == nil {
			continue
		}
		r.Add(finding.Finding{ID: "lens-in-eye", Severity: finding.Warn, Place: finding.Thing("unit", r.Unit(u)), Value: worst[u], Limit: glareLuminance, Unit: "cd/m²", Units: []string{r.Unit(u)},
			Source:  "common practice: no lens in an audience eye; the limits of luminance and of 30° off the gaze are this tool's choice",
			Assumed: r.LensAs(u) + "; the brightest that the show makes it; upper end of the outputs",
			Says:    finding.Say("%s into the lit lens of unit %s: %s", seatsSee(len(eyes[u])), r.Unit(u), source.First(eyes[u], 6)),
			Cure:    finding.Say("mask it, turn it, or hang a leg between")}.At(r.Rig().Units[u].Name.Pos))
	}
}

// A performer who is said to look so near to a lens, in m, and no farther from it than this angle, looks into it
// (common practice, no source).
const (
	nearLens  = 1.
	intoAngle = 15 * math.Pi / 180
)

// lensesBeforePerformers finds performers whose gaze the room has, and who look into a lit lens from near.
func (r *limits) lensesBeforePerformers() {
	tr := r.Transport()
	top := r.Trace().Most(len(r.Rig().Drives))
	for _, v := range tr.Lenses() {
		place := &tr.Places[tr.Eyes[v.Eye]]
		i := slices.IndexFunc(r.Room().People, func(p room.Eye) bool { return p.Name == place.Name })
		if place.Kind != room.KindPerson || i < 0 || r.Room().People[i].Looks == nil || v.In != "" || float64(v.Distance) > nearLens || float64(v.OffGaze) > intoAngle {
			continue
		}
		l := tr.LensRadiance(v, room.Seen, top)
		if l < glareLuminance {
			continue
		}
		r.Add(finding.Finding{ID: "lens-in-eye", Severity: finding.Warn, Place: finding.Thing("performer", place.Name), Value: l, Limit: glareLuminance, Unit: "cd/m²", Units: []string{r.Unit(v.Unit)},
			Source:  "common practice, no source: nobody looks into a lamp from an arm's length",
			Assumed: r.LensAs(v.Unit) + "; the brightest that the show makes it; upper end of the outputs",
			Says:    finding.Say("%s looks into the lit lens of unit %s from %s", place.Name, r.Unit(v.Unit), si.Of(float64(v.Distance), "m")),
			Cure:    finding.Say("let them stand or look elsewhere, or move the lamp")}.At(r.Room().People[i].Pos))
	}
}

func seatsSee(n int) string {
	if n == 1 {
		return "1 seat sees"
	}
	return fmt.Sprintf("%d seats see", n)
}
