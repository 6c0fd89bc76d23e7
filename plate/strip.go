package plate

import (
	"context"
	"fmt"
	"math"

	"lampblack/plate/drawing"
)

// Strip is a span of a show as pictures in rows, each as one eye sees the room at an instant.
// All have one white, so that what is darker in one than in another looks so.
type Strip struct {
	View           // Instant is not used
	Frames []Frame // in their order
}

// Frame is the light of one picture, and what is said below it.
type Frame struct {
	Instant
	Says string
}

const (
	stripColumns = 4
	stripWidth   = 300 // of a picture, in pixels of the page
	stripSharp   = 2   // pixels of a picture to one of the page
	stripGap     = 12
	stripSay     = 20
	// MostFrames bounds the pictures of a strip.
	MostFrames = 120
)

// Draw computes the plate.
func (s *Strip) Draw(ctx context.Context) (*drawing.Drawing, error) {
	if n := len(s.Frames); n == 0 || n > MostFrames {
		return nil, fmt.Errorf("draw strip: %d pictures lie outside 1 to %d", n, MostFrames)
	}
	high := int(math.Round(stripWidth * viewHeight / viewWidth))
	scenes, err := s.scenes(ctx, stripSharp*stripWidth, stripSharp*high)
	if err != nil {
		return nil, err
	}
	tone := s.tone(scenes...)
	columns := min(stripColumns, len(s.Frames))
	rows := (len(s.Frames) + columns - 1) / columns
	width := viewLeft*2 + float64(columns*stripWidth+(columns-1)*stripGap)
	d := drawing.New(width, viewTop+float64(rows*(high+stripSay+stripGap))+42, s.Title)
	d.Heading(viewLeft, 28, s.Title)
	for i := range s.Frames {
		x, y := viewLeft+float64(i%columns*(stripWidth+stripGap)), viewTop+float64(i/columns*(high+stripSay+stripGap))
		d.Add(&drawing.Picture{Pixels: scenes[i].paint(nil, false, tone.of), Left: x, Top: y, Right: x + stripWidth, Bottom: y + float64(high)})
		d.Box(x, y, stripWidth, float64(high), none, drawing.Ink)
		d.Label(x, y+float64(high)+15, drawing.Left, drawing.Ink, s.Frames[i].Says)
	}
	d.Label(viewLeft, d.Height-32, drawing.Left, drawing.Ink, tone.says())
	d.Label(viewLeft, d.Height-14, drawing.Left, drawing.Ink, fmt.Sprintf("As seen from %s, all under one white; computed.", s.name(s.Transport)))
	return d, nil
}

// scenes lights all frames: one sight for each way in which the room stands.
func (s *Strip) scenes(ctx context.Context, width, height int) ([]*Scene, error) {
	together := map[string][]*Instant{}
	stands := func(n *Instant) string {
		if n.Transport == nil {
			return ""
		}
		return n.Transport.Setting()
	}
	for i := range s.Frames {
		n := &s.Frames[i].Instant
		if err := s.check(n); err != nil {
			return nil, err
		}
		together[stands(n)] = append(together[stands(n)], n)
	}
	sights := map[string]*Sight{}
	var out []*Scene
	for i := range s.Frames {
		n := &s.Frames[i].Instant
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("draw strip: %w", err)
		}
		sight := sights[stands(n)]
		if sight == nil {
			var err error
			if sight, err = s.sight(ctx, width, height, together[stands(n)]...); err != nil {
				return nil, err
			}
			sights[stands(n)] = sight
		}
		out = append(out, sight.Light(nil, s.aspect(), n))
	}
	return out, nil
}
