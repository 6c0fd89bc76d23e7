package flash

import (
	"fmt"
	"math"
	"testing"
	"time"
)

// wave is a luminance over time, in straight lines, for cases whose answer is
// known by hand.
type wave struct {
	at     []time.Duration
	values []float32
}

func (w wave) to(seconds, value float64) wave {
	last := time.Duration(0)
	if n := len(w.at); n > 0 {
		last = w.at[n-1]
	}
	w.at = append(w.at, last+time.Duration(math.Round(seconds*1e9)))
	w.values = append(w.values, float32(value))
	return w
}

func start(value float64) wave { return wave{}.to(0, value) }

// jump goes to value within a millisecond, as sampling shows it.
func (w wave) jump(value float64) wave { return w.to(.001, value) }

func (w wave) stay(seconds float64) wave { return w.to(seconds, float64(w.values[len(w.values)-1])) }

// square is n flashes at a rate; each is on for duty of its period.
func (w wave) square(n int, rate, duty, low, high float64) wave {
	period := 1 / rate
	for range n {
		w = w.jump(high).stay(duty*period - .001).jump(low).stay((1-duty)*period - .001)
	}
	return w
}

// triangle is n flashes at a rate, without plateaus.
func (w wave) triangle(n int, rate, low, high float64) wave {
	for range n {
		w = w.to(.5/rate, high).to(.5/rate, low)
	}
	return w
}

func (w wave) spot(r *Rule, area float64) Spot {
	return Spot{Area: area, Flashes: General(r, w.at, w.values)}
}

// quarter is the limit of area of the cases: a field of 1, of which more than
// a quarter must flash.
const quarter = .25

const (
	wcag  = "WCAG 2.2, definition of general flash and red flash thresholds"
	count = "WCAG 2.2 SC 2.3.1: no more than three flashes in any one second period"
	bt    = "ITU-R BT.1702-3: 20 cd/m2, darker below 160 cd/m2"
	btHi  = "ITU-R BT.1702-3: Michelson contrast above 1/17"
	btOK  = "ITU-R BT.1702-3: isolated single, double and triple flashes are acceptable"
	bt334 = "ITU-R BT.1702-3: leading edges 334 ms (60 Hz) or 360 ms (50 Hz) apart are acceptable"
	area  = "WCAG 2.2: 25 % of any 10 degree field"
	ours  = "the package's own reading, doc.go"
)

func TestGeneralFlashes(t *testing.T) {
	d := start(0)
	cases := []struct {
		name   string
		clause string
		rule   Rule
		wave   wave
		want   int
	}{
		{"dark for ever", wcag, BT, d.stay(10), 0},
		{"one rise is no flash", wcag, BT, d.stay(1).jump(100).stay(5), 0},
		{"one fall is no flash", wcag, BT, start(100).stay(1).jump(0).stay(5), 0},
		{"single flash", btOK, BT, d.square(1, 5, .5, 0, 100).stay(3), 1},
		{"double flash", btOK, BT, d.square(2, 5, .5, 0, 100).stay(3), 2},
		{"triple flash", btOK, BT, d.square(3, 5, .5, 0, 100).stay(3), 3},
		{"four flashes", count, BT, d.square(4, 5, .5, 0, 100).stay(3), 4},
		{"single dark flash", wcag, BT, start(100).stay(1).jump(0).stay(.1).jump(100).stay(2), 1},
		{"triple dark flash, then out", btOK, BT, start(100).stay(1).jump(0).stay(.1).jump(100).stay(.1).jump(0).stay(.1).jump(100).stay(.1).jump(0).stay(.1).jump(100).stay(.1).jump(0).stay(5), 3},
		{"four dark flashes", count, BT, start(100).stay(.5).jump(0).stay(.1).jump(100).stay(.1).jump(0).stay(.1).jump(100).stay(.1).jump(0).stay(.1).jump(100).stay(.1).jump(0).stay(.1).jump(100).stay(5), 4},
		{"1 Hz", count, BT, d.square(10, 1, .5, 0, 100), 1},
		{"2 Hz", count, BT, d.square(20, 2, .5, 0, 100), 2},
		{"2.9 Hz", count, BT, d.square(29, 2.9, .5, 0, 100), 3},
		{"3.0 Hz", count, BT, d.square(30, 3, .5, 0, 100), 3},
		{"3.0 Hz, short flashes", count, BT, d.square(30, 3, .05, 0, 100), 3},
		{"3.0 Hz, short gaps", count, BT, d.square(30, 3, .95, 0, 100), 3},
		{"3.1 Hz", count, BT, d.square(31, 3.1, .5, 0, 100), 4},
		{"3.1 Hz, short flashes", count, BT, d.square(31, 3.1, .05, 0, 100), 4},
		{"3.1 Hz, short gaps", count, BT, d.square(31, 3.1, .95, 0, 100), 4},
		{"edges 334 ms apart", bt334, BT, d.square(30, 1/.334, .5, 0, 100), 3},
		{"edges 360 ms apart", bt334, BT, d.square(30, 1/.360, .5, 0, 100), 3},
		{"edges 320 ms apart", bt334, BT, d.square(30, 1/.320, .5, 0, 100), 4},
		{"5 Hz", count, BT, d.square(50, 5, .5, 0, 100), 5},
		{"20 Hz", count, BT, d.square(100, 20, .5, 0, 100), 20},
		{"19.9 cd/m2", bt, BT, d.square(10, 5, .5, 0, 19.9), 0},
		{"20.1 cd/m2", bt, BT, d.square(10, 5, .5, 0, 20.1), 5},
		{"20 cd/m2 exactly", bt, BT, d.square(10, 5, .5, 0, 20), 5},
		{"19.9 cd/m2 on 100", bt, BT, start(100).square(10, 5, .5, 100, 119.9), 0},
		{"20.1 cd/m2 on 100", bt, BT, start(100).square(10, 5, .5, 100, 120.1), 5},
		{"20.1 cd/m2 on 159", bt, BT, start(159).square(10, 5, .5, 159, 179.1), 5},
		{"25 cd/m2 on 161, WCAG", wcag + ": darker below 0.80", WCAG, start(161).square(10, 5, .5, 161, 186), 0},
		{"200 cd/m2 on 161, WCAG", wcag + ": darker below 0.80", WCAG, start(161).square(10, 5, .5, 161, 361), 0},
		{"25 cd/m2 on 159, WCAG", wcag + ": darker below 0.80", WCAG, start(159).square(10, 5, .5, 159, 184), 5},
		{"ratio 1.12 on 200", btHi, BT, start(200).square(10, 5, .5, 200, 224), 0},
		{"ratio 1.13 on 200", btHi, BT, start(200).square(10, 5, .5, 200, 226), 5},
		{"ratio 1.12 on 1000", btHi, BT, start(1000).square(10, 5, .5, 1000, 1120), 0},
		{"ratio 1.13 on 1000", btHi, BT, start(1000).square(10, 5, .5, 1000, 1130), 5},
		{"dip of 1000 to 150", bt, BT, start(1000).square(10, 5, .5, 1000, 150), 5},
		{"triangles at 2.9 Hz", count, BT, d.triangle(29, 2.9, 0, 100), 3},
		{"triangles at 3.0 Hz", count, BT, d.triangle(30, 3, 0, 100), 3},
		{"triangles at 3.1 Hz", count, BT, d.triangle(31, 3.1, 0, 100), 4},
		{"triangles of 19 cd/m2 at 5 Hz", bt, BT, d.triangle(25, 5, 0, 19), 0},
		{"triangles at 0.6 Hz: halves within a second", ours, BT, d.triangle(6, .6, 0, 100), 1},
		{"ramp slower than a second", ours, BT, d.triangle(3, .4, 0, 100), 0},
		{"fast rise, slow fall", ours, BT, d.jump(100).to(3, 0).jump(100).to(3, 0), 0},
		{"slow swell with 15 cd/m2 ripple", bt, BT, d.to(.1, 30).to(.1, 15).to(.1, 45).to(.1, 30).to(.1, 60).to(.1, 45).to(.1, 75).stay(2), 0},
		{"slow swell with 25 cd/m2 ripple", bt, BT, d.to(.1, 50).to(.1, 25).to(.1, 75).to(.1, 50).to(.1, 100).to(.1, 75).to(.1, 125).to(.1, 100).to(.1, 150).stay(2), 4},
		{"steps up a stair", wcag, BT, d.jump(30).stay(.1).jump(60).stay(.1).jump(90).stay(.1).jump(120).stay(.1).jump(150).stay(3), 0},
		{"three before a pause of a second, three after", count, BT, d.square(3, 6, .5, 0, 100).stay(.5).square(3, 6, .5, 0, 100).stay(2), 3},
		{"three, and a fourth across the window's edge", count, BT, d.square(3, 6, .5, 0, 100).stay(.46).jump(100).stay(.3).jump(0).stay(2), 4},
		{"three, and a fourth just outside the window", count, BT, d.square(3, 6, .5, 0, 100).stay(.501).jump(100).stay(.3).jump(0).stay(2), 3},
		{"bursts of three, a second apart", btOK, BT, d.square(3, 10, .5, 0, 100).stay(.7).square(3, 10, .5, 0, 100).stay(.7).square(3, 10, .5, 0, 100).stay(2), 3},
		{"flashes of alternating height", bt, BT, d.jump(100).stay(.1).jump(10).stay(.1).jump(25).stay(.1).jump(10).stay(.1).jump(100).stay(.1).jump(0).stay(2), 2},
	}
	for _, c := range cases {
		r := c.rule
		got := Count([]Spot{c.wave.spot(&r, 1)}, nil, quarter).Count
		if got != c.want {
			t.Errorf("%s: %d flashes, want %d (%s)", c.name, got, c.want, c.clause)
		}
	}
	t.Logf("%d cases", len(cases))
}

// shifted is a 3 Hz train that begins late.
func shifted(rate, late float64) wave { return start(0).stay(late).square(12, rate, .3, 0, 100) }

func TestAreasAndUnions(t *testing.T) {
	cases := []struct {
		name   string
		clause string
		spots  []Spot
		trains []Train
		want   int
	}{
		{"24.9 % of the field", area, []Spot{shifted(5, 0).spot(&BT, .249)}, nil, 0},
		{"25.0 % of the field", area, []Spot{shifted(5, 0).spot(&BT, .25)}, nil, 0},
		{"25.1 % of the field", area, []Spot{shifted(5, 0).spot(&BT, .251)}, nil, 5},
		{"two of 12.6 % together", area, []Spot{shifted(5, 0).spot(&BT, .126), shifted(5, 0).spot(&BT, .126)}, nil, 5},
		{"two of 12.4 % together", area, []Spot{shifted(5, 0).spot(&BT, .124), shifted(5, 0).spot(&BT, .124)}, nil, 0},
		{"two of 12.6 % in turn", area, []Spot{shifted(3, 0).spot(&BT, .126), shifted(3, 1./6).spot(&BT, .126)}, nil, 0},
		{"two of 30 % in phase, 3 Hz", count, []Spot{shifted(3, 0).spot(&BT, .3), shifted(3, 0).spot(&BT, .3)}, nil, 3},
		{"two of 30 % out of phase, 3 Hz", count, []Spot{shifted(3, 0).spot(&BT, .3), shifted(3, 1./6).spot(&BT, .3)}, nil, 6},
		{"two of 30 % a quarter period apart, 3 Hz", count, []Spot{shifted(3, 0).spot(&BT, .3), shifted(3, 1./12).spot(&BT, .3)}, nil, 6},
		{"two of 30 % 15 ms apart", ours, []Spot{shifted(3, 0).spot(&BT, .3), shifted(3, .015).spot(&BT, .3)}, nil, 3},
		{"two of 30 % 25 ms apart", ours, []Spot{shifted(3, 0).spot(&BT, .3), shifted(3, .025).spot(&BT, .3)}, nil, 6},
		{"four in rotation, each 30 %, 1 Hz", count, []Spot{shifted(1, 0).spot(&BT, .3), shifted(1, .25).spot(&BT, .3), shifted(1, .5).spot(&BT, .3), shifted(1, .75).spot(&BT, .3)}, nil, 4},
		{"small one before two that count", ours, []Spot{shifted(5, 0).spot(&BT, .01), shifted(5, .015).spot(&BT, .2), shifted(5, .025).spot(&BT, .2)}, nil, 5},
		{"a lamp of its own at 3.0 Hz", count, nil, []Train{{0, 10 * time.Second, 3, 0}}, 3},
		{"a lamp of its own at 3.1 Hz", count, nil, []Train{{0, 10 * time.Second, 3.1, 0}}, 4},
		{"two lamps of their own at 3 Hz", count, nil, []Train{{0, 10 * time.Second, 3, 0}, {0, 10 * time.Second, 3, 1}}, 6},
		{"a lamp of its own for 0.4 s at 10 Hz", count, nil, []Train{{time.Second, 1400 * time.Millisecond, 10, 0}}, 4},
		{"lamps one after the other", count, nil, []Train{{0, 2 * time.Second, 3, 0}, {3 * time.Second, 5 * time.Second, 3, 1}}, 3},
		{"a lamp of its own and a flash in its second", count, []Spot{start(0).stay(1).square(1, 5, .5, 0, 100).spot(&BT, 1)}, []Train{{0, 10 * time.Second, 3, 0}}, 4},
		{"a lamp of its own and a flash after it", count, []Spot{start(0).stay(3).square(1, 5, .5, 0, 100).spot(&BT, 1)}, []Train{{0, time.Second, 3, 0}}, 3},
	}
	for _, c := range cases {
		if got := Count(c.spots, c.trains, quarter).Count; got != c.want {
			t.Errorf("%s: %d flashes, want %d (%s)", c.name, got, c.want, c.clause)
		}
	}
	t.Logf("%d cases", len(cases))
}

// fromUV is a colour by u', v' and luminance (CIE 015:2018).
func fromUV(u, v, y float64) Colour {
	return Colour{X: float32(y * 9 * u / (4 * v)), Y: float32(y), Z: float32(y * (12 - 3*u - 20*v) / (4 * v))}
}

// alternate goes between two colours n times at a rate.
func alternate(a, b Colour, n int, rate float64) (times []time.Duration, colours []Colour) {
	half := time.Duration(.5e9 / rate)
	at := time.Duration(0)
	for range n {
		times = append(times, at, at+half-time.Millisecond, at+half, at+2*half-time.Millisecond)
		colours = append(colours, a, a, b, b)
		at += 2 * half
	}
	return append(times, at, at+5*time.Second), append(colours, a, a)
}

func TestRedFlashes(t *testing.T) {
	// Saturated reds: BT.709 red is u' .4507 v' .5229; an LED of 625 nm lies
	// beyond it.
	const ru, rv = .4507, .5229
	toward := func(d, degrees float64) (u, v float64) {
		return ru + d*math.Cos(degrees*math.Pi/180), rv + d*math.Sin(degrees*math.Pi/180)
	}
	bare := Red
	bare.Veil = 0
	wide, narrow := .201, .199
	type pair struct{ a, b Colour }
	at := func(d, degrees float64) pair {
		u, v := toward(d, degrees)
		return pair{fromUV(ru, rv, 50), fromUV(u, v, 50)}
	}
	cases := []struct {
		name   string
		clause string
		rule   Rule
		p      pair
		n      int
		rate   float64
		want   int
	}{
		{"red and white, over 0.2", wcag, bare, at(wide, 192), 5, 5, 5},
		{"red and white, under 0.2", wcag, bare, at(narrow, 192), 5, 5, 0},
		{"red and magenta, over 0.2", wcag, bare, at(wide, 230), 5, 5, 5},
		{"red and magenta, under 0.2", wcag, bare, at(narrow, 230), 5, 5, 0},
		{"red and green, over 0.2", wcag, bare, at(wide, 165), 5, 5, 5},
		{"red and green, under 0.2", wcag, bare, at(narrow, 165), 5, 5, 0},
		{"red and black", wcag, Red, pair{fromUV(ru, rv, 40), Colour{}}, 5, 5, 5},
		{"red and black, 3 flashes", count, Red, pair{fromUV(ru, rv, 40), Colour{}}, 4, 3, 3},
		{"red and black, 3.1 Hz", count, Red, pair{fromUV(ru, rv, 40), Colour{}}, 12, 3.1, 4},
		{"red of 0.01 cd/m2 and black", ours + " (veil)", Red, pair{fromUV(ru, rv, .01), Colour{}}, 5, 5, 0},
		{"blue and green: no red in it", wcag, bare, pair{fromUV(.17, .16, 50), fromUV(.10, .57, 50)}, 5, 5, 0},
		{"red and blue of equal luminance", wcag, bare, pair{fromUV(ru, rv, 20), fromUV(.17, .16, 20)}, 5, 5, 5},
		{"pale red, R/(R+G+B) below 0.8", wcag, bare, pair{fromUV(.33, .50, 50), fromUV(.10, .57, 50)}, 5, 5, 0},
	}
	for _, c := range cases {
		times, colours := alternate(c.p.a, c.p.b, c.n, c.rate)
		got := Count([]Spot{{1, RedFlashes(&c.rule, times, colours)}}, nil, quarter).Count
		if got != c.want {
			t.Errorf("%s: %d flashes, want %d (%s)", c.name, got, c.want, c.clause)
		}
	}
	t.Logf("%d cases", len(cases))
}

// The quarter of a 10 degree field, WCAG 2.2: .006 sr.
func TestFieldSize(t *testing.T) {
	want := 2 * math.Pi * (1 - math.Cos(5*math.Pi/180))
	if math.Abs(FieldSize-want) > 2e-5 || fmt.Sprintf("%.3f", FieldSize/4) != "0.006" {
		t.Errorf("a field of %v sr, want %v", FieldSize, want)
	}
}

// Changes of a pair must be opposing: two that both leave red are none. From a
// deep red to a pale colour 0.20 away, to a red only 0.17 from that, and on to
// a colour 0.22 from this red.
func TestRedMustOppose(t *testing.T) {
	r := Red
	r.Veil = 0
	colours := []Colour{fromUV(.4507, .5229, 50), fromUV(.25, .50, 50), fromUV(.42, .52, 50), fromUV(.2, .5, 50)}
	if !r.Saturated(colours[0]) || r.Saturated(colours[1]) || !r.Saturated(colours[2]) || r.Saturated(colours[3]) {
		t.Fatal("the colours are not what the case needs")
	}
	times := []time.Duration{0, 100 * time.Millisecond, 200 * time.Millisecond, 300 * time.Millisecond}
	if f := RedFlashes(&r, times, colours); len(f) != 0 {
		t.Errorf("two changes away from red are a flash: %v", f)
	}
}
