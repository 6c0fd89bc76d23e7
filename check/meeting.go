package check

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	"lampblack/check/finding"
	"lampblack/check/flash"
	"lampblack/check/meet"
	"lampblack/check/subject"
	"lampblack/light"
	"lampblack/show"
)

// meetingTells has the sentence of what this file finds.
var meetingTells = finding.Tells{"flash-meeting": "flashes where the light of two zones meets one eye"}

const (
	// meetingEyes is how many eyes are looked at for two zones.
	meetingEyes = 2
	// meetingWork bounds the search for the worst alignment, in steps of some 15 ns: half
	// a second for an eye. What is not searched counts with its coarser bound.
	meetingWork = 30_000_000
	// meetingLeast is the luminance below which a surface is not looked at: general
	// flashes need 20 cd/m² between dark and light (ITU-R BT.1702-3).
	meetingLeast = 20.
)

// meetings counts flashes where two zones light what one eye sees. Each zone goes through its
// steps again and again without waiting, which brings its changes closest together; how their
// clocks stand to one another nobody knows.
func meetings(ctx context.Context, p *show.Place) ([]finding.Finding, error) {
	var lines []zoneLine
	for i := range p.Zones {
		lines = append(lines, lineOf(ctx, p, i))
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	seen := make([][]spot, len(p.Transport.Eyes)) // what every eye sees, whatever lights it
	for e := range seen {
		seen[e] = surfaces(p, e)
	}
	var out []finding.Finding
	for a := range lines {
		for b := a + 1; b < len(lines); b++ {
			if f, ok := meeting(ctx, p, seen, &lines[a], &lines[b]); ok {
				out = append(out, f)
			}
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
		}
	}
	return out, nil
}

// zoneLine is the line of a zone, without waits.
type zoneLine struct {
	*show.PlacedZone
	trace *subject.Trace
	most  []float32 // of each drive
	rate  float64   // Hz, of units that flash by themselves
}

func lineOf(ctx context.Context, p *show.Place, zone int) zoneLine {
	_, e := restAndRun(p, zone)
	if short, ok := unwaitedEvening(e); ok {
		e = short
	}
	l := zoneLine{PlacedZone: &p.Zones[zone], trace: subject.TraceOf(ctx, subject.OfEvening(e))}
	l.most = l.trace.Most(len(p.Rig.Drives))
	for _, rates := range l.trace.Rates {
		for _, r := range rates {
			l.rate = max(l.rate, float64(r))
		}
	}
	return l
}

// meeting finds the worst that two zones come to together.
func meeting(ctx context.Context, p *show.Place, seen [][]spot, a, b *zoneLine) (worst finding.Finding, ok bool) {
	type looking struct {
		eye int
		spot
	}
	var eyes []looking
	for e := range seen {
		if s, ok := spotOf(seen[e], a, b); ok {
			eyes = append(eyes, looking{e, s})
		}
	}
	slices.SortStableFunc(eyes, func(x, y looking) int { return cmp.Compare(y.weight, x.weight) })
	r := &subject.Run{Subject: subject.Of(p.Show)}
	for _, s := range eyes[:min(len(eyes), meetingEyes)] {
		eye := &meet.Eye{Lines: []meet.Line{{Times: a.trace.Times, Repeats: a.Repeats}, {Times: b.trace.Times, Repeats: b.Repeats}}}
		eye.Spots = []meet.Spot{{Area: s.area, Light: [][]flash.Colour{s.light(a), s.light(b)}}}
		o := meet.Options{Area: flash.FieldSize * flash.BT.AreaShare, Seed: 1, For: 10 * time.Minute, Work: meetingWork, Draw: 100}
		likely, most := meet.Likely(eye, o), meet.Most(eye, o)
		count := most.Count
		if a.rate > 0 && b.rate > 0 { // those that flash by themselves are not in the lines
			count = max(count, int(math.Ceil(a.rate)+math.Ceil(b.rate)))
		}
		if ctx.Err() != nil || count <= flash.BT.Most || ok && float64(count) <= worst.Value {
			continue
		}
		worst, ok = meetingFinding(r, s.eye, a, b, likely, count), true
	}
	return worst, ok
}

// meetingFinding says the likely figure first, and the bound after it.
func meetingFinding(r *subject.Run, eye int, a, b *zoneLine, likely meet.Chance, count int) finding.Finding {
	f := finding.Finding{ID: "flash-meeting", Severity: finding.Warn, Place: r.EyeName(eye), Value: float64(count), Limit: float64(flash.BT.Most), Unit: "flashes in a second",
		Source:  "WCAG 2.2 SC 2.3.1 and ITU-R BT.1702-3: no more than three flashes in any one second over more than a quarter of a 10 degree field; bound over all alignments of the zones' clocks",
		Assumed: "luminances of a screen rule taken for a stage; the surface that both light most, at its mean; zones run without a pause"}
	f.Says = finding.Say("zones %s and %s meet %s: of 100 times of ten minutes, %.0f have more than %d flashes in a second, half %d or fewer; there can be %d", a.Name, b.Name, f.Place, 100*likely.Share, flash.BT.Most, likely.Median, count)
	f.Cure = finding.Say("keep one of them steady where both are seen, make its changes slower than a third of a second, or shade the one from the other")
	if likely.Share > .5 {
		f.Severity = finding.Stop
	}
	return f
}

// spot is a surface as an eye sees it, as one.
type spot struct {
	area   float64     // sr
	row    []light.XYZ // for each drive at full, the upper end of its output
	weight float64
}

// surfaces are those that alone are as large in an eye as what must not flash.
func surfaces(p *show.Place, eye int) (out []spot) {
	t := p.Transport
	for panel := range t.Panels {
		s := spot{row: make([]light.XYZ, len(p.Rig.Drives))}
		first := t.Panels[panel].First
		for i := first; i < min(first+t.Panels[panel].Cols*t.Panels[panel].Rows, len(t.Solid[eye])); i++ {
			solid := float64(t.Solid[eye][i])
			if solid <= 0 {
				continue
			}
			s.area += solid
			for d, c := range t.ColourRow(i) {
				s.row[d] = s.row[d].Plus(c, solid)
			}
		}
		if s.area < flash.FieldSize*flash.BT.AreaShare {
			continue
		}
		for d := range s.row {
			s.row[d] = s.row[d].Times(t.Spread[d].High / s.area)
		}
		out = append(out, s)
	}
	return out
}

// spotOf is the surface that both zones light most. The bound is exact for one surface; several
// that flash together would be counted one after another.
func spotOf(surfaces []spot, a, b *zoneLine) (best spot, ok bool) {
	for _, s := range surfaces {
		least := math.Min(s.most(a), s.most(b))
		if least <= 0 || s.most(a)+s.most(b) < meetingLeast {
			continue
		}
		if s.weight = least * s.area; s.weight > best.weight {
			best, ok = s, true
		}
	}
	return best, ok
}

// most is the luminance with every drive of a zone at the most that it gives.
func (s *spot) most(z *zoneLine) float64 {
	y := 0.
	for d, level := range z.most {
		y += float64(level) * s.row[d].Y
	}
	return y
}

// light is what a zone throws on the spot, along its line.
func (s *spot) light(z *zoneLine) []flash.Colour {
	out := make([]flash.Colour, len(z.trace.Times))
	var active []int
	for d := range s.row {
		if z.most[d] > 0 && s.row[d].X+s.row[d].Y+s.row[d].Z > 1e-4 {
			active = append(active, d)
		}
	}
	for v, levels := range z.trace.Levels {
		var c light.XYZ
		for _, d := range active {
			c = c.Plus(s.row[d], float64(levels[d]))
		}
		out[v] = flash.Colour{X: float32(c.X), Y: float32(c.Y), Z: float32(c.Z)}
	}
	return out
}
