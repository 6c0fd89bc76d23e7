package plate

import (
	"bytes"
	"image"
	"testing"
)

// pairs are so many looks, the second of each at a share of the light of the first.
func pairs(many int, share float32) *Pairs {
	s := aRoom()
	p := &Pairs{Title: "looks", Names: [2]string{"at home", "elsewhere"}}
	p.Left.View, p.Right.View = *s.view(false), *s.view(false)
	dimmed := append([]float32(nil), plateLevels...)
	for d := range dimmed {
		dimmed[d] *= share
	}
	for range many {
		p.Left.Frames = append(p.Left.Frames, Frame{Instant{Levels: plateLevels}, "look"})
		p.Right.Frames = append(p.Right.Frames, Frame{Instant{Levels: dimmed}, "darker"})
	}
	return p
}

// The two pictures of a pair have one white: the same light makes the same picture, and less light a
// darker one.
func TestPairs(t *testing.T) {
	sum := func(img image.Image, x0, y0, x1, y1 int) (n int) {
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				r, g, b, _ := img.At(x, y).RGBA()
				n += int(r>>8 + g>>8 + b>>8)
			}
		}
		return n
	}
	for _, share := range []float32{1, .3} {
		d, err := pairs(1, share).Draw(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		img, err := d.Pixels()
		if err != nil {
			t.Fatal(err)
		}
		x, y := int(viewLeft)+2, pairTop+2
		left, right := sum(img, x, y, x+stripWidth-4, y+170), sum(img, x+stripWidth+pairGap, y, x+2*stripWidth+pairGap-4, y+170)
		if same := left == right; left == 0 || same != (share == 1) || right > left {
			t.Errorf("at %g of the light the pictures come to %d and %d", share, left, right)
		}
	}
}

// On paper there are some rows a page; no picture is lost.
func TestPairsPages(t *testing.T) {
	p := pairs(2*pairRows+1, .5)
	pages, err := p.Pages(t.Context())
	if err != nil || len(pages) != 2 {
		t.Fatalf("%d pages: %v", len(pages), err)
	}
	count := 0
	for _, d := range pages {
		svg, err := d.SVG()
		if err != nil {
			t.Fatal(err)
		}
		count += bytes.Count(svg, []byte("<image"))
	}
	if want := 2 * (2*pairRows + 1); count != want {
		t.Errorf("%d pictures, want %d", count, want)
	}
	uneven := pairs(2, 1)
	uneven.Right.Frames = uneven.Right.Frames[:1]
	for _, bad := range []*Pairs{{}, uneven, pairs(MostFrames+1, 1)} {
		if _, err := bad.Draw(t.Context()); err == nil {
			t.Errorf("%d and %d pictures are drawn", len(bad.Left.Frames), len(bad.Right.Frames))
		}
	}
}
