package page

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"lampblack/show"
)

// Gamuts names the types that give light to be seen, and what a look asks for.
func TestGamuts(t *testing.T) {
	s := theYard(t)
	g := Gamuts(s, -1)
	if g.Title != "The Gate" || len(g.Types) != 1 || g.Types[0].Name != "red lamp" || len(g.Targets) != 0 {
		t.Errorf("without a look: %+v", g)
	}
	g = Gamuts(s, 4)
	if g.Title != "The Gate, look asked" || len(g.Targets) != 1 || g.Targets[0].Name != "front #ff40c0" {
		t.Errorf("with a look: %q, %+v", g.Title, g.Targets)
	}
	// Red and blue alone reach no green: the nearest lies on their line.
	if c := g.Targets[0]; c.Miss <= 0 || c.Reached == c.Wanted {
		t.Errorf("the colour is met: %+v", c)
	}
	if g := Gamuts(s, 99); g.Title != "The Gate" || len(g.Targets) != 0 {
		t.Errorf("a look that is not there: %+v", g)
	}
}

// Spectra names every emitter of every type, at full.
func TestSpectra(t *testing.T) {
	p := Spectra(theYard(t))
	var names []string
	for _, c := range p.Curves {
		names = append(names, c.Name)
	}
	if len(names) != 3 || names[0] != "bar uv" || names[1] != "red red" || names[2] != "red blue" {
		t.Errorf("curves %q", names)
	}
	if w := p.Curves[0].Spectrum.Power(); w < 5.99 || w > 6.01 {
		t.Errorf("the bar gives %v W, its label says 6", w)
	}
}

// Pictures show the light of their instant, by the clock in their title.
func TestPicturesOfAnInstant(t *testing.T) {
	s := theYard(t)
	b := New(s, nil)
	lit, err := b.Plan(context.Background(), 15*time.Second, false)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"The Gate, 0:15.000", "illuminance, lx", "1 m above the floor"} {
		if !bytes.Contains(lit, []byte(want)) {
			t.Errorf("no %q on the plan of lux", want)
		}
	}
	uv, err := b.Plan(context.Background(), 35*time.Second, true)
	if err != nil || !bytes.Contains(uv, []byte("UV-A irradiance")) {
		t.Errorf("the plan of ultraviolet: %v", err)
	}
	if v := View(s, 15*time.Second, 1, true); v.Eye != 1 || !v.GlowOnly || v.Levels[0] != .5 || v.Title != "The Gate, 0:15.000" {
		t.Errorf("the view is %+v", v)
	}
	unsolved := *s
	unsolved.Transport = nil
	if none, err := (&Book{show: &unsolved}).Plan(context.Background(), 0, false); none != nil || err != nil {
		t.Errorf("a plan of a room that was not solved: %d bytes, %v", len(none), err)
	}
}

// A look has a dot for each ribbon that it lights, and an emitter its spectrum.
func TestSmallDrawings(t *testing.T) {
	c := New(theYard(t), nil)
	for i, want := range []int{0, 2, 1, 1, 2} { // night, half, one, glow, asked
		if got := strings.Count(c.looks[i].Colours, `class="dot"`); got != want {
			t.Errorf("look %s has %d dots, want %d", c.looks[i].Name, got, want)
		}
	}
	for _, kind := range c.rig.Types {
		for _, e := range kind.Emitters {
			if !strings.Contains(e.Spectrum, "<title>spectrum of "+e.Name+",") {
				t.Errorf("%s %s is drawn as %.200s", kind.Name, e.Name, e.Spectrum)
			}
		}
	}
	plot, err := New(theYard(t), nil).Plot()
	if err != nil || strings.Count(string(plot), `class="unit"`) != 4 || !strings.Contains(string(plot), "<title>The Gate, lighting plan</title>") {
		t.Errorf("%v: %.300s", err, plot)
	}
	if none, err := (&Book{show: &show.Show{}}).Plot(); none != nil || err != nil {
		t.Errorf("a plan of no room: %d bytes, %v", len(none), err)
	}
}

// The room is looked at from the middle seat first.
func TestMiddleSeatIsSaid(t *testing.T) {
	r := New(theYard(t), nil).contents.Room
	var seats []string
	for _, p := range r.Eyes {
		if p.Kind == "seat" {
			seats = append(seats, p.Name)
		}
	}
	if r.Seat < 0 || r.Seat >= len(seats) || seats[r.Seat] != "middle" {
		t.Errorf("the middle seat is %d of %v", r.Seat, seats)
	}
}
