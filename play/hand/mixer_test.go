package hand

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
)

// slots are all slots of a frame.
func slots(f *show.Frame) []byte {
	var out []byte
	for i := range f.Universes {
		out = append(out, f.Universes[i].Slots[:]...)
	}
	return out
}

// anOrder draws an order for the hall.
func anOrder(t *rapid.T) Order {
	o := Order{Do: rapid.SampledFrom([]string{Set, Set, Set, LetGo, Bring, TrimTo, TakeOut, Back, OneAlone, OnePulse, Darkness, Work, Unfocused}).Draw(t, "do")}
	units := []string{"left", "middle", "right", "bar", "flood"}
	switch {
	case o.Do == OneAlone || o.Do == OnePulse || o.Do == TakeOut || o.Do == Back:
		o.Units = []string{rapid.SampledFrom(units).Draw(t, "unit")}
	case o.Do == Bring:
		o.Look = rapid.SampledFrom([]string{"", "warm", "sea", "dark"}).Draw(t, "look")
	case rapid.Bool().Draw(t, "a system"):
		o.System = rapid.SampledFrom([]string{"front", "foot", "uv"}).Draw(t, "system")
	default:
		o.Units = rapid.SliceOfNDistinct(rapid.SampledFrom(units), 1, 3, rapid.ID).Draw(t, "units")
	}
	if o.Do == Set {
		o.Dark = rapid.Bool().Draw(t, "dark")
		o.Colour = rapid.SampledFrom([]string{"", "#ff0000", "#0040ff", "#ffffff"}).Draw(t, "colour")
		o.Level = rapid.Float64Range(0, 1).Draw(t, "level")
	}
	if o.Do == TrimTo {
		o.Level = rapid.Float64Range(0, 2).Draw(t, "factor")
	}
	return o
}

// What nobody holds is the show's to the last bit: always, and again when all is let go.
func TestLetGo(t *testing.T) {
	s := hallWith(t, nil)
	plain := s.NewFrame()
	rapid.Check(t, func(t *rapid.T) {
		x := newStand(t, s)
		for range rapid.IntRange(1, 12).Draw(t, "orders") {
			_ = x.order(anOrder(t)) // one that names a unit without such light changes nothing
			x.now = x.now.Add(time.Duration(rapid.IntRange(1, 900).Draw(t, "ms")) * time.Millisecond)
			in := time.Duration(rapid.IntRange(0, 40000).Draw(t, "in")) * time.Millisecond
			x.at(in, 0)
			s.At(plain, in)
			for u := range s.Rig.Units {
				if from, to := s.Rig.UnitDrives(u); len(x.mixer.layers) > 0 && !x.mixer.units[u] && !slices.Equal(x.frame.Levels[from:to], plain.Levels[from:to]) {
					t.Fatalf("nobody holds %s, and its light is another", s.Rig.Units[u].Name.Name)
				}
			}
		}
		x.mustOrder(Order{Do: Drop})
		x.mustOrder(Order{Do: Bring})
		x.mustOrder(Order{Do: Unfocused})
		x.now = x.now.Add(5 * time.Second)
		for _, in := range []time.Duration{0, 11 * time.Second, 29 * time.Second, 32 * time.Second} {
			s.At(plain, in)
			if !slices.Equal(slots(x.at(in, 0)), slots(plain)) {
				t.Fatalf("all is let go, and the light at %v is not the show's", in)
			}
		}
	})
}

// A unit that is set gives the light that was asked for, whatever the show does; the others
// stay the show's.
func TestSet(t *testing.T) {
	s := hallWith(t, nil)
	x := newStand(t, s)
	x.mustOrder(Order{Do: Set, Units: []string{"left"}, Colour: "629 nm", Level: .5})
	x.now = x.now.Add(time.Second)
	decoded := make([]float32, len(s.Rig.Drives))
	for _, in := range []time.Duration{0, 12 * time.Second, 35 * time.Second} {
		rig.NewDecoder(s.Rig, s.Rig.Universes()).Decode(decoded, x.at(in, 0).Universes)
		from, to := s.Rig.UnitDrives(0)
		sum := float32(0)
		for d := from; d < to; d++ {
			switch v := decoded[d]; s.Rig.Emitter(d).Peak {
			case 629e-9, 629: // red
				if math.Abs(float64(v)-.5) > .03 {
					t.Errorf("red at %g, want half", v)
				}
				sum += v
			default:
				if s.Rig.Emitter(d).Light.BlackLight() {
					continue // that is the show's
				}
				if v > .05 {
					t.Errorf("%g of another colour than red", v)
				}
			}
		}
		if sum == 0 {
			t.Error("no red at all")
		}
	}
}

// Lights up win over whatever a hand holds.
func TestLightsUpWin(t *testing.T) {
	s := hallWith(t, nil)
	up := s.NewFrame()
	rapid.Check(t, func(t *rapid.T) {
		x := newStand(t, s)
		for range rapid.IntRange(1, 6).Draw(t, "orders") {
			_ = x.order(anOrder(t))
			x.now = x.now.Add(100 * time.Millisecond)
		}
		s.At(x.frame, 12*time.Second)
		s.LightsUp(x.frame, 1)
		s.At(up, 12*time.Second)
		s.LightsUp(up, 1)
		x.mixer.Over(s, x.frame, func(int) float32 { return 1 }, x.now)
		if !slices.Equal(slots(x.frame), slots(up)) {
			t.Fatal("lights are up, and a hand holds some of them down")
		}
	})
}

// However fast hands are, no lamp flashes faster than three times in any second by them, where
// the show beneath stands: flashes are pairs of opposite changes of a tenth of full or more
// (WCAG 2.2, general flash).
func TestNoFlash(t *testing.T) {
	s := hallWith(t, nil)
	rapid.Check(t, func(t *rapid.T) {
		x := newStand(t, s)
		turns := make([][]time.Time, len(s.Rig.Drives))
		peak, way := make([]float32, len(s.Rig.Drives)), make([]int, len(s.Rig.Drives))
		copy(peak, x.at(5*time.Second, 0).Levels)
		wait := rapid.IntRange(1, 200).Draw(t, "hurry")
		for range 40 {
			o := rapid.SampledFrom([]Order{
				{Do: Set, System: "front", Colour: "629 nm", Level: 1}, {Do: Set, System: "front", Level: 0},
				{Do: Bring, Look: "dark"}, {Do: Bring, Look: "sea"}, {Do: Darkness}, {Do: Work}, {Do: OneAlone, Units: []string{"left"}},
				{Do: Unfocused}, {Do: TrimTo, System: "front", Level: 0}, {Do: TrimTo, System: "front", Level: 2},
				{Do: TakeOut, Units: []string{"left"}}, {Do: Back, Units: []string{"left"}},
			}).Draw(t, "order")
			o.Over = rapid.SampledFrom([]float64{0, .001}).Draw(t, "over")
			x.mustOrder(o)
			end := x.now.Add(time.Duration(rapid.IntRange(0, wait).Draw(t, "ms")) * time.Millisecond)
			for ; x.now.Before(end); x.now = x.now.Add(time.Second / 44) {
				f := x.at(5*time.Second, 0)
				for d, v := range f.Levels {
					turned := 0
					if v-peak[d] >= .1 {
						turned = 1
					} else if peak[d]-v >= .1 {
						turned = -1
					}
					switch {
					case turned != 0 && turned != way[d]:
						way[d], peak[d] = turned, v
						turns[d] = append(turns[d], x.now)
						if n := len(turns[d]); n > 7 && turns[d][n-1].Sub(turns[d][n-8]) < time.Second-time.Second/44 {
							t.Fatalf("drive %d turned round 8 times in %v", d, turns[d][n-1].Sub(turns[d][n-8]))
						}
					case way[d] > 0:
						peak[d] = max(peak[d], v)
					case way[d] < 0:
						peak[d] = min(peak[d], v)
					}
				}
			}
		}
	})
}

// No eye of the room gets more ultraviolet by hand than the exempt group has, 10 W/m²
// (IEC 62471:2006, 4.3.2), or than the show itself gives.
func TestCeiling(t *testing.T) {
	s := hallWith(t, nil)
	rows := make([][]float64, len(s.Transport.Eyes))
	for i := range rows {
		rows[i] = s.Transport.MostRow(i, room.UVA)
	}
	uva := func(levels []float32) (worst float64) {
		for _, row := range rows {
			sum := 0.0
			for d, v := range row {
				sum += v * float64(levels[d]) * s.Transport.Spread[d].High
			}
			worst = max(worst, sum)
		}
		return worst
	}
	all := make([]float32, len(s.Rig.Drives))
	for d := range all {
		all[d] = 1
	}
	if most := uva(all); most < lampUVA {
		t.Fatalf("all that the hall has is %g W/m² at the eye: nothing is shown", most)
	}
	plain := s.NewFrame()
	capped := false
	rapid.Check(t, func(t *rapid.T) {
		x := newStand(t, s)
		for range rapid.IntRange(1, 10).Draw(t, "orders") {
			_ = x.order(anOrder(t))
			x.now = x.now.Add(700 * time.Millisecond)
			in := time.Duration(rapid.IntRange(0, 40000).Draw(t, "in")) * time.Millisecond
			s.At(plain, in)
			got, own := uva(x.at(in, 0).Levels), uva(plain.Levels)
			capped = capped || got > lampUVA*.9
			if got > (lampUVA+own)*(1+1e-6) {
				t.Fatalf("%g W/m² at the eye by hand, %g by the show", got, own)
			}
		}
	})
	if !capped {
		t.Error("no hand came near the ceiling: nothing is shown")
	}
}

// What the run's loop asks waits for no order and for no disk.
func TestStateWaitsForNothing(t *testing.T) {
	x := newStand(t, hallWith(t, nil))
	x.hand.mu.Lock()   // an order is being worked out
	x.hand.file.Lock() // and another written
	defer x.hand.file.Unlock()
	defer x.hand.mu.Unlock()
	told := make(chan struct{})
	go func() {
		x.hand.State()
		x.hand.Show()
		close(told)
	}()
	select {
	case <-told:
	case <-time.After(time.Minute):
		t.Fatal("it waits for an order")
	}
}
