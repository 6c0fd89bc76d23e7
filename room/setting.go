package room

import (
	"fmt"
	"maps"
	"slices"
	"strconv"

	"lampblack/source"
)

// Curtains, flats and boxes that open, come or go. They stand in the light and throw it back, so
// each way in which they stand has a transport of its own. All of them have the same panels and
// places, so that between two of them light goes in straight lines.
//
//	r.Divide(shares)              where surfaces and boxes can stand open
//	r.In(setting) ──▶ *Room       the room with some of them away; Solve it
//	Mixed(transports, shares) ──▶ *Transport   on the way between settings
//
// A part that is away is gone: what a curtain gathers to at its side, or above, is not followed.

// Opening is how a surface opens.
type Opening string

// The ways to open: from the middle, to one side as who looks at its front sees it, or upward.
const (
	OpensToSides Opening = "to the sides"
	OpensLeft    Opening = "to the left"
	OpensRight   Opening = "to the right"
	OpensUpward  Opening = "upward"
)

// Choices lists the ways.
func (Opening) Choices() []string {
	return []string{string(OpensToSides), string(OpensLeft), string(OpensRight), string(OpensUpward)}
}

// Setting is how what opens stands: by name, how many of its shares are away. What is not named
// is as the room's text has it.
type Setting map[string]int

// Divide says at which shares of their opening surfaces and boxes are to be known, ascending, above
// 0 and up to 1. A surface that does not say how it opens, and a box, is there or away: 1 alone.
// It is called before [Room.Solve].
func (r *Room) Divide(shares map[string][]float64) {
	r.divided = map[string][]float64{}
	for name, s := range shares {
		if f := r.Surfaces.Get(name); f != nil && f.Opens != "" {
			r.divided[name] = s
		} else if f != nil || r.Boxes.Get(name) != nil {
			r.divided[name] = []float64{1}
		}
	}
}

// Divided returns the shares of a name as Divide took them; nil for what does not open.
func (r *Room) Divided(name string) []float64 { return r.divided[name] }

// In is the room in a setting. It shares its text with r.
func (r *Room) In(s Setting) *Room {
	c := *r
	c.setting = maps.Clone(s)
	return &c
}

// strips are the parts of a surface that go away one after another, in that order; two at a time
// of what opens to both sides.
func (f *Surface) strips(front sheet, shares []float64) (out []sheet, at []int) {
	add := func(k int, x0, y0, x1, y1 float64) {
		if x1-x0 > 1e-9 && y1-y0 > 1e-9 {
			p := front
			p.corner = front.at(x0, y0)
			p.w, p.h = (x1-x0)*front.w, (y1-y0)*front.h
			out, at = append(out, p), append(at, k)
		}
	}
	from := 0.
	for k, to := range shares {
		switch f.Opens {
		case OpensToSides:
			add(k, .5-to/2, 0, .5-from/2, 1)
			add(k, .5+from/2, 0, .5+to/2, 1)
		case OpensLeft:
			add(k, 1-to, 0, 1-from, 1)
		case OpensRight:
			add(k, from, 0, to, 1)
		default:
			add(k, 0, from, 1, to)
		}
		from = to
	}
	return out, at
}

// opens checks that what opens is a rectangle.
func (c *checking) opens(e *source.Entry[Surface]) {
	s := &e.Value
	if s.Opens != "" && (s.Shape != "" || s.Outline != nil) {
		c.faults.Add(s.Pos, "leave out shape and outline, or opens", "surface %q opens %s, and only rectangles do", e.Name, s.Opens)
		s.Opens = ""
	}
}

// AwayIn tells by panel which parts are away when what opens is open by these shares.
func (t *Transport) AwayIn(open map[string]float64) []bool {
	var out []bool
	for i := range t.Panels {
		p := &t.Panels[i]
		shares := t.room.divided[p.Name]
		if p.strip.number == 0 || p.strip.number > len(shares) {
			continue
		}
		from := 0.
		if p.strip.number > 1 {
			from = shares[p.strip.number-2]
		}
		if open[p.Name] < (from+shares[p.strip.number-1])/2 {
			continue
		}
		if out == nil {
			out = make([]bool, len(t.Panels))
		}
		out[i] = true
	}
	return out
}

// Mixed is the room between settings: all light a mean of theirs with these weights, which add up
// to 1. Which lenses an eye sees, and where what remains of a surface lies, is that of the
// heaviest.
func Mixed(settings []*Transport, weights []float64) *Transport {
	heavy := 0
	for i, w := range weights {
		if w > weights[heavy] {
			heavy = i
		}
	}
	c := *settings[heavy]
	if weights[heavy] > 1-1e-9 {
		return settings[heavy]
	}
	c.sends, c.between = &sends{}, fmt.Sprintf("%.4f", weights)
	c.direct = c.weighed(settings, weights, func(t *Transport) [][]float32 { return t.direct })
	c.total = c.weighed(settings, weights, func(t *Transport) [][]float32 { return t.total })
	c.facing = weighedRows(settings, weights, func(t *Transport) [][]float32 { return t.facing })
	c.Solid = weighedRows(settings, weights, func(t *Transport) [][]float32 { return t.Solid })
	c.glow.to = c.weighed(settings, weights, func(t *Transport) [][]float32 { return t.glow.to })
	c.glow.power = weighedRows(settings, weights, func(t *Transport) [][]float32 { return t.glow.power })
	return &c
}

// weighedRows is a mean of matrices of equal sizes.
func weighedRows(settings []*Transport, weights []float64, of func(*Transport) [][]float32) [][]float32 {
	first := of(settings[0])
	if len(first) == 0 {
		return nil
	}
	out := rows(len(first), len(first[0]))
	for i, t := range settings {
		for k, row := range of(t) {
			addTimes(out[k], row, float32(weights[i]))
		}
	}
	return out
}

// weighed is the same by place; of a part that is away in some of the settings only those count in
// which it is there.
func (t *Transport) weighed(settings []*Transport, weights []float64, of func(*Transport) [][]float32) [][]float32 {
	out := weighedRows(settings, weights, of)
	for place := range out {
		there := 0.
		for i, s := range settings {
			if !s.gone(place) {
				there += weights[i]
			}
		}
		if there > 0 && there < 1-1e-9 {
			for d := range out[place] {
				out[place][d] *= float32(1 / there)
			}
		}
	}
	return out
}

// Setting is how what opens stands in t, in a few words; of a mean the heaviest.
func (t *Transport) Setting() string { return t.room.setting.String() }

// Stands says the same and, of a mean, how much it is of each: rooms that stand alike have it alike.
func (t *Transport) Stands() string { return t.Setting() + t.between }

// gone tells whether a place is of a part that is away.
func (t *Transport) gone(place int) bool {
	p := t.Places[place].Panel
	return p >= 0 && t.Panels[p].strip.away
}

func addTimes(to, row []float32, factor float32) {
	if factor == 0 {
		return
	}
	for d, v := range row {
		to[d] += factor * v
	}
}

// String says in a few words how what opens stands.
func (s Setting) String() string {
	var names []string
	for name := range s {
		names = append(names, name)
	}
	slices.Sort(names)
	out := ""
	for _, name := range names {
		out += name + " " + strconv.Itoa(s[name]) + "|"
	}
	return out
}
