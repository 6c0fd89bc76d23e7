package plate

import (
	"context"
	"fmt"
	"image"
	"time"

	"lampblack/check/flash"
	"lampblack/light"
	"lampblack/plate/drawing"
)

// Film is a span of a show as a picture that moves, under one white. It never flashes more often
// than a picture may: where the light would, all of it goes gentler, and it says so.
type Film struct {
	Strip
	Each time.Duration // that a frame stands for
}

const (
	filmWidth, filmHeight = 480, 284
	filmFoot              = 44
	// MostFilm bounds the frames of a film: they are all in memory at once.
	MostFilm = 300
	// A spot of a film is a block of so many pixels.
	spotSide = 40
	// screenWhite is the luminance that the rules for pictures take for a screen's white, cd/m2.
	screenWhite = 200
)

// Write makes the file.
func (f *Film) Write(ctx context.Context) ([]byte, error) {
	if n := len(f.Frames); n < 2 || n > MostFilm || f.Each <= 0 {
		return nil, fmt.Errorf("draw film: %d frames of %v lie outside 2 to %d", n, f.Each, MostFilm)
	}
	pictures, says, err := f.pictures(ctx)
	if err != nil {
		return nil, err
	}
	note := ""
	pictures, gentler := soften(pictures, f.Each)
	if gentler {
		note = " The light flashes more often than a picture may: here it is softened."
	}
	for i, p := range pictures {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("draw film: %w", err)
		}
		d := drawing.New(filmWidth, filmHeight+filmFoot, f.Title)
		d.Add(&drawing.Picture{Pixels: p, Right: filmWidth, Bottom: filmHeight})
		d.Add(&drawing.Text{At: drawing.Point{6, filmHeight + 17}, Words: f.Frames[i].Says, Size: 13, Anchor: drawing.Left, Fill: drawing.Ink})
		d.Add(&drawing.Text{At: drawing.Point{6, filmHeight + 35}, Words: says + note, Size: 10, Anchor: drawing.Left, Fill: soft})
		if pictures[i], err = d.Pixels(); err != nil {
			return nil, err
		}
	}
	return drawing.Animated(pictures, f.Each)
}

// pictures are the frames, and what is said of them all.
func (f *Film) pictures(ctx context.Context) (out []*image.RGBA, says string, err error) {
	scenes, err := f.scenes(ctx, filmWidth, filmHeight)
	if err != nil {
		return nil, "", err
	}
	tone := f.tone(scenes...)
	for _, s := range scenes {
		out = append(out, s.paint(nil, false, tone.of))
	}
	return out, "From " + f.name(f.Transport) + ", white is " + plain(tone.White) + " cd/m².", nil
}

// soften makes frames gentler until no spot flashes too often: each becomes the mean of those about it,
// over a longer time each time.
func soften(frames []*image.RGBA, each time.Duration) (out []*image.RGBA, gentler bool) {
	out = frames
	for _, over := range []time.Duration{time.Second / 4, time.Second / 2, time.Second, 2 * time.Second} {
		if !flashes(out, each) {
			return out, gentler
		}
		gentler = true
		out = means(frames, max(1, int(over/each/2)))
	}
	if flashes(out, each) {
		out = means(frames, len(frames)) // one mean of all
	}
	return out, gentler
}

// flashes tells whether any spot flashes more often than it may, by WCAG 2.2 and BT.1702-3, or in red. A
// picture is looked at from near: so any spot counts, however small.
func flashes(frames []*image.RGBA, each time.Duration) bool {
	times := make([]time.Duration, len(frames))
	for i := range times {
		times[i] = time.Duration(i) * each
	}
	box := frames[0].Rect
	y, colours := make([]float32, len(frames)), make([]flash.Colour, len(frames))
	for top := 0; top < box.Dy(); top += spotSide {
		for left := 0; left < box.Dx(); left += spotSide {
			for i, f := range frames {
				colours[i] = mean(f, image.Rect(left, top, left+spotSide, top+spotSide).Intersect(box))
				y[i] = colours[i].Y
			}
			for _, found := range [][]flash.Flash{flash.General(&flash.WCAG, times, y), flash.General(&flash.BT, times, y), flash.RedFlashes(&flash.Red, times, colours)} {
				if tooMany(found) {
					return true
				}
			}
		}
	}
	return false
}

// tooMany tells whether more than three flashes begin within a second.
func tooMany(list []flash.Flash) bool {
	for _, up := range []bool{true, false} {
		var begin []time.Duration
		for _, f := range list {
			if f.Up == up {
				begin = append(begin, f.At)
			}
		}
		for i := 3; i < len(begin); i++ {
			if begin[i]-begin[i-3] < flash.Second-flash.Grain {
				return true
			}
		}
	}
	return false
}

// mean is the colour of a spot on the screen that the rules take.
func mean(f *image.RGBA, box image.Rectangle) flash.Colour {
	var sum light.XYZ
	n := 0.
	for y := box.Min.Y; y < box.Max.Y; y += 2 {
		for x := box.Min.X; x < box.Max.X; x += 2 {
			p := f.Pix[f.PixOffset(x, y):]
			sum = sum.Plus(light.RGB{R: p[0], G: p[1], B: p[2]}.XYZ(), 1)
			n++
		}
	}
	sum = sum.Times(screenWhite / n)
	return flash.Colour{X: float32(sum.X), Y: float32(sum.Y), Z: float32(sum.Z)}
}

// means are the frames, each as the mean of itself and so many to either side.
func means(frames []*image.RGBA, reach int) []*image.RGBA {
	sums := make([]uint32, len(frames[0].Pix))
	add := func(i int, sign uint32) {
		for k, v := range frames[i].Pix {
			sums[k] += sign * uint32(v)
		}
	}
	out := make([]*image.RGBA, len(frames))
	from, to := 0, 0 // those that are in sums
	for i := range frames {
		for ; to < min(i+reach+1, len(frames)); to++ {
			add(to, 1)
		}
		for ; from < i-reach; from++ {
			add(from, ^uint32(0)) // one less
		}
		out[i] = image.NewRGBA(frames[i].Rect)
		n := uint32(to - from)
		for k, v := range sums {
			out[i].Pix[k] = uint8((v + n/2) / n)
		}
	}
	return out
}
