package light

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func drawCurve(t *rapid.T) Curve {
	c := Curve{Law: rapid.SampledFrom([]Law{"", Linear, Square, SCurve, Measured}).Draw(t, "law")}
	c.Max = rapid.SampledFrom([]uint16{0, 255, 65535}).Draw(t, "max")
	_, last := c.ends()
	c.Dark = rapid.Uint16Range(0, last/3).Draw(t, "dark")
	if rapid.Bool().Draw(t, "early full") {
		c.Full = rapid.Uint16Range(last/2, last).Draw(t, "full")
	}
	if c.Law == Measured {
		c.Knots = []Knot{{0, rapid.Float64Range(0, .1).Draw(t, "start")}}
		for i := 1; i < 5; i++ {
			light := rapid.Float64Range(c.Knots[i-1].Light, 1).Draw(t, "light")
			c.Knots = append(c.Knots, Knot{float64(i) / 4, light})
		}
	}
	return c
}

// The slot that comes back is the one whose light is nearest of all 256 (or,
// at 16 bits, nearer than its neighbours): inverted in light.
func TestCurveIsInvertedInLight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		if err := c.Check(); err != nil {
			t.Fatal(err)
		}
		level := rapid.Float64Range(0, 1).Draw(t, "level")
		slot := c.Slot(level)
		miss := math.Abs(c.Level(slot) - level)
		_, last := c.ends()
		step := max(1, int(last)/255)
		for other := 0; other <= int(last); other += step {
			if d := math.Abs(c.Level(uint16(other)) - level); d < miss-1e-12 {
				t.Fatalf("%+v: level %v gives slot %d (%v), but %d gives %v", c, level, slot, c.Level(slot), other, c.Level(uint16(other)))
			}
		}
		below, above, share := c.Between(level)
		if below > above || share < 0 || share > 1 || c.Level(below) > level+1e-12 && level > 0 || c.Level(above) < level-1e-12 && level < c.Level(last) {
			t.Fatalf("%+v: level %v lies between %d and %d, %v", c, level, below, above, share)
		}
	})
}

// A dimmer measured at half and at a fifth of its travel, by hand: 51 is a fifth
// of 255, 153 is three fifths, and between the rows light goes straight.
func TestMeasuredCurve(t *testing.T) {
	c := Curve{Law: Measured, Knots: []Knot{{0, 0}, {.5, .1}, {.8, .4}, {1, 1}}}
	if err := c.Check(); err != nil {
		t.Fatal(err)
	}
	for slot, want := range map[uint16]float64{0: 0, 51: .04, 102: .08, 153: .2, 204: .4, 229: .4 + .6*25/51, 255: 1} {
		near(t, "level", c.Level(slot), want, 1e-12)
		if got := c.Slot(want); got != slot {
			t.Errorf("a level of %v is slot %d, want %d", want, got, slot)
		}
	}
	// Dark to 55 and full from 155: a hundred slots of travel; twice the bits,
	// 257 times the slots.
	c = Curve{Law: Measured, Dark: 55, Full: 155, Knots: c.Knots}
	for slot, want := range map[uint16]float64{55: 0, 75: .04, 115: .2, 155: 1, 200: 1} {
		near(t, "level", c.Level(slot), want, 1e-12)
		wide := c.Wide()
		near(t, "level of two slots", wide.Level(257*slot), want, 1e-12)
	}
	// The laws at a fifth of the travel: u², and 3u² - 2u³.
	for law, want := range map[Law]float64{"": .2, Linear: .2, Square: .04, SCurve: .104} {
		c := Curve{Law: law}
		near(t, string(law), c.Level(51), want, 1e-12)
	}
}

func TestCurveRisesAndRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		_, last := c.ends()
		slot := rapid.Uint16Range(0, last-1).Draw(t, "slot")
		if c.Level(slot) > c.Level(slot+1) {
			t.Fatalf("%+v falls after %d", c, slot)
		}
		if back := c.Slot(c.Level(slot)); c.Level(back) != c.Level(slot) && math.Abs(c.Level(back)-c.Level(slot)) > 1e-9 {
			t.Fatalf("%+v: slot %d comes back as %d", c, slot, back)
		}
	})
}

func TestDarkBand(t *testing.T) {
	c := Curve{Dark: 12}
	for slot, want := range map[uint16]float64{0: 0, 12: 0, 13: 1. / 243, 255: 1} {
		near(t, "level", c.Level(slot), want, 1e-12)
	}
	if got := c.Slot(.5); got != 133 && got != 134 {
		t.Errorf("half light at slot %d, want 12 + 243/2", got)
	}
	if c.Slot(0) != 0 || c.Slot(-1) != 0 || c.Slot(math.NaN()) != 0 || c.Slot(2) != 255 {
		t.Error("levels outside 0 to 1 are not clamped")
	}
	w := c.Wide()
	if w.Dark != 12*257 || w.Max != 65535 {
		t.Errorf("wide: %+v", w)
	}
	near(t, "wide", w.Level(133*257), c.Level(133), 1e-12)
}

func TestBadCurves(t *testing.T) {
	for name, c := range map[string]Curve{
		"dark all":     {Dark: 255},
		"full < dark":  {Dark: 50, Full: 40},
		"full > max":   {Full: 300, Max: 255},
		"law":          {Law: "cubic"},
		"no knots":     {Law: Measured},
		"falling":      {Law: Measured, Knots: []Knot{{0, 0}, {.5, .6}, {1, .5}}},
		"NaN":          {Law: Measured, Knots: []Knot{{0, 0}, {1, math.NaN()}}},
		"travel order": {Law: Measured, Knots: []Knot{{0, 0}, {.6, .1}, {.5, .5}, {1, 1}}},
	} {
		if c.Check() == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// The mean light of n units under Stagger is within 1.6/n of a slot's step of
// the level (van der Corput's sequence is even to about that), and they make
// about n times as many steps.
func TestStaggerMakesFinerSteps(t *testing.T) {
	c := Curve{}
	for _, units := range []int{1, 2, 4, 7, 12} {
		worst := 0.0
		steps, before := 0, -1.0
		for i := range 20001 {
			level := float64(i) / 20000
			mean := c.group(level, units)
			worst = max(worst, math.Abs(mean-level))
			if mean != before {
				steps, before = steps+1, mean
			}
			if mean < before {
				t.Fatal("the group gets darker as the level rises")
			}
		}
		if worst > 1.6/255/float64(units) && units > 1 || worst > .501/255 && units == 1 {
			t.Errorf("%d units: off by %.2f of a slot's step", units, worst*255)
		}
		if steps < 250*units {
			t.Errorf("%d units: %d steps", units, steps)
		}
	}
}

// While a level rises, each unit's slots rise too, one change a step: nothing
// flickers. While it stands, nothing moves, whatever the moment.
func TestStaggerNeverFlickers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		unit, emitter := rapid.IntRange(0, 30).Draw(t, "unit"), rapid.IntRange(0, 7).Draw(t, "emitter")
		a, b := rapid.Float64Range(0, 1).Draw(t, "a"), rapid.Float64Range(0, 1).Draw(t, "b")
		low, high := c.Stagger(min(a, b), unit, emitter), c.Stagger(max(a, b), unit, emitter)
		if c.Level(low) > c.Level(high) {
			t.Fatalf("%+v: falls from slot %d to %d while the level rises", c, low, high)
		}
	})
}

// Step sizes of DMX512-A's 8-bit slots, computed from CIELAB: the first linear
// step is 0.392 % of full and 3.54 in L*; square law keeps all steps under
// 0.66; a linear fade over the lowest tenth has 25 steps, 2.5 a second in 10 s.
func TestStepVisibility(t *testing.T) {
	linear, square := Curve{}, Curve{Law: Square}
	s := steps(t, &linear, 0, 1, time.Minute, 1)
	near(t, "first linear step", s.Lightest, 3.54, .01)
	near(t, "at", s.At, 0, 0)
	if s.Count != 255 {
		t.Errorf("%d steps, want 255", s.Count)
	}
	near(t, "square law", steps(t, &square, 0, 1, time.Minute, 1).Lightest, .66, .01)
	low := steps(t, &linear, 0, .1, 10*time.Second, 1)
	if low.Count != 25 && low.Count != 26 {
		t.Errorf("%d steps in the lowest tenth, want 25", low.Count)
	}
	eight := steps(t, &linear, 0, .1, 10*time.Second, 8)
	if eight.Lightest > low.Lightest/7 || eight.Visible == 0 {
		t.Errorf("one unit %v; eight %v", low, eight)
	}
	wide := Curve{Max: 65535}
	if s := steps(t, &wide, .01, 1, 10*time.Second, 1); s.Visible > 0 {
		t.Errorf("16 bits: %v", s)
	}
	if _, err := linear.StepVisibility(0, math.NaN(), time.Second, 1, 40); err == nil {
		t.Error("NaN is taken for a level")
	}
}

func steps(t *testing.T, c *Curve, from, to float64, over time.Duration, units int) Steps {
	t.Helper()
	s, err := c.StepVisibility(from, to, over, units, 40)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func BenchmarkCurveInversion(b *testing.B) {
	for _, law := range []Law{Linear, Square, SCurve, Measured} {
		c := Curve{Law: law, Dark: 12, Knots: []Knot{{0, 0}, {.3, .05}, {.7, .4}, {1, 1}}}
		b.Run(string(law), func(b *testing.B) {
			b.ReportAllocs()
			level := 0.0
			for b.Loop() {
				level += .001
				if level > 1 {
					level = 0
				}
				c.Slot(level)
			}
		})
	}
}
