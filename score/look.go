package score

import (
	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// Look is the whole picture at a moment. A look of one part may be written as that part;
// once it is read, the part is the first of Parts.
type Look struct {
	source.Pos
	Part
	Purpose string     `key:"purpose"`
	Like    source.Ref `key:"like"` // starts from this look's parts
	Parts   []Part     `key:"parts"`
	Fade    FadePath   `key:"fades"` // how colours travel into this look
	Dark    []Darkness `key:"dark"`
	Eyes    *Ceiling   `key:"ultraviolet at eyes"`
	Only    *Only      `key:"only"`
	Dim     bool       `key:"people move"` // someone walks while it stands
	By      Author     `key:"by"`          // draft: the next draft may replace it

	short bool // the first of Parts is written as the look
}

// gather puts a part that is written as the look before the parts of its list.
func (l *Look) gather() {
	if l.Part.empty() {
		return
	}
	l.short = true
	l.Part.Pos = l.Pos
	l.Parts = append([]Part{l.Part}, l.Parts...)
	l.Part = Part{}
}

// Path is where a part of the look stands in its text, below the look's name.
func (l *Look) Path(part int) []any {
	switch {
	case !l.short:
		return []any{"parts", part}
	case part == 0:
		return nil
	}
	return []any{"parts", part - 1}
}

// FadePath says how a fade travels.
type FadePath string

// How a fade travels: along colours that look evenly spaced, or straight in
// light (each emitter from its old to its new amount).
const (
	Straight FadePath = "straight in light"
	Even     FadePath = "even to the eye"
)

// Choices lists the fade paths.
func (FadePath) Choices() []string { return []string{string(Straight), string(Even)} }

// Part is one part of a look. It names units by system, by name, or both, and
// one way of saying how much light. One that names none is for the system rig.All.
type Part struct {
	source.Pos
	System source.Ref   `key:"system"`
	Units  []source.Ref `key:"units"`
	Cells  []int        `key:"cells"` // only these, from 1

	Colour   *Colour                `key:"colour"`
	Level    *si.Ratio              `key:"level"`    // of the brightest that has the colour
	Lux      *float64               `key:"lux"`      // illuminance, lx
	On       source.Ref             `key:"on"`       // the surface or object that lux is on
	Emitters source.Named[si.Ratio] `key:"emitters"` // amounts of light by emitter name
	Glow     *Glow                  `key:"glow"`
	Flash    si.Frequency           `key:"flash"` // by the units' own strobe slot
	Use      rig.Use                `key:"use"`   // what the light is for beside the show
	Lives                           // how it moves by itself
}

// Target names what the part asks light or glow of; "" where it asks of nothing.
func (p *Part) Target() string {
	switch {
	case p.Glow != nil:
		return p.Glow.Object.Name
	case p.Lux != nil:
		return p.On.Name
	}
	return ""
}

// empty tells whether nothing of the part was written.
func (p *Part) empty() bool {
	return p.System.Name == "" && len(p.Units) == 0 && len(p.Cells) == 0 && p.Colour == nil && p.Level == nil && p.Lux == nil &&
		p.On.Name == "" && len(p.Emitters) == 0 && p.Glow == nil && p.Flash == 0 && p.Use == "" && !p.Any()
}

// Glow asks that an object glows over its background.
type Glow struct {
	source.Pos
	Object source.Ref `key:"object,required"`
	Over   float64    `key:"over background"` // luminance ratio
	// Luminance, when given, is the glow asked for in cd/m2.
	Luminance si.Luminance `key:"luminance"`
	Most      si.Luminance `key:"at most"` // a ceiling on its glow
	// Even is the least part of the object over its mean: 1 is the same all over.
	Even si.Ratio `key:"evenness"`
}

// Only asks that some objects are seen and all others on stage are not.
type Only struct {
	source.Pos
	Objects []source.Ref `key:"objects,required"`
	Most    si.Luminance `key:"others at most"` // of all the others, light reflected and glow together
}

// Darkness asks that a surface stays below a visible illuminance.
type Darkness struct {
	source.Pos
	On   source.Ref     `key:"on,required"`
	Most si.Illuminance `key:"at most,required"`
}

// Ceiling bounds an irradiance.
type Ceiling struct {
	source.Pos
	Most si.Irradiance `key:"at most,required"`
}

// Colour is the text of a colour with its place: "#123a7c", "x 0.31 y 0.33",
// "4000 K". Package light parses it.
type Colour struct {
	Text string
	Pos  source.Pos
}

// ReadSource takes the text as it stands.
func (c *Colour) ReadSource(v source.Value) { c.Text, c.Pos = v.Text(), v.Pos() }

// Parts returns the parts of a look, those of the look that it is like first.
func (s *Score) Parts(name string) []Part {
	l := s.Looks.Get(name)
	if l == nil {
		return nil
	}
	if l.Like.Name == "" {
		return l.Parts
	}
	return append(append([]Part(nil), s.Parts(l.Like.Name)...), l.Parts...)
}
