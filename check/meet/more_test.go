package meet

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"lampblack/check/flash"
)

// train is a zone that flashes n times for 10 ms, at a rate in Hz, and then is dark until
// its line ends.
func train(n int, rate float64, y float64, length int) drawn {
	var d drawn
	d.add(0, 0)
	for i := range n {
		t := 10 + int(1000/rate)*i
		d.add(t, 0)
		d.add(t+1, y)
		d.add(t+11, y)
		d.add(t+12, 0)
	}
	d.add(length, 0)
	return d
}

func eyeOf(zones ...drawn) *Eye {
	e := &Eye{Spots: []Spot{{Area: 1}}}
	for i := range zones {
		e.Lines = append(e.Lines, zones[i].line())
		e.Spots[0].Light = append(e.Spots[0].Light, zones[i].light())
	}
	return e
}

// Two zones of three flashes each, which pass alone, make six in a second when their
// clocks stand so: common arithmetic, and WCAG 2.2 SC 2.3.1 allows three.
func TestTwoThatPassAlone(t *testing.T) {
	a, b := train(3, 4, 60, 20000), train(3, 4, 60, 17000)
	for i, c := range []struct {
		zones []drawn
		want  int
	}{{[]drawn{a}, 3}, {[]drawn{b}, 3}, {[]drawn{a, b}, 6}, {[]drawn{a, b, b}, 9}} {
		got := Most(eyeOf(c.zones...), Options{Area: .25})
		if got.Count < c.want || len(c.zones) < 3 && got.Count > c.want+c.want/4 {
			t.Errorf("case %d: %+v, want %d", i, got, c.want)
		}
		if len(c.zones) < 3 && got.Met != c.want {
			t.Errorf("case %d: %d flashes were met, want %d", i, got.Met, c.want)
		}
	}
	// They meet seldom: a second of one and a second of the other in 20 s and 17 s.
	l := Likely(eyeOf(a, b), Options{Area: .25, Seed: 1, For: 10 * time.Second, Draw: 2000})
	if l.Share < .02 || l.Share > .2 || l.Median > 3 || l.Counts[len(l.Counts)-1] > 6 {
		t.Errorf("share %v, median %d, 95 %% %d, most %d", l.Share, l.Median, l.High, l.Counts[len(l.Counts)-1])
	}
	if again := Likely(eyeOf(a, b), Options{Area: .25, Seed: 1, For: 10 * time.Second, Draw: 2000}); !reflect.DeepEqual(l, again) {
		t.Error("the same seed has other figures")
	}
	// While both lines go round, their clocks pass all alignments: in 20 s · 17 s they
	// meet for certain.
	if l := Likely(eyeOf(a, b), Options{Area: .25, For: 340 * time.Second, Draw: 3}); l.Share != 1 {
		t.Errorf("after all alignments a share of %v", l.Share)
	}
}

// A chance by hand: zone 1 flashes once in each second, zone 2 three times at 4 Hz in
// each ten. The one flash makes four of the three unless it is one with one of them,
// within 20 ms before or after: in 120 ms of each second.
func TestChanceByHand(t *testing.T) {
	a, b := train(1, 5, 60, 999), train(3, 4, 60, 9999)
	l := Likely(eyeOf(a, b), Options{Area: .25, Seed: 3, For: 11 * time.Second, Draw: 1000})
	if math.Abs(l.Share-.88) > .03 || l.Median != 4 || l.High != 4 {
		t.Errorf("a share of %v, median %d, 95 %% %d", l.Share, l.Median, l.High)
	}
	// One that stands still adds none, and light enough drowns the others: WCAG counts
	// nothing while the darker state has 160 cd/m² or more.
	lit := drawn{at: []int{0, 1000}, y: []float64{170, 170}}
	if l := Likely(eyeOf(lit, b), Options{Rule: &flash.WCAG, Area: .25, Draw: 20}); l.Counts[19] != 0 || Most(eyeOf(lit, b), Options{Rule: &flash.WCAG, Area: .25}).Count > 1 {
		t.Errorf("drowned flashes count: %v", l.Counts)
	}
	if got := Most(eyeOf(lit, b), Options{Area: .25}); got.Count != 3 {
		t.Errorf("by BT.1702 there are %d, want 3", got.Count)
	}
}

// What is smaller than the area makes no flash; two such do, together.
func TestSpotsJoin(t *testing.T) {
	a := train(3, 4, 60, 5000)
	light := [][]flash.Colour{a.light()}
	for i, c := range []struct {
		areas []float64
		want  int
	}{{[]float64{.2}, 0}, {[]float64{.3}, 3}, {[]float64{.2, .2}, 3}, {[]float64{.1, .1}, 0}, {[]float64{.9, .05}, 3}, {[]float64{1, .1, .1, .1, .1, .1}, 9}, {nil, 0}} {
		e := &Eye{Lines: []Line{a.line()}}
		for _, area := range c.areas {
			e.Spots = append(e.Spots, Spot{area, light})
		}
		if got := Most(e, Options{Area: .25}).Count; got != c.want {
			t.Errorf("case %d: %d, want %d", i, got, c.want)
		}
		if got := Likely(e, Options{Area: .25, Draw: 5}).Median; got != min(c.want, 3) {
			t.Errorf("case %d: likely %d, want %d", i, got, c.want)
		}
	}
}

// coloured makes a zone go between two colours.
func coloured(r *rand.Rand, length int) (Line, []flash.Colour) {
	// Tristimulus values of the primaries of ITU-R BT.709, and a warm white.
	some := []flash.Colour{{X: .4124, Y: .2126, Z: .0193}, {X: .3576, Y: .7152, Z: .1192}, {X: .1805, Y: .0722, Z: .9505}, {X: 1.1, Y: 1, Z: .4}}
	l := Line{Repeats: true}
	var out []flash.Colour
	at, c := 0, flash.Colour{}
	for at < length {
		l.Times, out = append(l.Times, time.Duration(at)*time.Millisecond), append(out, c)
		if r.IntN(2) == 0 {
			base, y := some[r.IntN(len(some))], 80*r.Float32()
			c = flash.Colour{X: base.X * y, Y: base.Y * y, Z: base.Z * y}
			at++
		} else {
			at += 50 + r.IntN(500)
		}
	}
	return l, out
}

// Red flashes of random alignments never exceed their bound.
func TestRedBoundHolds(t *testing.T) {
	n, met := 12, 0
	for i := range n {
		r := rand.New(rand.NewPCG(31, uint64(i)))
		e := &Eye{Spots: []Spot{{Area: 1}}}
		for range 2 {
			l, light := coloured(r, 4000+r.IntN(3000))
			e.Lines, e.Spots[0].Light = append(e.Lines, l), append(e.Spots[0].Light, light)
		}
		bound := Most(e, Options{Rule: &flash.Red, Area: .25}).Count
		l := Likely(e, Options{Rule: &flash.Red, Area: .25, Seed: uint64(i), Draw: 60})
		if most := l.Counts[len(l.Counts)-1]; most > bound {
			t.Errorf("pair %d: %d red flashes, and the bound is %d", i, most, bound)
		} else {
			met = max(met, most)
		}
	}
	// Six flashes of a red at 6 Hz, alone.
	red := eyeOf(train(6, 6, 90, 5000))
	for i, y := range red.Spots[0].Light[0] {
		red.Spots[0].Light[0][i] = flash.Colour{X: y.Y * .4124 / .2126, Y: y.Y, Z: y.Y * .0193 / .2126}
	}
	if got := Most(red, Options{Rule: &flash.Red, Area: .25}).Count; got < 6 || got > 8 {
		t.Errorf("six flashes of red are bounded by %d", got)
	}
	white := train(5, 5, 90, 3000)
	if got := Most(eyeOf(white, white), Options{Rule: &flash.Red, Area: .25}).Count; got != 0 {
		t.Errorf("white light has %d red flashes", got)
	}
	if met < 3 {
		t.Errorf("no more than %d red flashes were met", met)
	}
}

// Three zones: no random alignment exceeds the bound.
func TestThreeZones(t *testing.T) {
	for i := range 12 {
		r := rand.New(rand.NewPCG(17, uint64(i)))
		e := eyeOf(draw(r, kindsDrawn[1+i%4], 4000), draw(r, kindsDrawn[2+i%3], 5000), draw(r, kindsDrawn[1+(i/3)%4], 6000))
		bound := Most(e, Options{Area: .25}).Count
		l := Likely(e, Options{Area: .25, Draw: 100, For: 8 * time.Second})
		if most := l.Counts[len(l.Counts)-1]; most > bound {
			t.Errorf("three %d: %d flashes, and the bound is %d", i, most, bound)
		}
	}
}

// Lines that do not repeat, that have no corners, or one, or two at one instant, or end
// before a second: nothing panics, and what flashes is counted.
func TestOddLines(t *testing.T) {
	at := func(ms ...int) (out []time.Duration) {
		for _, m := range ms {
			out = append(out, time.Duration(m)*time.Millisecond)
		}
		return out
	}
	y := func(v ...float32) (out []flash.Colour) {
		for _, x := range v {
			out = append(out, flash.Colour{Y: x})
		}
		return out
	}
	for i, c := range []struct {
		l     Line
		light []flash.Colour
		want  int
	}{
		{Line{}, nil, 0},
		{Line{Times: at(0)}, y(50), 0},
		{Line{Times: at(0), Repeats: true}, y(50), 0},
		{Line{Times: at(0, 100, 100, 200, 200, 300)}, y(0, 0, 50, 50, 0, 0), 1},
		{Line{Times: at(0, 100, 100, 200, 200, 300), Repeats: true}, y(0, 0, 50, 50, 0, 0), 4}, // goes round in 301 ms
		{Line{Times: at(0, 1)}, y(0, 50), 0},
		{Line{Times: at(0, 1), Repeats: true}, y(0, 50), 50},
	} {
		e := &Eye{Lines: []Line{c.l, {}}, Spots: []Spot{{1, [][]flash.Colour{c.light, nil}}}}
		if got := Most(e, Options{Area: .25}); got.Count != c.want {
			t.Errorf("case %d: %+v, want %d", i, got, c.want)
		}
		Likely(e, Options{Area: .25, Draw: 3})
	}
}

// Two lines of ten minutes that never rest.
func BenchmarkMost(b *testing.B) {
	for _, kinds := range [][2]string{{"candle", "candle"}, {"strobe", "candle"}, {"strobe", "bursts"}, {"fades", "bursts"}} {
		b.Run(kinds[0]+" and "+kinds[1], func(b *testing.B) {
			r := rand.New(rand.NewPCG(1, 1))
			e := eyeOf(draw(r, kinds[0], 600000), draw(r, kinds[1], 590000))
			for b.Loop() {
				got := Most(e, Options{Area: .25})
				b.ReportMetric(float64(got.Count), "bound")
				b.ReportMetric(float64(got.Met), "met")
			}
		})
	}
}

func BenchmarkLikely(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	e := eyeOf(draw(r, "candle", 600000), draw(r, "strobe", 590000))
	for b.Loop() {
		got := Likely(e, Options{Area: .25})
		b.ReportMetric(float64(got.Median), "median")
		b.ReportMetric(float64(got.High), "95of100")
	}
}
