package desk

import (
	"fmt"
	"image/color"
	"io"
	"math"
	"slices"

	"lampblack/light"
	"lampblack/plate/drawing"
	"lampblack/room"
)

// Pictured tells whether the loss has pictures to compare.
func (l *Loss) Pictured() bool { return l.wanted != nil }

// WritePicture draws the stage as the audience sees it, as it was meant and as the desk
// shows it, for a loss of a look. Both halves share one scale of brightness, whose
// white is the brightest thing in either, or 1 cd/m² where that is less. The knee at
// 0.8 of white keeps the brightest parts from all becoming one white. Boxes overlap by
// .3 of a pixel, lest seams show between them.
func (p *Plan) WritePicture(w io.Writer, l *Loss) error {
	if !l.Pictured() {
		return fmt.Errorf("draw a loss: %q has nothing to see", l.Text)
	}
	e := p.elevation()
	const width, gap, top = 480.0, 24.0, 28.0
	scale := width / e.width
	d := drawing.New(2*width+gap, math.Round(e.height*scale+top), l.Text)
	d.Ground = drawing.Hex(0x15151a)
	t := p.Show.Transport
	meant := slices.Clone(t.Picture(t.NewPicture(), l.wanted).Colour)
	shown := t.Picture(t.NewPicture(), l.shown).Colour
	white := adapted
	for _, q := range e.quads {
		white = max(white, meant[q.place].Y, shown[q.place].Y)
	}
	tone := light.ToneMap{White: white, Knee: .8}
	for i, half := range []struct {
		title  string
		colour []light.XYZ
	}{{"as it was meant", meant}, {"as the desk shows it", shown}} {
		x := float64(i) * (width + gap)
		d.Add(&drawing.Text{At: drawing.Point{x + 6, 18}, Words: half.title, Size: 14, Anchor: drawing.Left, Fill: drawing.Hex(0xcccccc)})
		for _, q := range e.quads {
			c := tone.SRGB(half.colour[q.place])
			d.Box(x+(q.left-e.left)*scale, top+(e.top-q.top)*scale, q.width*scale+.3, q.height*scale+.3, color.NRGBA{c.R, c.G, c.B, 255}, color.NRGBA{})
		}
	}
	data, err := d.SVG()
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}

// elevation is the stage from the front: patches that face the audience, the
// farthest first.
type elevation struct {
	quads                    []quad
	left, top, width, height float64 // m
}

type quad struct {
	place                          int
	left, top, width, height, deep float64
}

// elevation lays the patches out as they are drawn. What faces the audience is what has
// a normal toward negative y, by more than 17° off edge-on; backs and floors are left
// out. The farthest is drawn first, so that what is nearer covers it.
func (p *Plan) elevation() elevation {
	t := p.Show.Transport
	var e elevation
	for i := range t.Panels {
		panel := &t.Panels[i]
		stands := panel.Kind == room.KindSurface || panel.Kind == room.KindObject
		if !stands || panel.Back || panel.Normal[1] > -.3 {
			continue
		}
		w, h := panel.Width/float64(panel.Cols), panel.Height/float64(panel.Rows)
		for n := range panel.Cols * panel.Rows {
			at := t.Places[panel.First+n].At
			e.quads = append(e.quads, quad{panel.First + n, float64(at[0]) - w/2, float64(at[2]) + h/2, w, h, float64(at[1])})
		}
	}
	slices.SortStableFunc(e.quads, func(a, b quad) int { return sign(b.deep - a.deep) })
	e.left, e.top = math.Inf(1), math.Inf(-1)
	right, bottom := math.Inf(-1), math.Inf(1)
	for _, q := range e.quads {
		e.left, e.top = min(e.left, q.left), max(e.top, q.top)
		right, bottom = max(right, q.left+q.width), min(bottom, q.top-q.height)
	}
	e.width, e.height = max(right-e.left, .1), max(e.top-bottom, .1)
	return e
}
