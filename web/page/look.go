package page

import (
	"fmt"
	"strings"

	"lampblack/plate"
	"lampblack/score"
	"lampblack/show"
	"lampblack/si"
)

// Look is a look as this rig gives it.
type Look struct {
	Name    string `json:"name"`
	Purpose string `json:"purpose"`
	// Swatches holds red, green, blue, level for each ribbon.
	Swatches []byte   `json:"swatches"`
	Colours  string   `json:"colours"` // the ribbons' colours on the CIE 1976 diagram, as SVG
	Parts    []string `json:"parts"`   // what the score asks for, in words
	Misses   []Miss   `json:"misses"`
	File     string   `json:"file"` // in which it is written
}

// Miss is something that a look asks for and this rig in this room lacks.
type Miss struct {
	Text   string  `json:"text"`
	Wanted float64 `json:"wanted"`
	Found  float64 `json:"found"`
	Unit   string  `json:"unit"`
}

// makeLooks works out what each look is on this rig. The swatches are those of the ribbons,
// so the same colour means the same on both pages; ribbons without light in a look have
// no dot on its diagram.
func (b *Book) makeLooks() []Look {
	s := b.show
	out := make([]Look, 0, len(s.Looks))
	for i := range s.Looks {
		l := &s.Looks[i]
		p := Look{Name: l.Name, Swatches: []byte{}, Parts: []string{}, Misses: []Miss{}}
		frame := &show.Frame{Levels: l.Levels}
		var dots plate.Dots
		for r := range b.ribbons {
			c, level := b.ribbons[r].at(frame)
			p.Swatches = append(p.Swatches, c.R, c.G, c.B, level)
			if level > 0 {
				dots = append(dots, plate.Dot{Name: b.contents.Ribbons[r].Name, Colour: b.ribbons[r].sum(frame).UV(), Shown: c, Share: float64(level) / 255})
			}
		}
		p.Colours = text(dots.Draw())
		if text := s.Score.Looks.Get(l.Name); text != nil {
			p.Purpose, p.Parts = text.Purpose, asks(s.Score, l.Name, text)
			p.File = s.Score.Looks[s.Score.Looks.Index(l.Name)].Pos.File
		}
		for _, m := range l.Misses {
			p.Misses = append(p.Misses, Miss{m.Text, finite(m.Wanted), finite(m.Found), m.Unit})
		}
		out = append(out, p)
	}
	return out
}

// asks says all that a look asks for: its parts, those of the look that it is like
// first, then what shall stay dark and who moves in it. Nothing of a part is left out,
// so the page can be read instead of the file.
func asks(sc *score.Score, name string, l *score.Look) []string {
	out := []string{}
	parts := sc.Parts(name)
	for i := range parts {
		out = append(out, inWords(&parts[i]))
	}
	for _, d := range l.Dark {
		out = append(out, fmt.Sprintf("%s stays dark: at most %s", d.On.Name, si.Say(float64(d.Most), "lx")))
	}
	if l.Eyes != nil {
		out = append(out, "ultraviolet at eyes: at most "+si.Say(float64(l.Eyes.Most), "W/m2"))
	}
	if l.Dim {
		out = append(out, "people move while it stands")
	}
	return out
}

// inWords says what a part asks for as a person would.
func inWords(p *score.Part) string {
	var who []string
	if p.System.Name != "" {
		who = append(who, p.System.Name)
	}
	for _, u := range p.Units {
		who = append(who, u.Name)
	}
	if len(p.Cells) > 0 {
		who = append(who, cellsInWords(p.Cells))
	}
	var what []string
	if p.Colour != nil {
		what = append(what, p.Colour.Text)
	}
	if p.Level != nil {
		what = append(what, "at "+si.Say(float64(*p.Level)*100, "%"))
	}
	if p.Lux != nil {
		what = append(what, fmt.Sprintf("%s on %s", si.Say(*p.Lux, "lx"), p.On.Name))
	}
	for _, e := range p.Emitters {
		what = append(what, e.Name+" "+si.Say(float64(e.Value)*100, "%"))
	}
	if g := p.Glow; g != nil {
		what = append(what, glowInWords(g))
	}
	if p.Flash > 0 {
		what = append(what, fmt.Sprintf("flashing %v", p.Flash))
	}
	if p.Use != "" {
		what = append(what, "as "+string(p.Use))
	}
	return strings.Join(who, ", ") + ": " + strings.Join(what, ", ")
}

// cellsInWords is "cell 2", or "cells 1, 3 and 4".
func cellsInWords(cells []int) string {
	if len(cells) == 1 {
		return fmt.Sprintf("cell %d", cells[0])
	}
	text := fmt.Sprintf("cells %d", cells[0])
	for _, c := range cells[1 : len(cells)-1] {
		text += fmt.Sprintf(", %d", c)
	}
	return text + fmt.Sprintf(" and %d", cells[len(cells)-1])
}

func glowInWords(g *score.Glow) string {
	text := g.Object.Name + " glows"
	if g.Over > 0 {
		text += fmt.Sprintf(" %s times its background", si.Say(g.Over, ""))
	}
	if g.Luminance > 0 {
		text += fmt.Sprintf(" at %v", g.Luminance)
	}
	return text
}
