package rig

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lampblack/light"

	"pgregory.net/rapid"
)

// plain is a type with three emitters and one mode.
func plain(mode string) string {
	return "name: x\nbeam: {half: 20°}\nemitters:\n  red: {peak: 625 nm, width: 18 nm, output: 150 lm}\n  green: {peak: 520 nm, width: 32 nm, output: 260 lm}\n" +
		"  blue: {peak: 455 nm, width: 20 nm, output: 55 lm}\n  uv: {peak: 397 nm, width: 13 nm, output: 3 W}\ncells: 4\nmodes:\n  one:\n" + mode
}

// some hangs n units of one type, from address 1 on in universe 1.
func some(t testing.TB, n int, mode string) *Rig {
	t.Helper()
	kinds := types(t, map[string]string{"x": plain(mode)})
	var b strings.Builder
	b.WriteString("units:\n")
	for i := range n {
		fmt.Fprintf(&b, "- {unit: u%d, type: x, address: %d, at: [0 m, 0 m, 3 m], aim: [0 m, 2 m, 0 m]}\n", i, 1+i*kinds[0].Value.Modes[0].Value.Footprint)
	}
	r, faults := Read("r", []byte(b.String()), kinds)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return r
}

// sent is the slots of a rig in universe 1, while light moves.
func sent(r *Rig, levels []float32, hz float32) []byte {
	universes := []Universe{{Number: 1}}
	flash := make([]float32, len(r.Units))
	for i := range flash {
		flash[i] = hz
	}
	NewEncoder(r, []int{1}).Encode(universes, levels, flash, nil, nil)
	return universes[0].Slots[:]
}

// stands is the slots of a rig in universe 1, while light stands.
func stands(r *Rig, levels []float32) []byte {
	e := NewEncoder(r, []int{1})
	still := e.Still(levels)
	list := make([]*Still, len(r.Units))
	for i := range list {
		list[i] = still
	}
	universes := []Universe{{Number: 1}}
	e.Encode(universes, levels, make([]float32, len(r.Units)), list, nil)
	return universes[0].Slots[:]
}

// Slots computed by hand from the slot tables. A slot of 8 bits has 255 steps
// (ANSI E1.11), a pair 65535: 0.2 is 51 of 255 and 13107 of 65535, which is 51
// and 51. Laws as docs/files.md gives them: square u², s 3u²-2u³.
func TestEncodeByHand(t *testing.T) {
	for _, c := range []struct {
		mode   string
		levels []float32
		hz     float32
		want   []byte
	}{
		{"    1: {drives: red}\n", []float32{0}, 0, []byte{0}},
		{"    1: {drives: red}\n", []float32{1}, 0, []byte{255}},
		{"    1: {drives: red}\n", []float32{.2}, 0, []byte{51}},
		{"    1: {drives: red}\n", []float32{.25}, 0, []byte{64}},  // 63.75
		{"    1: {drives: red}\n", []float32{.249}, 0, []byte{63}}, // 63.495
		{"    1: {drives: red}\n", []float32{7}, 0, []byte{255}},
		{"    1: {drives: red}\n", []float32{-1}, 0, []byte{0}},
		{"    3: {drives: red}\n    2: {drives: green}\n", []float32{.2, 1}, 0, []byte{0, 51, 255}}, // drives in the order of their slots
		{"    1-2: {drives: red}\n", []float32{.2}, 0, []byte{51, 51}},
		{"    2-1: {drives: red}\n", []float32{.25}, 0, []byte{0, 64}}, // 16384 is 64 and 0
		{"    1-2: {drives: red}\n", []float32{1}, 0, []byte{255, 255}},
		{"    1-3: {drives: red}\n    2: {drives: green}\n", []float32{1 / 65535., 1}, 0, []byte{0, 255, 1}},
		// Dark up to 12, full from 250: half is at 131.
		{"    1: {drives: red, curve: {dark to: 12, full from: 250}}\n", []float32{.5}, 0, []byte{131}},
		{"    1: {drives: red, curve: {dark to: 12, full from: 250}}\n", []float32{1}, 0, []byte{250}},
		{"    1: {drives: red, curve: {dark to: 12, full from: 250}}\n", []float32{0}, 0, []byte{0}},
		{"    1: {drives: red, curve: {then: square}}\n", []float32{.04}, 0, []byte{51}},
		{"    1: {drives: red, curve: {then: s}}\n", []float32{.104}, 0, []byte{51}},
		{"    1: {drives: red, curve: {table: [0, 0.5, 0.6, 1]}}\n", []float32{.5}, 0, []byte{85}},
		{"    1: {drives: red, curve: {table: [0, 0.5, 0.6, 1]}}\n", []float32{.6}, 0, []byte{170}},
		{"    1: {drives: red, curve: {table: [0, 0.5, 0.6, 1]}}\n", []float32{.525}, 0, []byte{106}}, // 106.25
		// A dimmer in a part of the slot: 10 is dark, 200 full.
		{"    1: {drives: red, 0-9: closed, 10-200: level, 201-255: never}\n", []float32{0}, 0, []byte{10}},
		{"    1: {drives: red, 0-9: closed, 10-200: level, 201-255: never}\n", []float32{.2}, 0, []byte{48}},
		{"    1: {drives: red, 0-9: closed, 10-200: level, 201-255: never}\n", []float32{1}, 0, []byte{200}},
		{"    1: {drives: red, 0-127: level, 128-255: flash 1 Hz to 10 Hz, curve: {full from: 255}}\n", []float32{1}, 0, []byte{127}},
		// Ranges to keep out of: the value on that side of them that is nearer in light.
		{"    1: {drives: red, 100-149: never}\n", []float32{.45}, 0, []byte{99}},  // 114.75
		{"    1: {drives: red, 100-149: never}\n", []float32{.55}, 0, []byte{150}}, // 140.25
		{"    1: {drives: red, 100-149: flash 5 Hz}\n", []float32{.45}, 0, []byte{99}},
		{"    1: {drives: red, 100-149: flash random 5 Hz}\n", []float32{.45}, 0, []byte{99}},
		{"    1: {drives: red, 100-149: closed}\n", []float32{.45}, 0, []byte{99}},
		{"    1: {drives: red, 100-149: nothing}\n", []float32{.5}, 0, []byte{127}},
		{"    1: {drives: red, 0-19: never, 20-255: closed}\n", []float32{.5}, 0, []byte{20}}, // nothing may be used: dark
		// Slots that neither drive nor dim rest where light goes through.
		{"    1: {drives: red}\n    2: {0-9: closed, 10-255: open}\n", []float32{1}, 0, []byte{255, 255}},
		{"    1: {drives: red}\n    2: {0-9: open, 10-255: never}\n", []float32{1}, 0, []byte{255, 0}},
		{"    1: {drives: red}\n    2: {0-9: closed, 10-19: open, 20-255: never}\n", []float32{1}, 0, []byte{255, 14}},
		{"    1: {drives: red}\n    2: {0-9: never, 10-20: nothing, 21-255: never}\n", []float32{1}, 0, []byte{255, 15}},
		{"    1: {drives: red}\n    2: {0-9: nothing, 10-255: open}\n", []float32{1}, 0, []byte{255, 255}}, // open before nothing
		{"    1: {drives: red}\n    2: {idle: speed, set: 77}\n", []float32{1}, 0, []byte{255, 77}},
		{"    1: {drives: red}\n    2: {idle: speed}\n", []float32{1}, 0, []byte{255, 0}},
		// A shutter: open at rest, else the value of the rate. 10 to 255 for 1 to 20
		// Hz: 10 Hz is at 10 + 245·9/19 = 126.05.
		{"    1: {drives: red}\n    2: {0-9: open, 10-255: flash 1 Hz to 20 Hz}\n", []float32{1}, 0, []byte{255, 0}},
		{"    1: {drives: red}\n    2: {0-9: open, 10-255: flash 1 Hz to 20 Hz}\n", []float32{1}, 10, []byte{255, 126}},
		{"    1: {drives: red}\n    2: {0-9: open, 10-255: flash 1 Hz to 20 Hz}\n", []float32{1}, 1, []byte{255, 10}},
		{"    1: {drives: red}\n    2: {0-9: open, 10-255: flash 1 Hz to 20 Hz}\n", []float32{1}, 20, []byte{255, 255}},
		{"    1: {drives: red}\n    2: {0-9: open, 10-255: flash 1 Hz to 20 Hz}\n", []float32{1}, .1, []byte{255, 10}},
		{"    1: {drives: red}\n    2: {0-9: open, 10-255: flash 1 Hz to 20 Hz}\n", []float32{1}, 50, []byte{255, 255}},
		{"    1: {drives: red}\n    2: {0-9: open, 10-255: flash 20 Hz to 1 Hz}\n", []float32{1}, 10, []byte{255, 139}}, // 10 + 245·10/19
		{"    1: {drives: red}\n    2: {0-9: open, 10-255: flash 5 Hz}\n", []float32{1}, 10, []byte{255, 10}},
		{"    1: {drives: red}\n    2: {0-9: open, 10-255: flash random 1 Hz to 20 Hz}\n", []float32{1}, 10, []byte{255, 126}},
		// A master that flashes in some of its range does so there, and lets all
		// through: the drive has its own level. In the dark it does not.
		{"    1: {dims: all, 0-127: level, 128-250: flash 1 Hz to 12 Hz, 251-255: open}\n    2: {drives: red}\n", []float32{.2}, 6.5, []byte{189, 51}},
		{"    1: {dims: all, 0-127: level, 128-250: flash 1 Hz to 12 Hz, 251-255: open}\n    2: {drives: red}\n", []float32{0}, 6.5, []byte{0, 0}},
		{"    1: {dims: all, 0-127: level, 128-250: flash 1 Hz to 12 Hz, 251-255: open}\n    2: {drives: red}\n", []float32{1}, 0, []byte{127, 255}},
		// A unit that cannot flash ignores its rate.
		{"    1: {drives: red}\n", []float32{.2}, 9, []byte{51}},
		// A master of 16 bits carries the level itself, its drives the rest.
		{"    1-2: {dims: all}\n    3: {drives: red}\n    4: {drives: green}\n", []float32{.2, .04}, 0, []byte{51, 51, 255, 51}},
		{"    1-2: {dims: all}\n    3: {drives: red}\n    4: {drives: green}\n", []float32{0, 0}, 0, []byte{0, 0, 0, 0}},
		// A master before another's drives stands open while they light.
		{"    1: {dims: red}\n    2: {dims: all}\n    3: {drives: red}\n    4: {drives: green}\n", []float32{1, 0}, 0, []byte{255, 255, 255, 0}},
		{"    1: {dims: red}\n    2: {dims: all}\n    3: {drives: red}\n    4: {drives: green}\n", []float32{0, 0}, 0, []byte{0, 0, 0, 0}},
		{"    1: {dims: green}\n    2: {drives: red}\n    3: {drives: green}\n", []float32{.2, 0}, 0, []byte{0, 51, 0}}, // red has no master
		// A master of one cell dims what lights that cell.
		{"    1: {dims: all, cell: 2}\n    2: {drives: red, cell: 1}\n    3: {drives: red, cell: 2}\n", []float32{1, 0}, 0, []byte{0, 255, 0}},
		{"    1: {dims: all, cell: 2}\n    2: {drives: red, cell: 1}\n    3: {drives: red, cell: 2}\n", []float32{0, 1}, 0, []byte{255, 0, 255}},
	} {
		r := some(t, 1, c.mode)
		got := sent(r, c.levels, c.hz)[:len(c.want)]
		if !slices.Equal(got, c.want) {
			t.Errorf("%s at %v, %v Hz: slots %v, want %v", c.mode, c.levels, c.hz, got, c.want)
		}
		if c.hz == 0 && !strings.Contains(c.mode, "dims") { // without a master, standing light is the same
			if got := stands(r, c.levels)[:len(c.want)]; !slices.Equal(got, c.want) && (len(c.levels) > 1 || c.levels[0] >= 0 && c.levels[0] <= 1) {
				t.Errorf("%s at %v: standing slots %v, want %v", c.mode, c.levels, got, c.want)
			}
		}
	}
}

// Units lie at their addresses in their universes, and nothing is written
// elsewhere.
func TestAddresses(t *testing.T) {
	r, faults := Read("r", []byte(hung), types(t, map[string]string{"bar": bar}))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	levels := make([]float32, len(r.Drives))
	for i := range levels {
		levels[i] = 1
	}
	universes := []Universe{{Number: 3}, {Number: 1}} // in any order
	NewEncoder(r, []int{3, 1}).Encode(universes, levels, make([]float32, 3), nil, nil)
	var got []string
	for _, u := range universes {
		for i, v := range u.Slots {
			if v != 0 {
				got = append(got, fmt.Sprint(u.Number, "/", i+1, " ", v))
			}
		}
	}
	want := []string{"3/506 255", "3/507 255", "3/508 255", "3/509 255",
		"1/1 255", "1/2 255", "1/3 255", "1/4 255", "1/5 255", "1/10 255", "1/11 255", "1/12 255", "1/13 255", "1/14 255"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	// Units that do not fit, or have no mode, are left out, and do no harm.
	for _, spoil := range []string{"address: 507", "mode: none, universe: 3, address: 506"} {
		text := strings.Replace(hung, "mode: by cell, universe: 3, address: 506", spoil, 1)
		if !strings.Contains(spoil, "mode") {
			text = strings.Replace(hung, "address: 506", spoil, 1)
		}
		r, _ := Read("r", []byte(text), types(t, map[string]string{"bar": bar}))
		universes := []Universe{{Number: 1}, {Number: 3}}
		levels := make([]float32, len(r.Drives))
		NewEncoder(r, []int{1, 3}).Encode(universes, levels, make([]float32, 3), nil, nil)
		NewDecoder(r, []int{1, 3}).Decode(levels, universes)
	}
}

// Four units that fade together change one after the other: the mean of their
// slots is never further from the level than an eighth of a step, and one unit
// alone is never further than half a step, wherever the slot.
func TestUnitsChangeInTurn(t *testing.T) {
	r := some(t, 4, "    1: {drives: red}\n    2: {drives: green}\n")
	one := some(t, 1, "    1: {drives: red}\n")
	for i := range 4000 {
		level := (float32(i) + .37) / 4000
		all := sent(r, slices.Repeat([]float32{level}, 8), 0)
		for slot := range 2 {
			sum := 0.0
			for u := range 4 {
				sum += float64(all[2*u+slot])
			}
			if off := sum/4 - 255*float64(level); math.Abs(off) > .26 {
				t.Fatalf("at %v the mean of slot %d is %v, off by %.3f", level, slot+1, sum/4, off)
			}
		}
		if off := float64(sent(one, []float32{level}, 0)[0]) - 255*float64(level); math.Abs(off) > .501 {
			t.Fatalf("at %v one unit is off by %.3f", level, off)
		}
	}
}

// light8 is what a unit with a linear master in slot 1 and linear drives behind
// it gives: the product, as dimmers in a row do.
func light8(slots []byte, drive int) float64 {
	return float64(slots[0]) / 255 * float64(slots[1+drive]) / 255
}

// A master and a drive of 8 bits share the work: a level above 2 % is met to .3 %
// of it, and to .06 % on the mean, and the drive stays near the upper half of its
// travel, so that it has steps left to fade with.
func TestMasterAndDriveShare(t *testing.T) {
	r := some(t, 1, "    1: {dims: all}\n    2: {drives: red}\n    3: {drives: green}\n")
	worst, lowest, sum := 0.0, 255, 0.0
	const n = 3000
	for i := range n {
		level := .02 * math.Pow(50, float64(i)/(n-1))
		slots := sent(r, []float32{float32(level), float32(level) / 7}, 0)
		off := math.Abs(light8(slots, 0)/level - 1)
		sum += off
		worst, lowest = max(worst, off), min(lowest, int(slots[1]))
		if green := light8(slots, 1); math.Abs(green-level/7) > .6*float64(slots[0])/255/255 {
			t.Fatalf("at %.4f green gives %.5f, want %.5f", level, green, level/7)
		}
	}
	if worst > .003 || sum/n > .0006 || lowest < 140 {
		t.Errorf("off by %.3f %% at most, %.3f %% on the mean; the drive stands at %d at least", 100*worst, 100*sum/n, lowest)
	}
	if slots := sent(r, []float32{0, 0}, 0); slots[0] != 0 || slots[1] != 0 {
		t.Errorf("dark is %v", slots[:3])
	}
	if slots := sent(r, []float32{1, .5}, 0); slots[0] != 255 || slots[1] != 255 || slots[2] != 127 {
		t.Errorf("full is %v", slots[:3])
	}
}

// The bounds of a fade hold: it neither begins nor ends with a step back.
func TestBoundsHold(t *testing.T) {
	r := some(t, 1, "    1: {drives: red}\n")
	e := NewEncoder(r, []int{1})
	for _, c := range []struct {
		level, low, high float32
		want             byte
	}{
		{.2, 0, 1, 51},
		{.2, 60. / 255, 1, 60}, // not below where it comes from
		{.2, 0, 40. / 255, 40}, // not above where it goes to
		{.2, 59.5 / 255, 1, 60},
		{.2, 0, 40.5 / 255, 40},
		{1, 0, .5, 127},
		{.2, 2, 2, 255},
		{0, .5, 1, 0}, // off stays off
	} {
		universes := []Universe{{Number: 1}}
		e.Encode(universes, []float32{c.level}, []float32{0}, nil, &Bounds{Low: []float32{c.low}, High: []float32{c.high}})
		if got := universes[0].Slots[0]; got != c.want {
			t.Errorf("%v from %v to %v is slot %d, want %d", c.level, c.low, c.high, got, c.want)
		}
		e.Encode(universes, []float32{c.level}, []float32{0}, []*Still{Loose}, &Bounds{Low: []float32{c.low}, High: []float32{c.high}})
		if got := universes[0].Slots[0]; got != byte(math.Round(255*float64(c.level))) {
			t.Errorf("%v, loose, is slot %d", c.level, got)
		}
	}
}

// What units make of slots, by hand: the product of all that stands before an
// emitter.
func TestDecodeByHand(t *testing.T) {
	for _, c := range []struct {
		mode  string
		slots []byte
		want  []float32
	}{
		{"    1: {drives: red}\n", []byte{51}, []float32{.2}},
		{"    1: {drives: red}\n    2: {drives: green}\n", []byte{51, 255}, []float32{.2, 1}},
		{"    1-2: {drives: red}\n", []byte{51, 51}, []float32{.2}},
		{"    2-1: {drives: red}\n", []byte{255, 0}, []float32{255. / 65535}},
		{"    1: {dims: all}\n    2: {drives: red}\n    3: {drives: green}\n", []byte{51, 255, 51}, []float32{.2, .04}},
		{"    1: {dims: red}\n    2: {drives: red}\n    3: {drives: green}\n", []byte{51, 255, 51}, []float32{.2, .2}},
		{"    1: {dims: all, cell: 2}\n    2: {drives: red, cell: 1}\n    3: {drives: red, cell: 2}\n", []byte{0, 255, 255}, []float32{1, 0}},
		{"    1: {drives: red, curve: {then: square}}\n", []byte{51}, []float32{.04}},
		{"    1: {drives: red, curve: {dark to: 12, full from: 250}}\n", []byte{131}, []float32{.5}},
		{"    1: {drives: red, curve: {dark to: 12, full from: 250}}\n", []byte{12}, []float32{0}},
		{"    1: {drives: red, 0-9: closed, 10-200: level, 201-210: open, 211-255: never}\n", []byte{9}, []float32{0}},
		{"    1: {drives: red, 0-9: closed, 10-200: level, 201-210: open, 211-255: never}\n", []byte{48}, []float32{.2}},
		{"    1: {drives: red, 0-9: closed, 10-200: level, 201-210: open, 211-255: never}\n", []byte{205}, []float32{1}},
		{"    1: {drives: red, 0-9: closed, 10-200: level, 201-210: open, 211-255: never}\n", []byte{255}, []float32{1}},
		{"    1: {drives: red, 0-9: nothing, 10-200: level}\n", []byte{5}, []float32{1}}, // beside the dimmer's part it does not dim
		// A shutter before all, open, closed, flashing (lit) and without function.
		{"    1: {drives: red}\n    2: {0-9: closed, 10-99: open, 100-199: flash 1 Hz to 5 Hz, 200-249: flash random 2 Hz, 250-255: nothing}\n", []byte{51, 0}, []float32{0}},
		{"    1: {drives: red}\n    2: {0-9: closed, 10-99: open, 100-199: flash 1 Hz to 5 Hz, 200-249: flash random 2 Hz, 250-255: nothing}\n", []byte{51, 10}, []float32{.2}},
		{"    1: {drives: red}\n    2: {0-9: closed, 10-99: open, 100-199: flash 1 Hz to 5 Hz, 200-249: flash random 2 Hz, 250-255: nothing}\n", []byte{51, 150}, []float32{.2}},
		{"    1: {drives: red}\n    2: {0-9: closed, 10-99: open, 100-199: flash 1 Hz to 5 Hz, 200-249: flash random 2 Hz, 250-255: nothing}\n", []byte{51, 220}, []float32{.2}},
		{"    1: {drives: red}\n    2: {0-9: closed, 10-99: open, 100-199: flash 1 Hz to 5 Hz, 200-249: flash random 2 Hz, 250-255: nothing}\n", []byte{51, 255}, []float32{.2}},
		{"    1: {drives: red}\n    2: {idle: speed}\n", []byte{51, 200}, []float32{.2}},
	} {
		r := some(t, 2, c.mode)
		n := r.Units[0].Mode.Footprint
		universes := []Universe{{Number: 1}}
		copy(universes[0].Slots[n:], c.slots) // of the second unit
		levels := slices.Repeat([]float32{9}, len(r.Drives))
		NewDecoder(r, []int{1}).Decode(levels, universes)
		from, to := r.UnitDrives(1)
		for i, got := range levels[from:to] {
			if math.Abs(float64(got-c.want[i])) > 1e-6 {
				t.Errorf("%s with %v: drive %d gives %v, want %v", c.mode, c.slots, i, got, c.want[i])
			}
		}
	}
}

// slotsOf are modes of all sorts, as budget units have them.
var slotsOf = []string{
	"    1: {drives: red}\n    2: {drives: green}\n    3: {drives: blue}\n    4: {dims: all, 0-127: level, 128-250: flash 1 Hz to 15 Hz, 251-255: open}\n",
	"    1: {dims: all, curve: {then: square}}\n    2: {drives: red}\n    3: {drives: green}\n    4: {drives: blue}\n    5: {drives: uv}\n    6: {0-9: open, 10-255: flash 1 Hz to 20 Hz}\n    7: {0-9: off, 10-255: never}\n",
	"    1-2: {dims: all}\n    3-4: {drives: red}\n    5: {drives: green}\n    6: {drives: blue, 0-9: closed, 10-200: level, 201-255: never}\n",
	"    1: {dims: [red, green], curve: {dark to: 12}}\n    2: {dims: all}\n    3: {drives: red}\n    4: {drives: green}\n    5: {drives: blue}\n",
	"    1: {drives: red, cell: 1}\n    2: {drives: green, cell: 1}\n    3: {drives: red, cell: 2}\n    4: {drives: green, cell: 2}\n    5: {dims: all}\n    6: {dims: all, cell: 2}\n",
	"    1: {drives: red, 100-149: never}\n    2: {drives: green, curve: {then: s}}\n    3: {drives: blue, curve: {table: [0, 0.1, 0.5, 1]}}\n",
}

// Whatever is asked of a unit, moving or standing: no slot lies in a range to
// keep out of, what is off is off, and the light that the unit then gives is
// that which Still says, near what was asked.
func TestSlotsGiveTheLight(t *testing.T) {
	rigs := make([]*Rig, len(slotsOf))
	for i, mode := range slotsOf {
		rigs[i] = some(t, 3, mode)
	}
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom(rigs).Draw(t, "rig")
		levels := make([]float32, len(r.Drives))
		for i := range levels {
			levels[i] = float32(rapid.OneOf(rapid.Float64Range(0, 1), rapid.Float64Range(0, .05), rapid.Just(0.), rapid.Just(1.)).Draw(t, "level"))
		}
		e, d := NewEncoder(r, []int{1}), NewDecoder(r, []int{1})
		still := e.Still(levels)
		for _, list := range [][]*Still{nil, {still, still, still}} {
			universes := []Universe{{Number: 1}}
			e.Encode(universes, levels, make([]float32, 3), list, nil)
			got := make([]float32, len(levels))
			d.Decode(got, universes)
			for i := range r.Units {
				u := &r.Units[i]
				for j := range u.Mode.Slots {
					s := &u.Mode.Slots[j]
					v := int(universes[0].Slots[u.Address-1+s.Coarse-1])
					if a := s.At(v); a != nil && (a.Does == Never || a.Does == Flash || a.Does == FlashRandom) {
						t.Fatalf("unit %d: slot %d is %d, %s", i, s.Coarse, v, a.Does)
					}
				}
			}
			for i, want := range levels {
				if list != nil && math.Abs(float64(got[i]-still.Light[i])) > 1e-6 {
					t.Fatalf("drive %d gives %v, and Still says %v", i, got[i], still.Light[i])
				}
				// A step of 8 bits, or of the half that is left of it, is 0.8 % at most;
				// a range to keep out of is 20 % wide, and curves are steeper.
				if off := math.Abs(float64(got[i] - want)); off > .11 || want == 0 && got[i] != 0 {
					t.Fatalf("drive %d gives %v, want %v (standing: %v)", i, got[i], want, list != nil)
				}
			}
		}
	})
}

// apart is how far off a unit's light is, computed here from the colours alone:
// one for .003 in u'v', for 3 % of the light, for 3 % of a black light.
func apart(r *Rig, want, got []float32) float64 {
	var w, g light.XYZ
	sum := 0.0
	for d := range want {
		l := &r.Emitter(d).Light
		if l.BlackLight() {
			if want[d] > 0 {
				miss := (float64(got[d])/float64(want[d]) - 1) / .03
				sum += miss * miss
			}
			continue
		}
		w, g = w.Plus(l.Colour, float64(want[d])), g.Plus(l.Colour, float64(got[d]))
	}
	if w.Y <= 0 {
		return sum
	}
	miss := (g.Y/w.Y - 1) / .03
	uv := g.UV().Distance(w.UV()) / .003
	return sum + miss*miss + uv*uv
}

// Standing slots are the best of all: no step of the master with any rounding
// of the drives, of a few thousand combinations tried here one by one, comes
// nearer by more than what the search is content with.
func TestStillIsBest(t *testing.T) {
	r := some(t, 1, "    1: {dims: all}\n    2: {drives: red}\n    3: {drives: green}\n    4: {drives: blue}\n    5: {drives: uv}\n")
	e := NewEncoder(r, []int{1})
	for _, levels := range [][]float32{
		{.013, .004, .021, 0}, {.004, .006, .002, .003}, {.5, .31, .12, .8}, {.01, 0, 0, .002}, {0, 0, 0, .0123}, {.003, .0031, .0029, 0}, {.9, .02, .3, .1}, {.0045, .0012, 0, .009},
	} {
		still := e.Still(levels)
		got := apart(r, levels, still.Light)
		best, at := math.Inf(1), [5]int{}
		top := slices.Max(levels)
		for master := 1; master <= 255; master++ {
			through := float64(master) / 255
			if through < .995*float64(top) || through > 4*float64(top) && through > .05 && master < 255 {
				continue
			}
			for up := range 16 {
				out := make([]float32, 4)
				slots := [5]int{0: master}
				for d, l := range levels {
					v := min(int(float64(l)/through*255)+up>>d&1, 255)
					if l == 0 {
						v = 0
					}
					slots[1+d] = v
					out[d] = float32(through * float64(v) / 255)
				}
				if off := apart(r, levels, out); off < best {
					best, at = off, slots
				}
			}
		}
		if got > best+1e-4 {
			t.Errorf("%v stands as %v, off by %.6f; %v is off by %.6f", levels, still.slots[0], got, at, best)
		}
	}
}

// Of more drives in a cell than are tried both ways, those whose steps are least
// seen take the nearer step each: here the darkest of seven.
func TestManyDrives(t *testing.T) {
	text := "name: x\nbeam: {half: 20°}\nemitters:\n"
	mode := ""
	for i, peak := range []int{397, 440, 470, 500, 530, 560, 600} {
		text += fmt.Sprintf("  e%d: {peak: %d nm, width: 15 nm, output: 2 W}\n", i, peak)
		mode += fmt.Sprintf("    %d: {drives: e%d}\n", i+1, i)
	}
	kinds := types(t, map[string]string{"x": text + "modes:\n  one:\n" + mode})
	r, faults := Read("r", []byte("units: [{unit: a, type: x, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, 2 m, 0 m]}]\n"), kinds)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	for k := range 20 {
		levels := slices.Repeat([]float32{.3333}, 7)
		levels[0], levels[1] = (100+.405+float32(k)/100)/255, (60+.405+float32(k)/100)/255
		want := []byte{100, 60}
		if k >= 10 {
			want = []byte{101, 61}
		}
		if got := stands(r, levels)[:2]; !slices.Equal(got, want) {
			t.Errorf("%.3f of a step: slots %v, want %v", .405+float64(k)/100, got, want)
		}
	}
}

// The schema of a slot table takes the forms that the reader takes, and no key
// that it does not know.
func TestModeSchema(t *testing.T) {
	s := (*Mode)(nil).JSONSchema()
	numbers := s["patternProperties"].(map[string]any)
	if s["type"] != "object" || s["additionalProperties"] != false || len(numbers) != 1 {
		t.Fatalf("got %v", s)
	}
	for pattern, slot := range numbers {
		form := slot.(map[string]any)
		keys := slices.Sorted(maps.Keys(form["properties"].(map[string]any)))
		if want := slices.Sorted(slices.Values(slotKeys)); !slices.Equal(keys, want) || form["additionalProperties"] != false {
			t.Errorf("keys %v, want %v", keys, want)
		}
		set := form["properties"].(map[string]any)["set"].(map[string]any)
		if set["minimum"] != 0 || set["maximum"] != 255 || set["type"] != "integer" {
			t.Errorf("set is %v", set)
		}
		ranges := form["patternProperties"].(map[string]any)
		for values, does := range ranges {
			for text, good := range map[string]bool{"1": true, "512": true, "2-3": true, "2 - 3": true, "x": false, "1-": false, "-1": false, "1234": false} {
				for _, p := range []string{pattern, values} {
					if regexp.MustCompile(p).MatchString(text) != good {
						t.Errorf("%s takes %q: %v", p, text, !good)
					}
				}
			}
			meanings := regexp.MustCompile(does.(map[string]any)["pattern"].(string))
			for _, text := range []string{"open", "closed", "level", "nothing", "off", "no function", "never", "flash 5 Hz", "flash 1 Hz to 20 Hz", "flash random 0.5 Hz to 2 Hz", "flash 5Hz",
				"opne", "flash", "flash 5", "flash 5 Hz to", "flash random", "Open", "open "} {
				var r Range
				if read := r.action(text) == nil; meanings.MatchString(text) != read {
					t.Errorf("%q reads: %v, and the schema takes it: %v", text, read, !read)
				}
			}
		}
	}
}

// Units of one kind at the same levels get the same slots, whatever their turn,
// and what Still says of one it says of all.
func TestStillOfEqualUnits(t *testing.T) {
	r := some(t, 3, slotsOf[1])
	levels := slices.Concat([]float32{.1, .2, .3, .4}, []float32{.1, .2, .3, .4}, []float32{.1, .2, .3, .41})
	e := NewEncoder(r, []int{1})
	still := e.Still(levels)
	alone := e.Still(slices.Concat(levels[:4], make([]float32, 8)))
	if !slices.Equal(still.slots[0], still.slots[1]) || !slices.Equal(still.slots[0], alone.slots[0]) || slices.Equal(still.slots[1], still.slots[2]) {
		t.Errorf("slots %v, %v, %v, alone %v", still.slots[0], still.slots[1], still.slots[2], alone.slots[0])
	}
	if !slices.Equal(still.Light[:4], still.Light[4:8]) || !slices.Equal(still.Light[:4], alone.Light[:4]) {
		t.Errorf("light %v", still.Light)
	}
	// A still unit whose master flashes is written as it moves; others stand.
	flashing := some(t, 1, slotsOf[0])
	e = NewEncoder(flashing, []int{1})
	s := e.Still([]float32{.2, .2, .2})
	universes := []Universe{{Number: 1}}
	e.Encode(universes, []float32{.2, .2, .2}, []float32{15}, []*Still{s}, nil)
	if got := universes[0].Slots[:4]; !slices.Equal(got, []byte{51, 51, 51, 250}) {
		t.Errorf("flashing at 15 Hz: slots %v", got)
	}
	shutter := some(t, 1, slotsOf[1])
	e = NewEncoder(shutter, []int{1})
	s = e.Still([]float32{.2, .2, .2, .2})
	e.Encode(universes, []float32{0, 0, 0, 0}, []float32{20}, []*Still{s}, nil)
	if got := universes[0].Slots[:7]; !slices.Equal(got[:5], s.slots[0][:5]) || got[5] != 255 {
		t.Errorf("with a shutter at 20 Hz: slots %v, want %v and 255", got, s.slots[0])
	}
}

// Which master dims a drive.
func TestDimmed(t *testing.T) {
	r := some(t, 1, "    1: {dims: [red, green]}\n    2: {dims: all, cell: 2}\n    3: {drives: red}\n    4: {drives: blue, cell: 1}\n    5: {drives: blue, cell: 2}\n")
	u := &r.Units[0]
	for d, want := range [][]bool{{true, true}, {false, false}, {false, true}} {
		for slot, dims := range want {
			if got := u.Mode.Slots[slot].Dimmed(u, &r.Drives[d]); got != dims {
				t.Errorf("slot %d dims drive %d: %v", slot+1, d, got)
			}
		}
		if u.Mode.Slots[2].Dimmed(u, &r.Drives[d]) {
			t.Errorf("a slot that drives dims drive %d", d)
		}
	}
}

// What a mode may say, at the ends of its numbers and past them.
func TestModeBounds(t *testing.T) {
	for text, want := range map[string]string{
		"  1: {drives: red}":                           "",
		"  512: {drives: red}":                         "",
		"  511-512: {drives: red}":                     "",
		"  512-513: {drives: red}":                     `slot "512-513" lies outside 1 to 512`,
		"  2-1: {drives: red}":                         "",
		"  2-0: {drives: red}":                         `slot "2-0" lies outside`,
		"  -1: {drives: red}":                          `"-1" is no slot number`,
		"  1 - 2: {drives: red}":                       "",
		"  1-x: {drives: red}":                         `"1-x" is no slot number`,
		"  1: {idle: x, set: 255}":                     "",
		"  1: {idle: x, set: 256}":                     "the slot is set to 256, outside 0 to 255",
		"  1: {idle: x, set: -1}":                      "the slot is set to -1, outside 0 to 255",
		"  1: {0: open}":                               "",
		"  1: {255: open}":                             "",
		"  1: {0 - 255: open}":                         "",
		"  1: {256: open}":                             "not inside 0-255",
		"  1: {0-256: open}":                           "not inside 0-255",
		"  1: {9-9: open}":                             "",
		"  1: {10-19: open, 0-9: closed, 20-29: open}": "",
		"  1: {10-19: open, 0-10: closed}":             "ranges 0-10 and 10-19 overlap",
		"  1: {0-255: flash 0 Hz to 100 Hz}":           "",
		"  1: {0-255: flash 101 Hz}":                   "outside 0 to 100 Hz",
		"  1: {0-255: flash 5 Hz to 101 Hz}":           "outside 0 to 100 Hz",
		"  1: {0-255: flash 100.5 Hz to 5 Hz}":         "outside 0 to 100 Hz",
		"  1: {0-255: flash -1 Hz}":                    "outside 0 to 100 Hz",
		"  1: {0-255: flash 5 Hz to -1 Hz}":            "outside 0 to 100 Hz",
		"  1: {0-255: flash 5 Hz to fast}":             "frequency",
		"  1: {0-255: flash random}":                   "frequency",
		"  1: {0-255: flashing 5 Hz}":                  `"flashing 5 Hz" is no meaning of a range`,
		"  1: {0-9: off, 10-255: no function}":         "",
		"  1: {a-b: open}":                             `unknown key "a-b" in a slot`,
		"  1: {0-9: [open]}":                           "this should be a single value, not a list",
	} {
		_, faults := decode(t, text+"\n")
		if (faults.Err() != nil) != (want != "") || want != "" && !strings.Contains(faults.Error(), want) {
			t.Errorf("%s: got %v, want %q in it", text, faults, want)
		}
	}
	m, _ := decode(t, "  3: {0-9: off, 20-29: closed, 10-19: no function}\n  1: {drives: red}\n")
	if m.Slots[0].Coarse != 1 || m.Footprint != 3 {
		t.Errorf("slots %+v", m.Slots)
	}
	s := m.Slots[1]
	var does []string
	for _, v := range []int{0, 9, 10, 19, 20, 29} {
		does = append(does, string(s.At(v).Does))
	}
	if strings.Join(does, " ") != "nothing nothing nothing nothing closed closed" || s.At(30) != nil || s.At(-1) != nil {
		t.Errorf("ranges %v", does)
	}
	one := Range{From: 7, To: 7, Low: 3, High: 9}
	if one.Rate(7) != 3 {
		t.Errorf("a range of one value has %v", one.Rate(7))
	}
}
