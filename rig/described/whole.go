package described

import (
	"fmt"
	"math"
	"strings"

	"lampblack/source"
	"lampblack/wire/gdtf"
)

// whole writes what is told of the lamp as a whole: size, cells, beam, supply, emitters.
func (r *reader) whole() {
	size := r.size()
	if size != nil {
		r.line("size: [%s m, %s m, %s m]", figures(size[0]), figures(size[1]), figures(size[2]))
	}
	if lens := r.lens(size); lens > 0 {
		r.line("lens: [%s m, %s m]", figures(lens), figures(lens))
	}
	if r.out.cells > 1 {
		r.line("cells: %d", r.out.cells)
	}
	if w := r.t.Physical.Properties.Weight; len(w) > 0 && w[0].Value.Value > 0 && w[0].Value.Value <= 500 {
		r.line("weight: %s kg", figures(w[0].Value.Value))
	}
	main := r.beam()
	r.supply()
	for i := range r.out.emitters {
		e := &r.out.emitters[i]
		var own *beamAngles
		if a := anglesOf(e.beam); a != nil && main != nil && *a != *main {
			own = a
		}
		r.describe(e, r.openings(i), own)
	}
	r.remarks()
}

func (r *reader) line(format string, args ...any) {
	r.out.lines = append(r.out.lines, fmt.Sprintf(format, args...))
}

// openings are those that an emitter's channels have in the mode that has most of them.
func (r *reader) openings(emitter int) []*gdtf.Geometry {
	var best []*gdtf.Geometry
	for i, l := range r.layouts {
		seen := map[int]bool{}
		var now []*gdtf.Geometry
		for k := range l.Channels {
			c := &l.Channels[k]
			if !r.drives(i, c, emitter) {
				continue
			}
			for _, o := range c.Openings {
				if !seen[o] {
					seen[o] = true
					now = append(now, l.Openings[o].Beam)
				}
			}
		}
		if len(now) > len(best) {
			best = now
		}
	}
	return best
}

// drives tells whether a channel drives an emitter.
func (r *reader) drives(mode int, c *gdtf.Placed, emitter int) bool {
	for i := range c.Logical {
		for j := range c.Logical[i].Functions {
			f := &c.Logical[i].Functions[j]
			key, colour := colourOf(f.Does())
			if !colour && strings.EqualFold(f.Does(), "Dimmer") {
				key = "light"
			}
			if f.Emitter != "" {
				key = "/" + f.Emitter
			}
			if k, ok := r.keys[key]; ok && k == emitter {
				return true
			}
		}
	}
	return false
}

// size is that of the model of the part at the top, or of the largest model; along the row first. Of a row
// whose model nobody gave it is that of its cells.
func (r *reader) size() []float64 {
	var best *gdtf.Model
	volume := 0.0
	top := ""
	for i := range r.t.Geometries {
		for j := range r.t.Modes {
			if r.t.Geometries[i].Name == r.t.Modes[j].Geometry && top == "" {
				top = r.t.Geometries[i].Model
			}
		}
	}
	for i := range r.t.Models {
		m := &r.t.Models[i]
		v := m.Length.Value * m.Width.Value * m.Height.Value
		if v > 0 && (v > volume || m.Name == top) {
			best, volume = m, v
		}
		if m.Name == top && v > 0 {
			break
		}
	}
	if best == nil && r.out.cells < 2 {
		return nil
	}
	axis, long := r.row()
	if best == nil {
		if long == 0 {
			long = 1
			r.note("", 0, "its size is not told: taken as 1 m for the row")
		}
		return []float64{min(long, 20), .09, .1}
	}
	size := []float64{best.Length.Value, best.Width.Value, best.Height.Value}
	if axis == 1 {
		size[0], size[1] = size[1], size[0]
	}
	for i := range size {
		if size[i] > 20 {
			r.note("", 0, "its size is told as %.4g m: left out", size[i])
			return nil
		}
	}
	return size
}

// row is the axis along which cells lie, and how long they come to with a step at the ends.
func (r *reader) row() (axis int, long float64) {
	n := len(r.places)
	if n < 2 {
		return 0, 0
	}
	for k := range 3 {
		if d := math.Abs(r.places[n-1][k] - r.places[0][k]); d > long {
			axis, long = k, d
		}
	}
	return axis, long * float64(n) / float64(n-1)
}

// lens is the side of a square as large as the opening, where it fits into its part of the front.
func (r *reader) lens(size []float64) float64 {
	if len(r.first) == 0 || !r.first[0].Radius.Told || r.first[0].Radius.Value <= 0 || r.first[0].Radius.Value > 5 {
		return 0
	}
	side := r.first[0].Radius.Value * math.Sqrt(math.Pi)
	if size != nil && (side > size[0]/float64(r.out.cells) || side > size[1]) {
		r.note("", 0, "its opening is told as larger than the lamp: left out")
		return 0
	}
	return side
}

// beam writes the angles that most openings have.
func (r *reader) beam() *beamAngles {
	for _, g := range r.first {
		if a := anglesOf(g); a != nil {
			r.line("beam: %s", a.beam())
			return a
		}
	}
	usual := "25°"
	switch {
	case r.out.cells > 1:
		usual = "30°"
	case len(r.out.emitters) == 1 && r.out.emitters[0].word == "uv":
		usual = "70°"
	}
	r.note("", 0, "its beam is not told: taken as %s, as many such lamps have", usual)
	r.line("beam: {half: %s}", usual)
	return nil
}

// supply writes what the lamp draws: by its wires, else by its properties, else by its beams.
func (r *reader) supply() {
	watts, factor := 0.0, 0.0
	var wires func(list []gdtf.Geometry)
	wires = func(list []gdtf.Geometry) {
		for i := range list {
			g := &list[i]
			if g.Kind == gdtf.Wiring && (g.Component == "Consumer" || g.Component == "") && g.Load.Value > 0 {
				watts += g.Load.Value
				factor = g.CosPhi.Value
			}
			wires(g.Parts)
		}
	}
	wires(r.t.Geometries)
	for _, p := range r.t.Physical.Properties.Power {
		if watts == 0 && p.Value.Value > 0 {
			watts, factor = p.Value.Value, p.Factor.Value
		}
	}
	if watts == 0 && len(r.layouts) > 0 {
		for _, b := range r.first {
			if b.Power.Told && !r.defaulted(b) {
				watts += b.Power.Value
			}
		}
	}
	if watts <= 0 || watts > 100_000 {
		r.note("", 0, "what it draws is not told: put in what its label says")
		return
	}
	if factor > 0 && factor <= 1 {
		r.line("supply: {max: %s W, factor: %s}", figures(watts), figures(factor))
		return
	}
	r.line("supply: {max: %s W}", figures(watts))
}

// remarks writes notes for people.
func (r *reader) remarks() {
	var parts []string
	text := strings.Replace(r.t.Description, atOneMetre, "", 1)
	if before, rest, ok := strings.Cut(text, outputsFrom); ok {
		if _, after, ok := strings.Cut(rest, outputsTo); ok {
			text = before + after
		}
	}
	if d := strings.TrimSpace(text); d != "" && len(d) < 400 {
		parts = append(parts, source.VisibleLines(d))
	}
	if len(parts) > 0 {
		r.line("notes: %s", source.Quote(strings.Join(parts, "; ")))
	}
}
