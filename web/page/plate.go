package page

import (
	"context"
	"slices"
	"strings"
	"sync"
	"time"

	"lampblack/light"
	"lampblack/plate"
	"lampblack/plate/drawing"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// View is the room as an eye (an index in Transport.Eyes) sees it at t, or its
// glow alone; below 0 it is seen from among the audience.
func View(s *show.Show, t time.Duration, eye int, glow bool) *plate.View {
	return &plate.View{Title: titleAt(s, t), Transport: s.Transport, Rig: s.Rig, Camera: camera(s, eye), Instant: Instant(s, t), GlowOnly: glow}
}

// camera looks from an eye, or from among the audience.
func camera(s *show.Show, eye int) plate.Camera {
	c := plate.Camera{Eye: eye}
	c.From, c.Toward = s.Room.Seen()
	return c
}

// Instant is the light at t, and who and what is there.
func Instant(s *show.Show, t time.Duration) plate.Instant {
	n := plate.Instant{Levels: levelsAt(s, t), Transport: s.Seen(t), Absent: s.Absent(t)}
	n.Away = make([]bool, len(s.Transport.Eyes))
	n.Wears, n.Hooded = make([]string, len(n.Away)), make([]bool, len(n.Away))
	for e, who := range append(slices.Clone(s.Room.Seats), s.Room.People...) {
		n.Wears[e], n.Hooded[e] = who.Wears.Name, who.Hooded // eyes begin with the seats
	}
	for e, place := range s.Transport.Eyes {
		p := &s.Transport.Places[place]
		n.Away[e] = p.Kind == room.KindPerson && !s.OnStage(p.Name, t)
	}
	return n
}

// Strip is the room as an eye sees it at so many instants of a span, even steps apart.
func Strip(s *show.Show, from, to time.Duration, many, eye int, glow bool) *plate.Strip {
	p := &plate.Strip{View: *View(s, from, eye, glow)}
	p.Title = s.Bill.Title + ", " + si.FormatTime(from) + " to " + si.FormatTime(to)
	for i := range many {
		t := from + (to-from)*time.Duration(i)/time.Duration(max(many-1, 1))
		f := plate.Frame{Instant: Instant(s, t), Says: si.FormatTime(t)}
		if c := s.StandingAt(t); c >= 0 {
			f.Says += "  " + s.Looks[s.Cues[c].Look].Name
		}
		p.Frames = append(p.Frames, f)
	}
	return p
}

// filmEach is how long a frame of a film stands; longer where a span has too many of them.
const filmEach = 80 * time.Millisecond

// Film is the room as an eye sees it over a span.
func Film(s *show.Show, from, to time.Duration, eye int, glow bool) *plate.Film {
	many := min(max(int((to-from)/filmEach)+1, 2), plate.MostFilm)
	return &plate.Film{Strip: *Strip(s, from, to, many, eye, glow), Each: (to - from) / time.Duration(many-1)}
}

// Plan is the room from above at t: illuminance at a height, or the ultraviolet
// at an eye with how long one may stay.
func Plan(s *show.Show, t time.Duration, height si.Length, ultraviolet bool) *plate.Plan {
	n := Instant(s, t)
	return &plate.Plan{
		Title: titleAt(s, t), Transport: s.Seen(t), Absent: n.Absent, Away: n.Away, Room: s.Room, Rig: s.Rig,
		Levels: levelsAt(s, t), Height: height, UVA: ultraviolet,
	}
}

// Plot is the lighting plan.
func Plot(s *show.Show) *plate.Plot {
	return &plate.Plot{Title: s.Bill.Title + ", lighting plan", Room: s.Room, Rig: s.Rig, Transport: s.Transport, Guessed: Guessed(s.Room, s.Rig)}
}

func titleAt(s *show.Show, t time.Duration) string {
	title := s.Bill.Title + ", " + si.FormatTime(t)
	if Guessed(s.Room, s.Rig) != "" {
		title += ", on a guess"
	}
	return title
}

// levelsAt is the light at t. Pictures need no slots, which take most of the
// time of a frame.
func levelsAt(s *show.Show, t time.Duration) []float32 { return s.Light(s.NewFrame(), t).Levels }

// Gamuts collects the chromaticities that the fixture types reach, and which of them
// all can match; with a look, also what it asks for and gets. A look that is not there
// leaves that out. Types without anything to see have none, and do not count for what
// all can match.
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
		g.Title += ", look " + s.Looks[look].Name
		for _, a := range s.Asked(look) {
			g.Targets = append(g.Targets, plate.Target{Name: a.Units + " " + a.Text, Wanted: a.Wanted, Reached: a.Reached, Miss: a.Miss})
		}
	}
	return g
}

// Spectra are the emitters of all fixture types, at full.
func Spectra(s *show.Show) *plate.Spectra {
	p := &plate.Spectra{Title: s.Bill.Title + ", emitters at full"}
	for _, t := range s.Rig.Types {
		for _, e := range t.Value.Emitters {
			name := strings.TrimSpace(t.Name + " " + e.Name)
			p.Curves = append(p.Curves, plate.Curve{Name: name, Spectrum: e.Value.Light.Spectrum})
		}
	}
	return p
}

// planHeight is where the book's plans are read: where hands and faces are.
// Plans of ultraviolet look at every height of an eye by themselves.
const planHeight si.Length = 1

// Plan draws Plan for the book; nil when the room was not solved. Isolines take a while
// to find, so ctx ends it when the page has gone.
func (b *Book) Plan(ctx context.Context, t time.Duration, ultraviolet bool) ([]byte, error) {
	if b.show.Transport == nil || b.show.Room == nil {
		return nil, nil
	}
	p := Plan(b.show, t, planHeight, ultraviolet)
	var err error
	if p.Within, err = b.part.window(ctx, b.show); err != nil {
		return nil, err
	}
	return svg(p.Draw(ctx))
}

// litPart is the part of the floor that plans show, found when the first is asked for.
type litPart struct {
	sync.Mutex
	found bool
	part  plate.Window
}

// window is what all lamps at full light, so that all plans of a show are of one part.
func (l *litPart) window(ctx context.Context, s *show.Show) (plate.Window, error) {
	l.Lock()
	defer l.Unlock()
	if l.found {
		return l.part, nil
	}
	p := Plan(s, 0, planHeight, false)
	p.Transport, p.Levels = s.Transport, slices.Repeat([]float32{1}, len(s.Rig.Drives))
	part, err := p.Lit(ctx)
	l.part, l.found = part, err == nil
	return part, err
}

// Plot draws Plot for the book; nil where the room has no size.
func (b *Book) Plot() ([]byte, error) {
	if r := b.show.Room; r == nil || !(r.Size[0] > 0 && r.Size[1] > 0) {
		return nil, nil
	}
	return svg(Plot(b.show).Draw())
}

// Gamut draws Gamuts for the book.
func (b *Book) Gamut(look int) ([]byte, error) { return svg(Gamuts(b.show, look).Draw()) }

// svg is a drawing's text, unless it could not be drawn.
func svg(d *drawing.Drawing, err error) ([]byte, error) {
	if err != nil {
		return nil, err
	}
	return d.SVG()
}
