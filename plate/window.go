package plate

import (
	"context"
	"fmt"
	"slices"

	"lampblack/plate/drawing"
	"lampblack/room"
)

// Window is a part of the floor, in metres; the zero Window is all of it.
type Window struct{ X0, Y0, X1, Y1 float64 }

const (
	litFrom  = .01 // of the most light: the share from which a place counts as lit; the eye's own range is wider, and what lies below is even
	litRound = 1   // m that are left around
	litWorth = .6  // of the floor: a window that is larger leaves too little out
)

// Lit is the part of the floor that the plan's levels light, and where units hang, with a metre
// around; all of it where that is most of the floor. With all drives at full it is the same for
// all plans of a show.
func (p *Plan) Lit(ctx context.Context) (Window, error) {
	f := p.floor()
	g := p.values(ctx, &f)
	if err := ctx.Err(); err != nil {
		return Window{}, fmt.Errorf("what is lit: %w", err)
	}
	w := Window{f.x1, f.y1, f.x0, f.y0}
	most := slices.Max(g.values)
	for i, v := range g.values {
		if most > 0 && v >= litFrom*most {
			w.take(inset(f.x0, f.x1, i%g.cols, g.cols), inset(f.y0, f.y1, i/g.cols, g.rows))
		}
	}
	for i := range p.Rig.Units {
		at := p.Rig.Units[i].At
		w.take(float64(at[0]), float64(at[1]))
	}
	w = Window{max(w.X0-litRound, f.x0), max(w.Y0-litRound, f.y0), min(w.X1+litRound, f.x1), min(w.Y1+litRound, f.y1)}
	if most == 0 || (w.X1-w.X0)*(w.Y1-w.Y0) > litWorth*(f.x1-f.x0)*(f.y1-f.y0) {
		return Window{}, nil
	}
	return w, nil
}

func (w *Window) take(x, y float64) {
	w.X0, w.Y0, w.X1, w.Y1 = min(w.X0, x), min(w.Y0, y), max(w.X1, x), max(w.Y1, y)
}

func (w Window) has(p room.Point) bool {
	x, y := float64(p[0]), float64(p[1])
	return x >= w.X0 && x <= w.X1 && y >= w.Y0 && y <= w.Y1
}

// narrow leaves out of the floor what lies outside a window: people and things as if they were not
// there, and walls by the clip that [floor.clip] makes.
func (f *floor) narrow(w Window, side, across float64) {
	if w == (Window{}) {
		return
	}
	f.window = w
	f.x0, f.y0, f.x1, f.y1 = w.X0, w.Y0, w.X1, w.Y1
	f.scale = min(side/max(w.X1-w.X0, w.Y1-w.Y0), across/(w.X1-w.X0))
	absent, away := make([]bool, len(f.panels)), make([]bool, len(f.eyes))
	copy(absent, f.absent)
	copy(away, f.away)
	for i := range f.panels {
		absent[i] = absent[i] || !f.reaches(&f.panels[i])
	}
	for i, at := range f.eyes {
		away[i] = away[i] || !w.has(at)
	}
	f.absent, f.away = absent, away
}

// reaches tells whether a corner, or the middle, of a panel lies in the window.
func (f *floor) reaches(p *room.Panel) bool {
	for _, at := range [][2]float64{{0, 0}, {1, 0}, {0, 1}, {1, 1}, {.5, .5}} {
		if f.window.has(onPanel(p, at[0], at[1])) {
			return true
		}
	}
	return false
}

// clip is a group that shows inside the window alone.
func (f *floor) clip() *drawing.Group {
	g := &drawing.Group{}
	if f.window != (Window{}) {
		g.Clip = []drawing.Point{f.at(f.x0, f.y0), f.at(f.x1, f.y0), f.at(f.x1, f.y1), f.at(f.x0, f.y1)}
	}
	return g
}
