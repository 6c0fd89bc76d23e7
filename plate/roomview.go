package plate

import (
	"context"
	"fmt"
	"math"

	"lampblack/plate/drawing"
	"lampblack/rig"
	"lampblack/room"
)

// View is the room as an eye of the audience or a performer sees it.
type View struct {
	Title     string
	Transport *room.Transport // without what moves where it is then, which Instant has
	Rig       *rig.Rig        // names the lenses in view; may be nil
	Camera
	Instant
	GlowOnly bool // fluorescence alone: what a perfectly dark black light would show
	As       As   // AsEye when ""
	// White is the luminance shown as the paper's white, cd/m2; when 0, As finds it.
	White float64
}

const (
	viewWidth  = 880.0
	viewHeight = 520.0
	viewTop    = 46.0
	viewLeft   = 20.0
	// viewPixels is how many pixels the picture has across.
	viewPixels = 1320
)

// sight makes the sight of a view, for the light of some instants alone, between which nothing opens,
// comes or goes that stands in the light.
func (v *View) sight(ctx context.Context, width, height int, instants ...*Instant) (*Sight, error) {
	c, t := v.Camera, v.Transport
	if len(instants) > 0 && instants[0].Transport != nil {
		t = instants[0].Transport
		if len(instants) == 1 {
			c.Then = t
		}
	}
	return NewSight(ctx, t, &c, width, height, v.wanted(instants), v.dull())
}

// wanted are the units that are on in any of some instants.
func (v *View) wanted(instants []*Instant) []bool {
	columns := v.Transport.UnitOf()
	if v.Rig == nil || len(columns) == 0 {
		return nil
	}
	out := make([]bool, len(v.Rig.Units))
	for _, n := range instants {
		for d, level := range n.Levels {
			if level > 0 {
				out[v.Rig.Drives[d].Unit] = true
			}
		}
	}
	return out
}

// dull are the panels that have nothing of what is shown, by panel: of glow alone, all that do not.
func (v *View) dull() []bool {
	if !v.GlowOnly {
		return nil
	}
	out := make([]bool, len(v.Transport.Panels))
	for i := range out {
		out[i] = !v.Transport.Glows(i)
	}
	return out
}

func (v *View) aspect() room.Aspect {
	if v.GlowOnly {
		return room.Fluoresce
	}
	return room.All
}

func (v *View) as() As {
	if v.As == "" {
		return AsEye
	}
	return v.As
}

// tone is that of scenes under one white.
func (v *View) tone(scenes ...*Scene) Tone {
	t := toneOf(v.as(), scenes...)
	if v.White > 0 {
		t.White = v.White
	}
	return t
}

// Draw computes the plate; the picture inside is of pixels.
func (v *View) Draw(ctx context.Context) (*drawing.Drawing, error) {
	if err := v.check(&v.Instant); err != nil {
		return nil, err
	}
	s, err := v.sight(ctx, viewPixels, int(math.Round(viewPixels*viewHeight/viewWidth)), &v.Instant)
	if err != nil {
		return nil, err
	}
	scene := s.Light(nil, v.aspect(), &v.Instant)
	tone := v.tone(scene)
	d := drawing.New(viewWidth+2*viewLeft, viewTop+viewHeight+62, v.Title)
	d.Heading(viewLeft, 28, v.Title)
	d.Add(&drawing.Picture{Pixels: scene.paint(nil, false, tone.of), Left: viewLeft, Top: viewTop, Right: viewLeft + viewWidth, Bottom: viewTop + viewHeight})
	d.Box(viewLeft, viewTop, viewWidth, viewHeight, none, drawing.Ink)
	v.lenses(d, &s.camera)
	what := "All light"
	if v.GlowOnly {
		what = "Glow alone"
	}
	y := viewTop + viewHeight + 22
	d.Label(viewLeft, y, drawing.Left, drawing.Ink, tone.says())
	d.Label(viewLeft, y+20, drawing.Left, drawing.Ink, what+", as seen from "+v.name(v.Transport)+"; "+plain(v.across())+"° across. Glossy things mirror once.")
	return d, nil
}

// check refuses light that is not of this rig.
func (v *View) check(n *Instant) error {
	if len(n.Levels) != len(v.Transport.Light) {
		return fmt.Errorf("draw view: %d levels for %d drives", len(n.Levels), len(v.Transport.Light))
	}
	return nil
}

// lenses marks the units whose light is on and whose lens the eye sees: glare. The rays of
// the picture do not meet them: a unit has no body in the room that is computed.
func (v *View) lenses(d *drawing.Drawing, c *camera) {
	if v.Rig == nil || v.GlowOnly {
		return
	}
	t := v.Instant.Transport
	if t == nil {
		t = v.Transport
	}
	for i := range t.Views {
		view := &t.Views[i]
		// Under 1 cd/m² a lens does not stand out of a lit room (no source).
		if view.Eye != v.Eye || t.LensLuminance(view, v.Levels) < 1 {
			continue
		}
		x, y, ok := c.onto(room.Point(v.Rig.Units[view.Unit].At))
		if !ok || math.Abs(x) > 1 || math.Abs(y) > viewHeight/viewWidth {
			continue
		}
		px, py := viewLeft+viewWidth/2*(1+x), viewTop+viewHeight/2-y*viewWidth/2
		d.Lines(drawing.Ring(px, py, 7), true, drawing.Style{Stroke: drawing.White, Width: 3.5})
		d.Lines(drawing.Ring(px, py, 7), true, drawing.Style{Stroke: vermilion, Width: 2})
		at, dx := drawing.Left, 12.0
		if x > .7 {
			at, dx = drawing.Right, -12
		}
		d.Add(&drawing.Text{At: drawing.Point{px + dx, py + 4}, Words: "lens of " + v.Rig.Units[view.Unit].Name.Name, Size: 12, Anchor: at, Fill: brown, Halo: true})
	}
}
