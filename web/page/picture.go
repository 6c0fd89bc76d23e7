package page

import (
	"context"
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"image"
	"math"
	"sync"
	"time"

	"lampblack/plate"
	"lampblack/room"
	"lampblack/show"
)

// Way is what a picture in the pages shows.
type Way string

// The ways.
const (
	WaySeen Way = "seen"
	WayGlow Way = "glow" // fluorescence alone
	WayLux  Way = "lux"  // on every surface
	WayUV   Way = "uv"
)

// aspect is what is asked of the room for it.
func (w Way) aspect() (room.Aspect, bool) {
	a, ok := map[Way]room.Aspect{WaySeen: room.All, WayGlow: room.Fluoresce, WayLux: room.Falls, WayUV: room.FallsUVA}[w]
	return a, ok
}

// scales are those of the ways that show a quantity: fixed, so that two pictures can be compared.
var scales = map[Way][2]float64{WayLux: {.1, 1000}, WayUV: {.001, 10}}

// Wanted is a picture that a page asks for.
type Wanted struct {
	Eye           int // index in Transport.Eyes, below 0 from among the audience
	Width, Height int
	Of            Way
	As            plate.As
}

// Pictures of pages are of few sizes, as each is made ready by itself: widths in pixels.
const (
	stepAcross = 160
	MostAcross = 1280
)

func (w *Wanted) check(s *show.Show) error {
	_, known := w.Of.aspect()
	switch {
	case s.Transport == nil:
		return fmt.Errorf("the room was not solved, so there is no picture of it")
	case w.Eye < -1 || w.Eye >= len(s.Transport.Eyes):
		return fmt.Errorf("from %d is none of the %d seats and performers", w.Eye, len(s.Transport.Eyes))
	case w.Width < stepAcross || w.Width > MostAcross || w.Width%stepAcross != 0 || w.Height != w.Width*9/16:
		return fmt.Errorf("a picture of %d × %d pixels should be 16 to 9, and %d, %d, … to %d wide", w.Width, w.Height, stepAcross, 2*stepAcross, MostAcross)
	case !known:
		return fmt.Errorf("of %q should be seen, glow, lux or uv", w.Of)
	case w.As != plate.AsEye && w.As != plate.AsCamera && w.As != plate.Lifted:
		return fmt.Errorf("as %q should be eye, camera or lifted", w.As)
	}
	return nil
}

// Drawn is a picture as pages take it.
type Drawn struct {
	Pixels []byte // red, green, blue and 255 for each pixel; nil when it is the one that the page has
	Key    string // of what is on it: the same light in the same place has the same
	Says   string // its white, in words; "" for quantities
}

// At is the light at t.
func (b *Book) At(t time.Duration) plate.Instant { return Instant(b.show, t) }

// Under is the light of a look that stands alone, with who is there as the first of its cues
// completes; ok is false where there is no such look.
func (b *Book) Under(look int) (n plate.Instant, ok bool) {
	if look < 0 || look >= len(b.show.Looks) {
		return n, false
	}
	at := time.Duration(0)
	for i := range b.show.Cues {
		if c := &b.show.Cues[i]; c.Look == look {
			at = c.Complete
			break
		}
	}
	n = Instant(b.show, at)
	n.Levels = b.show.Looks[look].Levels
	return n, true
}

// With is the light of lamps at levels, by drive, with all there.
func (b *Book) With(levels []float32) plate.Instant {
	n := Instant(b.show, 0)
	n.Absent, n.Away, n.Transport = nil, nil, b.show.Transport
	if n.Levels = levels; len(levels) != len(b.show.Rig.Drives) {
		n.Levels = make([]float32, len(b.show.Rig.Drives)) // of a run that has not begun
	}
	return n
}

// Alone is the light of one unit, by its name, with all that it has at full; ok is false where there is no such unit.
func (b *Book) Alone(unit string) (n plate.Instant, ok bool) {
	u := b.show.Rig.Index(unit)
	if u < 0 {
		return n, false
	}
	levels := make([]float32, len(b.show.Rig.Drives))
	from, to := b.show.Rig.UnitDrives(u)
	for d := from; d < to; d++ {
		levels[d] = 1
	}
	return b.With(levels), true
}

// Solved tells whether there is anything to be seen.
func (b *Book) Solved() bool { return b.show.Transport != nil && b.show.Room != nil }

// Picture draws what a page wants, unless that is what it has: was is the key of it. Making a new
// place to look from ready takes a second or two; ctx ends that.
func (b *Book) Picture(ctx context.Context, n plate.Instant, w Wanted, was string) (Drawn, error) {
	if err := w.check(b.show); err != nil {
		return Drawn{}, err
	}
	out := Drawn{Key: key(&n, &w)}
	if out.Key == was {
		return out, nil
	}
	p, err := b.sights.of(ctx, b.show, &n, &w)
	if err != nil {
		return Drawn{}, err
	}
	defer p.mu.Unlock()
	a, _ := w.Of.aspect()
	p.scene = p.sight.Light(p.scene, a, &n)
	if scale, ok := scales[w.Of]; ok {
		p.img = p.scene.Scaled(p.img, scale[0], scale[1])
	} else {
		p.img, out.Says = p.scene.Show(p.img, w.As)
	}
	out.Pixels = append([]byte(nil), p.img.Pix...)
	return out, nil
}

// Pointed is what is at a place of a picture.
type Pointed struct {
	Name      string  `json:"name"` // "" for nothing
	Kind      string  `json:"kind"`
	Luminance float64 `json:"luminance"` // cd/m²
	Glow      float64 `json:"glow"`      // of that, cd/m²
	Lux       float64 `json:"lux"`
	UV        float64 `json:"uv"` // UV-A, W/m²
}

// Pointed tells what is at a pixel of a picture.
func (b *Book) Pointed(ctx context.Context, n plate.Instant, w Wanted, x, y float64) (Pointed, error) {
	if err := w.check(b.show); err != nil {
		return Pointed{}, err
	}
	p, err := b.sights.of(ctx, b.show, &n, &w)
	if err != nil {
		return Pointed{}, err
	}
	defer p.mu.Unlock()
	is := p.sight.At(room.All, &n, x, y)
	of := func(a room.Aspect) float64 { return finite(float64(p.sight.At(a, &n, x, y).Shine.Y)) }
	return Pointed{is.Name, string(is.Kind), finite(float64(is.Shine.Y)), of(room.Fluoresce), of(room.Falls), of(room.FallsUVA)}, nil
}

// mostSights is how many places to look from are kept ready; each takes some 20 MB at most.
const mostSights = 6

// sights are those that were asked for last. They are used by many goroutines, each by one at a time.
type sights struct {
	mu   sync.Mutex
	list []*ready // the last first
}

type ready struct {
	mu    sync.Mutex
	place string
	sight *plate.Sight // nil until it is made, or where that was given up
	scene *plate.Scene
	img   *image.RGBA
}

// of returns a sight, locked, made where it is not there.
func (s *sights) of(ctx context.Context, show *show.Show, n *plate.Instant, w *Wanted) (*ready, error) {
	c := camera(show, w.Eye)
	c.Then = n.Transport
	at := ""
	if w.Eye >= 0 && n.Transport != nil {
		at = fmt.Sprintf("%.1f", n.Transport.Places[n.Transport.Eyes[w.Eye]].At)
	}
	in := show.Transport
	if n.Transport != nil {
		in = n.Transport
	}
	p := s.find(fmt.Sprintf("%d %d %d %s %s", w.Eye, w.Width, w.Height, at, in.Setting()))
	p.mu.Lock()
	if p.sight != nil {
		return p, nil
	}
	sight, err := plate.NewSight(ctx, in, &c, w.Width, w.Height, nil, nil)
	if err != nil {
		p.mu.Unlock()
		return nil, err
	}
	p.sight = sight
	return p, nil
}

// find is the place in the list of a sight, which becomes the first.
func (s *sights) find(place string) *ready {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, p := range s.list {
		if p.place == place {
			copy(s.list[1:], s.list[:i])
			s.list[0] = p
			return p
		}
	}
	p := &ready{place: place}
	s.list = append([]*ready{p}, s.list...)
	if len(s.list) > mostSights {
		s.list = s.list[:mostSights]
	}
	return p
}

// key is a digest of all that a picture depends on.
func key(n *plate.Instant, w *Wanted) string {
	h := fnv.New64a()
	fmt.Fprintln(h, *w, n.Absent, n.Away)
	b := make([]byte, 0, 4*len(n.Levels))
	for _, v := range n.Levels {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
	}
	h.Write(b)
	if t := n.Transport; t != nil {
		fmt.Fprint(h, t.Stands())
		for i := range t.Panels {
			if p := &t.Panels[i]; p.Moves() {
				fmt.Fprint(h, p.Corner, p.U)
			}
		}
		for _, e := range t.Eyes {
			fmt.Fprint(h, t.Places[e].At)
		}
	}
	return fmt.Sprintf("%x", h.Sum64())
}
