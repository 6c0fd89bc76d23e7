package page

import (
	"context"
	"time"

	"lampblack/light"
	"lampblack/plate"
	"lampblack/plate/drawing"
	"lampblack/show"
	"lampblack/si"
)

// planHeight is where the plans are read: where hands and faces are. Plans of
// ultraviolet look at every height of an eye by themselves.
const planHeight si.Length = 1

// Plan draws the room from above at t: illuminance, or the ultraviolet at an
// eye with how long one may stay.
func (b *Book) Plan(ctx context.Context, t time.Duration, ultraviolet bool) ([]byte, error) {
	s := b.show
	if s.Transport == nil || s.Room == nil {
		return nil, nil
	}
	p := plate.Plan{
		Title: s.Bill.Title + ", " + si.FormatTime(t), Transport: s.Transport, Room: s.Room, Rig: s.Rig,
		Levels: s.At(s.NewFrame(), t).Levels, Height: planHeight, UVA: ultraviolet,
	}
	return svg(p.Draw(ctx))
}

// Gamut draws Gamuts, under the look's name where there is one.
func (b *Book) Gamut(look int) ([]byte, error) {
	g := Gamuts(b.show, look)
	if look >= 0 && look < len(b.show.Looks) {
		g.Title = b.show.Looks[look].Name
	}
	return svg(g.Draw())
}

// Gamuts collects the chromaticities that the fixture types reach, and which of
// them all can match; with a look, also what it asks for and gets. A look that
// is not there leaves that out.
func Gamuts(s *show.Show, look int) *plate.Gamuts {
	g := &plate.Gamuts{Title: s.Bill.Title}
	var common light.Gamut
	for _, t := range s.Rig.Types {
		reach := show.Gamut(t.Value)
		if len(reach) == 0 {
			continue
		}
		if len(g.Types) == 0 {
			common = reach
		}
		common = common.Intersect(reach)
		g.Types = append(g.Types, plate.TypeGamut{Name: t.Value.Name, Gamut: reach})
	}
	g.Common = common
	if look >= 0 && look < len(s.Looks) {
		for _, a := range s.Asked(look) {
			g.Targets = append(g.Targets, plate.Target{Name: a.Units + " " + a.Text, Wanted: a.Wanted, Reached: a.Reached, Miss: a.Miss})
		}
	}
	return g
}

func svg(d *drawing.Drawing, err error) ([]byte, error) {
	if err != nil {
		return nil, err
	}
	return d.SVG()
}
