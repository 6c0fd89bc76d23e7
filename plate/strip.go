package plate

import (
	"fmt"
	"math"
	"slices"

	"lampblack/light"
	"lampblack/plate/drawing"
	"lampblack/room"
)

// Strip is a span of a show as pictures in rows, each as one eye sees the room at an instant.
// All have one white, so that what is darker in one than in another looks so.
type Strip struct {
	View           // Levels are not used
	Frames []Frame // in their order
}

// Frame is the light of one picture, and what is said below it.
type Frame struct {
	Levels    []float32
	Absent    []bool          // by panel, as in View
	Transport *room.Transport // with what moves where it is then; that of the view where it is nil
	Says      string
}

const (
	stripColumns = 4
	stripWidth   = 300 // of a picture, in pixels
	stripGap     = 12
	stripSay     = 20
	// MostFrames bounds the pictures of a strip.
	MostFrames = 120
)

// Draw computes the plate.
func (s *Strip) Draw() (*drawing.Drawing, error) {
	if n := len(s.Frames); n == 0 || n > MostFrames {
		return nil, fmt.Errorf("draw strip: %d pictures lie outside 1 to %d", n, MostFrames)
	}
	s.Levels = s.Frames[0].Levels
	c, err := s.camera()
	if err != nil {
		return nil, err
	}
	high := int(math.Round(stripWidth * viewHeight / viewWidth))
	seen := s.sequence(&c, high)
	white := s.White
	if white <= 0 {
		for _, one := range seen {
			white = max(white, brightest(one))
		}
	}
	columns := min(stripColumns, len(s.Frames))
	rows := (len(s.Frames) + columns - 1) / columns
	width := viewLeft*2 + float64(columns*stripWidth+(columns-1)*stripGap)
	d := drawing.New(width, viewTop+float64(rows*(high+stripSay+stripGap))+42, s.Title)
	d.Heading(viewLeft, 28, s.Title)
	for i := range s.Frames {
		x, y := viewLeft+float64(i%columns*(stripWidth+stripGap)), viewTop+float64(i/columns*(high+stripSay+stripGap))
		d.Add(&drawing.Picture{Pixels: toned(seen[i], white), Left: x, Top: y, Right: x + stripWidth, Bottom: y + float64(high)})
		d.Box(x, y, stripWidth, float64(high), none, drawing.Ink)
		d.Label(x, y+float64(high)+15, drawing.Left, drawing.Ink, s.Frames[i].Says)
	}
	name := "among the audience"
	if s.Eye >= 0 {
		name = s.Transport.Places[s.Transport.Eyes[s.Eye]].Name
	}
	d.Label(viewLeft, d.Height-14, drawing.Left, drawing.Ink, fmt.Sprintf("As seen from %s. Paper white is %s cd/m² in all of them; computed for matt surfaces.", name, plain(white)))
	return d, nil
}

// sequence traces the picture, once as long as nothing enters, leaves or moves, and fills it with the light of each frame.
func (s *Strip) sequence(c *camera, high int) [][][]light.XYZ {
	p := s.Transport.NewPicture()
	t := tracing{transport: s.Transport, camera: c, across: stripWidth, rows: high}
	type pixel struct {
		places  [4]int
		weights [4]float64
		hit     bool
	}
	trace := func(absent []bool) []pixel {
		t.absent = absent
		pixels := make([]pixel, stripWidth*high)
		for i := range pixels {
			if l, ok := t.hit(float64(i%stripWidth)+.5, float64(i/stripWidth)+.5); ok {
				pixels[i].places, pixels[i].weights = t.transport.Between(l)
				pixels[i].hit = true
			}
		}
		return pixels
	}
	var pixels []pixel
	out := make([][][]light.XYZ, len(s.Frames))
	for f := range out {
		before := t.transport
		if t.transport = s.Frames[f].Transport; t.transport == nil {
			t.transport = s.Transport
		}
		if f == 0 || t.transport != before || !slices.Equal(s.Frames[f].Absent, s.Frames[f-1].Absent) {
			pixels = trace(s.Frames[f].Absent)
		}
		t.transport.Picture(p, s.Frames[f].Levels)
		from := p.Colour
		if s.GlowOnly {
			from = p.Glow
		}
		out[f] = make([][]light.XYZ, high)
		for r := range out[f] {
			out[f][r] = make([]light.XYZ, stripWidth)
			for k := range out[f][r] {
				px := &pixels[r*stripWidth+k]
				if !px.hit {
					continue
				}
				for i, place := range px.places {
					if px.weights[i] > 0 {
						out[f][r][k] = out[f][r][k].Plus(from[place], px.weights[i])
					}
				}
			}
		}
	}
	return out
}
