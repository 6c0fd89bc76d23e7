package page

import (
	"encoding/binary"
	"math"
	"slices"
	"testing"
	"time"
)

// place reads the eight numbers of one place: red, green, blue by reflection,
// the same by glow, lux, W/m2 of UV-A.
func place(light []byte, i int) []float64 {
	var out []float64
	for k := range 8 {
		out = append(out, float64(math.Float32frombits(binary.LittleEndian.Uint32(light[32*i+4*k:]))))
	}
	return out
}

func panelOf(t *testing.T, b *Book, name string) Panel {
	t.Helper()
	i := slices.IndexFunc(b.shape.Panels, func(p Panel) bool { return p.Name == name && !p.Back })
	if i < 0 {
		t.Fatalf("there is no panel %s", name)
	}
	return b.shape.Panels[i]
}

// The room as its file has it: its size, and panels whose corner, sides and
// grid cover what they are cut from.
func TestRoomShape(t *testing.T) {
	r := benchBook(t).shape
	if r.Size != [3]float64{8, 10, 4} || r.Front != 6 {
		t.Errorf("size %v, front %v", r.Size, r.Front)
	}
	b := benchBook(t)
	drop := panelOf(t, b, "backdrop")
	if drop.Kind != "surface" || drop.Width != 4 || drop.Height != 3 || drop.Normal != [3]float64{0, -1, 0} {
		t.Errorf("the backdrop is %+v", drop)
	}
	// Its corner and the opposite one lie 4 m and 3 m apart, about 0, 3, 1.5.
	for k := range 3 {
		far := drop.Corner[k] + drop.Width*drop.U[k] + drop.Height*drop.V[k]
		near(t, "the middle", (drop.Corner[k]+far)/2, [3]float64{0, 3, 1.5}[k], .001)
	}
	leaf := panelOf(t, b, "leaf")
	if leaf.Kind != "object" || leaf.Width != .6 || leaf.Height != .4 {
		t.Errorf("the leaf is %+v", leaf)
	}
	// Places are numbered through, panel by panel, then points.
	next := 0
	for _, p := range r.Panels {
		if p.First != next {
			t.Errorf("%s begins with place %d, want %d", p.Name, p.First, next)
		}
		next += p.Cols * p.Rows
	}
	// One seat looks along y; the other 1 m to the side, 2 m ahead and 2 m down in 3
	// m, so a third of that in the first metre.
	want := []Point{
		{"seat", "seat", [3]float64{0, -4, 1.2}, [3]float64{0, -3, 1.2}, next},
		{"side seat", "seat", [3]float64{2, -3, 2.2}, [3]float64{2 - 1./3, -3 + 2./3, 2.2 - 2./3}, next + 1},
	}
	if len(r.Points) != len(want) {
		t.Fatalf("points %v", r.Points)
	}
	for i, w := range want {
		p := r.Points[i]
		for k := range 3 {
			near(t, w.Name+" looks at", p.Looks[k], w.Looks[k], 2e-5)
		}
		if p.Looks = w.Looks; p != w {
			t.Errorf("got %+v, want %+v", p, w)
		}
	}
	if n := len(b.RoomUnder(0)); n != 32*(next+2) {
		t.Errorf("%d bytes for %d places", n, next+2)
	}
}

// The spot looks straight at the middle of the backdrop from 4 m. Its flat beam
// of 60° spreads 300 lm over 2π(1-cos 30°) = 0.8418 sr, 356.4 cd, which give 356.4
// / 4² = 22.3 lx there. The wall sends back half of it, evenly (Lambert): 0.5 ·
// 22.3 / π = 3.545 cd/m², in equal energy white 1.2048, 0.9483, 0.9088 of that.
//
// Equal energy from 380 nm to 780 nm has 683 · 106.86 / 401 = 182 lm/W (CIE 015),
// so 22.3 lx are 0.1224 W/m2, of which 21 of 401 nm are UV-A, up to 400 nm.
func TestRoomLight(t *testing.T) {
	b := benchBook(t)
	drop := panelOf(t, b, "backdrop")
	light := b.RoomUnder(4)
	brightest := 0
	for i := range drop.Cols * drop.Rows {
		if place(light, drop.First+i)[6] > place(light, drop.First+brightest)[6] {
			brightest = i
		}
	}
	got := place(light, drop.First+brightest)
	for k, want := range []float64{3.545 * 1.2048, 3.545 * .9483, 3.545 * .9088, 0, 0, 0, 22.28, .1224 * 21 / 401} {
		near(t, []string{"red", "green", "blue", "glowing red", "glowing green", "glowing blue", "lx", "UV-A"}[k], got[k], want, .02*want+1e-4)
	}
	// The seat turns its back to no lamp and sees none: no light reaches it but
	// what the backdrop sends.
	if seat := place(light, b.shape.Points[0].Place); seat[6] <= 0 || seat[6] > 1 {
		t.Errorf("the seat has %v lx", seat[6])
	}
}

// A look that asks for 3 lx on the backdrop has them there, on the mean.
func TestRoomHasTheLuxAskedFor(t *testing.T) {
	b := benchBook(t)
	drop, light := panelOf(t, b, "backdrop"), b.RoomUnder(5)
	sum := 0.0
	for i := range drop.Cols * drop.Rows {
		sum += place(light, drop.First+i)[6]
	}
	near(t, "lx on the backdrop", sum/float64(drop.Cols*drop.Rows), 3, .05)
}

// Under ultraviolet the leaf glows green and the wall does not, and the stone
// gives no glow at all. UV-A is there; light to see by is nearly none.
func TestRoomGlow(t *testing.T) {
	b := benchBook(t)
	light := b.RoomUnder(3)
	for _, c := range []struct {
		name  string
		glows bool
	}{{"leaf", true}, {"berry", true}, {"stone", false}, {"backdrop", false}} {
		p := panelOf(t, b, c.name)
		got := place(light, p.First+p.Cols*p.Rows/2)
		y := .2126729*got[3] + .7151522*got[4] + .0721750*got[5] // cd/m2, IEC 61966-2-1
		if c.glows != (y > .01) || !c.glows && y != 0 {
			t.Errorf("%s glows with %v cd/m2", c.name, y)
		}
		if got[7] < .01 {
			t.Errorf("%s has %v W/m2 of UV-A", c.name, got[7])
		}
	}
}

// The room at a time is the room under the look that stands then; a look that is
// not there has none.
func TestRoomAt(t *testing.T) {
	b := benchBook(t)
	for at, look := range map[time.Duration]int{5 * time.Second: 0, 16 * time.Second: 1, 32 * time.Second: 6, 40 * time.Second: 2} {
		if !slices.Equal(b.Room(at), b.RoomUnder(look)) {
			t.Errorf("at %v the room is not that of look %d", at, look)
		}
	}
	if b.RoomUnder(-1) != nil || b.RoomUnder(7) != nil {
		t.Error("a look that is not there lights the room")
	}
	if b.RoomUnder(6) == nil {
		t.Error("the last look has no room")
	}
}
