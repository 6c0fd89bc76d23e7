package page

import (
	"math"
	"slices"
	"testing"
	"time"
)

// ribbonsAt answers the ribbons at one instant, by name; uv glows are "uv glow".
func ribbonsAt(t *testing.T, b *Book, at time.Duration) map[string][4]byte {
	t.Helper()
	got, err := b.Light(at, at+time.Millisecond, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 4*len(b.contents.Ribbons) {
		t.Fatalf("%d bytes for %d ribbons at one instant", len(got), len(b.contents.Ribbons))
	}
	out := map[string][4]byte{}
	for i, r := range b.contents.Ribbons {
		name := r.Name
		if r.Dark {
			name += " glow"
		}
		out[name] = [4]byte(got[4*i:])
	}
	return out
}

// Ribbons are the systems that some look lights, with all that they can give;
// what is dark follows what is seen.
func TestRibbonsAreLitSystems(t *testing.T) {
	b := New(theYard(t), nil)
	want := []Ribbon{
		{Name: "front", Units: []int{0, 1}}, {Name: "gate", Units: []int{1}},
		{Name: "uv", Dark: true, Units: []int{3}},
	}
	got := b.contents.Ribbons
	if len(got) != len(want) {
		t.Fatalf("ribbons %+v", got)
	}
	for i, w := range want {
		if g := got[i]; g.Name != w.Name || g.Dark != w.Dark || !slices.Equal(g.Units, w.Units) {
			t.Errorf("ribbon %d is %+v, want %+v", i, g, w)
		}
	}
	// 2 W at 629 nm and 454 nm: 683 lm/W times V of CIE 018:2019, about .27 and
	// .04 (from memory): 370 lm and 60 lm for each lamp, of which front has two.
	front, gate := b.ribbons[0].full, b.ribbons[1].full
	if front < 700 || front > 1000 || math.Abs(front-2*gate) > 1e-6 {
		t.Errorf("front gives %v lm, gate %v", front, gate)
	}
	if bar := b.ribbons[2].full; math.Abs(bar-6) > 1e-6 {
		t.Errorf("the bar gives %v W, its label says 6", bar)
	}
}

// The level of a ribbon is the lightness L* (CIE 15:2018) of its share of the
// full light; its colour is as light as the screen can make it.
func TestLightOfRibbons(t *testing.T) {
	b := New(theYard(t), nil)
	m := b.ribbons[0]
	red := m.amount[0] / (m.amount[0] + m.amount[1]) // share of a lamp's light
	level := func(share float64) byte {
		// L* = 116 (Y/Yn)^(1/3) - 16 above 0.008856
		return byte(255*(116*cubeRoot(share)-16)/100 + .5)
	}
	for at, want := range map[time.Duration]map[string]byte{
		5 * time.Second:  {"front": 0, "gate": 0, "uv glow": 0},
		15 * time.Second: {"front": level(red / 2), "gate": level(red / 2), "uv glow": 0},
		25 * time.Second: {"front": level(red / 2), "gate": 0, "uv glow": 0},
	} {
		got := ribbonsAt(t, b, at)
		for name, w := range want {
			g := got[name]
			if g[3] != w {
				t.Errorf("at %v %s is %v wide, want %v", at, name, g[3], w)
			}
			if isRed := g[0] >= 250 && g[1] < 5 && g[2] < 80; w > 0 && !isRed || w == 0 && g != [4]byte{} {
				t.Errorf("at %v %s is %v", at, name, g)
			}
		}
	}
	// All of the ultraviolet at full, shown in the green of what it makes glow.
	if g := ribbonsAt(t, b, 35*time.Second)["uv glow"]; g[3] != 255 || g[1] < 250 || g[1] <= g[0] || g[1] <= g[2] {
		t.Errorf("ultraviolet at full is %v", g)
	}
}

func cubeRoot(x float64) float64 {
	y := 1.0
	for range 60 {
		y -= (y*y*y - x) / (3 * y * y)
	}
	return y
}

// What a drive of some cells gives is their share of the emitter's light.
func TestShareOfCells(t *testing.T) {
	s := theYard(t)
	from, to := s.Rig.UnitDrives(3)
	if to-from != 4 {
		t.Fatalf("%d drives for four cells", to-from)
	}
	for d := from; d < to; d++ {
		if got := cellShare(s.Rig, d); got != .25 {
			t.Errorf("drive %d has %v of the bar's light", d, got)
		}
	}
	if got := cellShare(s.Rig, 0); got != 1 {
		t.Errorf("a lamp's drive has %v of its light", got)
	}
}

// A piece has a step at its beginning and none at its end; what cannot be
// answered is refused.
func TestLightInPieces(t *testing.T) {
	b := New(theYard(t), nil)
	n := 4 * len(b.ribbons)
	whole, err := b.Light(0, 50*time.Second, 100*time.Millisecond)
	if err != nil || len(whole) != 500*n {
		t.Fatalf("%d bytes, %v", len(whole), err)
	}
	part, _ := b.Light(30*time.Second, 30*time.Second+950*time.Millisecond, 100*time.Millisecond)
	if len(part) != 10*n || !slices.Equal(part, whole[300*n:310*n]) {
		t.Errorf("a piece of 950 ms in steps of 100 ms has %d steps, or differs from the whole", len(part)/n)
	}
	if empty, err := b.Light(time.Second, time.Second, time.Second); err != nil || len(empty) != 0 {
		t.Errorf("nothing has %d bytes, %v", len(empty), err)
	}
	for _, c := range [][3]time.Duration{{-1, 1, time.Second}, {2, 1, time.Second}, {0, 1, time.Microsecond}, {0, 24001 * time.Millisecond, time.Millisecond}} {
		if _, err := b.Light(c[0], c[1], c[2]); err == nil {
			t.Errorf("from %v to %v by %v is answered", c[0], c[1], c[2])
		}
	}
	if _, err := b.Light(0, 24*time.Second, time.Millisecond); err != nil {
		t.Error(err)
	}
}

// Ribbons need no slots: 5 minutes of them, and the frames that go with them.
//
//	go test -run '^$' -bench Ribbons ./web/page
func BenchmarkRibbons(b *testing.B) {
	book := New(bigYard(b), nil)
	frame := book.show.NewFrame()
	var ribbons, frames time.Duration
	for b.Loop() {
		from := time.Now()
		if _, err := book.Light(0, 5*time.Minute, 50*time.Millisecond); err != nil {
			b.Fatal(err)
		}
		ribbons += time.Since(from)
		from = time.Now()
		for i := range 6000 {
			at := time.Duration(i) * 50 * time.Millisecond
			book.show.At(frame, at)
			for r := range book.ribbons {
				book.ribbons[r].at(frame)
			}
		}
		frames += time.Since(from)
	}
	b.ReportMetric(float64(frames)/float64(ribbons), "times-by-At")
}
