package gdtf

import (
	"fmt"
	"slices"
)

// Opening is a light opening of a mode, where it is in the lamp.
type Opening struct {
	Path  string // names of the parts from the top, the reference in place of what it refers to
	Beam  *Geometry
	Place Matrix
}

// Placed is a channel of a mode with the slots that it really has: one for each time that its part
// is in the lamp.
type Placed struct {
	*Channel
	Slots    []int // most significant first; none for a virtual one
	Input    int   // the data input, from 1
	Path     string
	Openings []int // indexes of the openings at or within its part
}

// Layout is what a mode is built of, with all references followed.
type Layout struct {
	Openings []Opening
	Channels []Placed
	Notes    []string
}

// Limits of a layout: a hostile file may refer a part that refers, and so on.
const (
	mostOpenings = 4096
	mostPlaced   = 8192
)

// Layout follows the references of a mode.
func (t *FixtureType) Layout(m *Mode) *Layout {
	l := layouter{t: t, m: m, out: &Layout{}, parts: map[string][]*part{}}
	top := t.top(m.Geometry)
	if top == nil {
		l.note("there is no part %q at the top level for it: the first is taken", m.Geometry)
		if len(t.Geometries) == 0 {
			return l.out
		}
		top = &t.Geometries[0]
	}
	l.walk(top, nil, Matrix{}, "", 0)
	for i := range m.Channels {
		l.place(&m.Channels[i])
	}
	return l.out
}

// top finds a part at the top level.
func (t *FixtureType) top(name string) *Geometry {
	for i := range t.Geometries {
		if t.Geometries[i].Name == name {
			return &t.Geometries[i]
		}
	}
	return nil
}

// part is a place at which a part of some name is in the lamp.
type part struct {
	path        string
	reference   *Geometry // the innermost that brought it there, or nil
	first, last int       // of the openings
}

type layouter struct {
	t     *FixtureType
	m     *Mode
	out   *Layout
	parts map[string][]*part
	count int
}

func (l *layouter) note(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if !slices.Contains(l.out.Notes, text) && len(l.out.Notes) < mostNotes {
		l.out.Notes = append(l.out.Notes, text)
	}
}

// walk goes through a part and what is in it. Of a part that a reference puts here the names are those of
// the original, which channels use.
func (l *layouter) walk(g, reference *Geometry, at Matrix, path string, depth int) {
	if l.count++; l.count > mostOpenings || depth > 32 {
		l.note("its parts refer to each other more often than any lamp has parts")
		return
	}
	at = g.Position.In(at)
	path += "/" + g.Name
	p := &part{path: path, reference: reference, first: len(l.out.Openings)}
	l.parts[g.Name] = append(l.parts[g.Name], p)
	switch g.Kind {
	case Beam:
		l.out.Openings = append(l.out.Openings, Opening{path, g, at})
	case Reference:
		if to := l.t.top(g.Refers); to == nil {
			l.note("part %q refers to %q, which is not there", g.Name, g.Refers)
		} else {
			l.walk(to, g, at, path, depth+1)
		}
	}
	for i := range g.Parts {
		l.walk(&g.Parts[i], reference, at, path, depth+1)
	}
	p.last = len(l.out.Openings)
}

// place puts a channel at every place that its part has.
func (l *layouter) place(c *Channel) {
	at := l.parts[c.Geometry]
	if len(at) == 0 {
		l.note("channel %q belongs to a part %q that the mode has not", c.Called(), c.Geometry)
		at = []*part{{path: "/" + c.Geometry, last: len(l.out.Openings)}}
	}
	for _, p := range at {
		if len(l.out.Channels) == mostPlaced {
			l.note("it has more channels than any lamp")
			return
		}
		placed := Placed{Channel: c, Input: c.Break.Number(), Path: p.path}
		for o := p.first; o < p.last; o++ {
			placed.Openings = append(placed.Openings, o)
		}
		offset := 0
		if p.reference != nil {
			placed.Input, offset = l.moved(c, p.reference)
		}
		for _, s := range c.Offset {
			if s += offset; s >= 1 && s <= 512 {
				placed.Slots = append(placed.Slots, s)
			} else {
				l.note("channel %q would be at slot %d", c.Called(), s)
			}
		}
		l.out.Channels = append(l.out.Channels, placed)
	}
}

// moved is where a reference puts a channel: its n-th Break is for the n-th of the data inputs that
// channels of the part name; the last one for those that leave it to the reference.
func (l *layouter) moved(c *Channel, g *Geometry) (input, offset int) {
	input = c.Break.Number()
	b := RefBreak{}
	switch n := len(g.Breaks); {
	case n == 0:
	case c.Break.Overwrite:
		b = g.Breaks[n-1]
		input = max(b.Break.Value, 1)
	default:
		i := slices.IndexFunc(g.Breaks, func(b RefBreak) bool { return b.Break.Told && b.Break.Value == input })
		b = g.Breaks[max(i, 0)]
	}
	return input, max(b.Offset.Value, 1) - 1
}

// Footprint is the highest slot of the first data input.
func (l *Layout) Footprint() int {
	most := 0
	for _, c := range l.Channels {
		for _, s := range c.Slots {
			if c.Input == 1 {
				most = max(most, s)
			}
		}
	}
	return most
}
