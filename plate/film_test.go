package plate

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/png"
	"strings"
	"testing"
	"time"

	"lampblack/plate/drawing"
)

// A light that blinks is softened, at any rate, until a picture may show it; one that blinks three times a
// second may stay as it is (WCAG 2.2, 2.3.1: not more than three).
func TestFilmDoesNotFlash(t *testing.T) {
	const each = 40 * time.Millisecond
	blink := func(every int, level uint8) []*image.RGBA {
		var out []*image.RGBA
		for i := range 100 {
			f := image.NewRGBA(image.Rect(0, 0, 120, 80))
			for k := range f.Pix {
				if i/every%2 == 1 {
					f.Pix[k] = level
				}
				if k%4 == 3 {
					f.Pix[k] = 255
				}
			}
			out = append(out, f)
		}
		return out
	}
	for every, level := range map[int]uint8{1: 255, 2: 255, 3: 220} { // 12.5, 6.3, 4.2 Hz
		frames := blink(every, level)
		if !flashes(frames, each) {
			t.Fatalf("blinking every %v does not count as flashing", each*time.Duration(2*every))
		}
		out, gentler := soften(frames, each)
		if !gentler || flashes(out, each) {
			t.Errorf("blinking every %v is left: said %v", each*time.Duration(2*every), gentler)
		}
	}
	for _, still := range [][]*image.RGBA{blink(1, 30), blink(5, 255)} { // too small a step; 2.5 Hz
		if _, gentler := soften(still, each); gentler {
			t.Error("what may stay is softened")
		}
	}
}

// A film is a PNG for those that know no moving ones, and holds every frame for those that do.
func TestFilm(t *testing.T) {
	s := aRoom()
	f := &Film{Strip: Strip{View: *s.view(false)}, Each: 80 * time.Millisecond}
	f.Rig = s.rig
	for i := range 5 {
		levels := append([]float32(nil), plateLevels...)
		levels[1] *= float32(i) / 5
		f.Frames = append(f.Frames, Frame{Instant{Levels: levels}, "so"})
	}
	data, err := f.Write(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	first, err := png.Decode(bytes.NewReader(data))
	if err != nil || first.Bounds().Dx() != filmWidth {
		t.Fatalf("the first picture: %v", err)
	}
	counts, numbers := map[string]int{}, uint32(0)
	for rest := data[8:]; len(rest) >= 12; {
		size, kind := binary.BigEndian.Uint32(rest), string(rest[4:8])
		body := rest[8 : 8+size]
		counts[kind]++
		switch kind {
		case "acTL":
			if n := binary.BigEndian.Uint32(body); n != 5 {
				t.Errorf("it says %d frames", n)
			}
		case "fcTL", "fdAT":
			if n := binary.BigEndian.Uint32(body); n != numbers {
				t.Errorf("chunk %d has number %d", numbers, n)
			}
			numbers++
		}
		rest = rest[12+size:]
	}
	if counts["fcTL"] != 5 || counts["fdAT"] < 4 || counts["acTL"] != 1 || counts["IEND"] != 1 {
		t.Errorf("chunks %v", counts)
	}
	for _, bad := range []*Film{{}, {Each: time.Second}, {Strip: Strip{View: *s.view(false), Frames: make([]Frame, MostFilm+1)}, Each: time.Second}} {
		if _, err := bad.Write(t.Context()); err == nil || !strings.Contains(err.Error(), "frames") {
			t.Errorf("a film of %d frames: %v", len(bad.Frames), err)
		}
	}
	if _, err := drawing.Animated(nil, time.Second); err == nil {
		t.Error("a film of nothing is written")
	}
}
