package address_test

import (
	"errors"
	"fmt"
	"math/bits"
	"math/rand/v2"
	"strings"
	"testing"

	"lampblack/rig"
	"lampblack/rig/address"
	"lampblack/source"
)

// hang is a rig of units, each with so many slots.
func hang(t *testing.T, units, lines string) *rig.Rig {
	t.Helper()
	var types source.Named[*rig.Type]
	for _, n := range []int{1, 3, 7, 12, 40, 200} {
		var slots strings.Builder
		for k := range n {
			fmt.Fprintf(&slots, "    %d: nothing\n", k+1)
		}
		text := fmt.Sprintf("name: l%d\nbeam: {half: 40°}\nemitters:\n  white: {like: phosphor 6500 K, output: 100 lm}\nmodes:\n  only:\n%s", n, strings.Replace(slots.String(), "1: nothing", "1: {drives: white}", 1))
		text = strings.ReplaceAll(text, ": nothing", ": {idle: nothing}")
		id := fmt.Sprintf("l%d", n)
		kind, faults := rig.ReadType(id, id+".yaml", []byte(text))
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		types = append(types, source.Entry[*rig.Type]{Name: id, Value: kind})
	}
	if lines != "" {
		lines = "lines:\n" + lines
	}
	r, faults := rig.Read("rig.yaml", []byte("units:\n"+units+lines), types)
	for _, f := range faults {
		if !strings.Contains(f.Error(), "past slot 512") && !strings.Contains(f.Error(), "slot") {
			t.Fatal(f)
		}
	}
	return r
}

var sizes = []int{1, 3, 7, 12, 40, 200}

// some is a random rig of so many units on a few lines.
func some(t *testing.T, rng *rand.Rand, n int) *rig.Rig {
	var units strings.Builder
	orders := map[int][]string{}
	for i := range n {
		universe := 1 + rng.IntN(2)
		fmt.Fprintf(&units, "  - {unit: u%d, type: l%d, universe: %d, address: %d}\n", i, sizes[rng.IntN(min(len(sizes), 4+rng.IntN(3)))], universe, 1+rng.IntN(60))
		if rng.IntN(3) > 0 {
			orders[universe] = append(orders[universe], fmt.Sprintf("u%d", i))
		}
	}
	lines := ""
	for universe, order := range orders {
		lines += fmt.Sprintf("  line%d: {universe: %d, order: [%s]}\n", universe, universe, strings.Join(order, ", "))
	}
	return hang(t, units.String(), lines)
}

// set is the rig with its units set as planned.
func set(r *rig.Rig, places []address.Place) *rig.Rig {
	c := *r
	c.Units = append([]rig.Unit(nil), r.Units...)
	for _, p := range places {
		c.Units[p.Unit].Universe, c.Units[p.Unit].Address = p.Universe, p.Address
	}
	return &c
}

// In every style no two units that did not share slots on purpose share any, none goes past the end of
// its universe, what hangs on a line keeps its universe and follows in its order, and beginnings and
// spare slots are as asked. The other side of it is the rig's own list of what meets.
func TestPlansHold(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260314, 17))
	full := 0
	for range 500 {
		r := some(t, rng, 1+rng.IntN(40))
		o := address.Options{Style: address.Styles[rng.IntN(4)], Grid: 1 + rng.IntN(24), Spare: rng.IntN(3)}
		places, err := address.Plan(r, o)
		if errors.Is(err, address.ErrFull) {
			full++
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		after := set(r, places)
		after.Meet(func(a, b rig.Slots) {
			x, y := &r.Units[a.Unit], &r.Units[b.Unit]
			if x.Address != y.Address || x.Universe != y.Universe || x.Mode != y.Mode {
				t.Errorf("%v: %s and %s meet at %d", o, x.Name, y.Name, b.From)
			}
		})
		last := map[string]int{}
		for _, l := range r.Lines {
			for _, name := range l.Value.Order {
				i := r.Index(name)
				if got := after.Units[i].Universe; got != l.Value.Universe {
					t.Errorf("%v: %s hangs on universe %d and is in %d", o, name, l.Value.Universe, got)
				}
				if shared(r, i) {
					continue // it is where the first of those is that share its address
				}
				if got := after.Units[i].Address; o.Style != address.Least && got < last[l.Name] {
					t.Errorf("%v: %s at %d comes after %d on its line", o, name, got, last[l.Name])
				} else {
					last[l.Name] = got
				}
			}
		}
		for _, p := range places {
			if p.Address < 1 || p.Last > 512 || p.Last-p.Address+1 != r.Units[p.Unit].Mode.Footprint {
				t.Errorf("%v: %+v", o, p)
			}
			if step := map[address.Style]int{address.Tens: 10, address.Grid: o.Grid}[o.Style]; step > 0 && (p.Address-1)%step != 0 {
				t.Errorf("%v begins at %d", o, p.Address)
			}
		}
	}
	t.Logf("500 random rigs of 1 to 40 units: %d planned, all limits kept; %d have more slots than a universe", 500-full, full)
	if full > 200 {
		t.Errorf("%d of 500 rigs are full", full)
	}
}

// shared tells whether a unit shares its address with another of its mode.
func shared(r *rig.Rig, unit int) bool {
	u := &r.Units[unit]
	for i := range r.Units {
		if o := &r.Units[i]; i != unit && o.Universe == u.Universe && o.Address == u.Address && o.Mode == u.Mode {
			return true
		}
	}
	return false
}

// As few units are set anew as can be: no larger part of a small rig could have stayed.
func TestLeastIsLeast(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260314, 18))
	rigs, anew := 0, 0
	for range 300 {
		n := 1 + rng.IntN(8)
		var units strings.Builder
		for i := range n {
			fmt.Fprintf(&units, "  - {unit: u%d, type: l%d, address: %d}\n", i, sizes[rng.IntN(4)], 1+rng.IntN(25))
		}
		r := hang(t, units.String(), "")
		places, err := address.Plan(r, address.Options{Style: address.Least})
		if err != nil {
			t.Fatal(err)
		}
		stayed := 0
		for _, p := range places {
			if !p.Moved {
				stayed++
			}
		}
		rigs, anew = rigs+1, anew+n-stayed
		if most := mostThatStay(r); stayed != most {
			t.Errorf("%d of %d stay, and %d could\n%s", stayed, n, most, units.String())
		}
	}
	t.Logf("%d rigs of 1 to 8 units: %d units set anew, as few as any choice leaves", rigs, anew)
}

// Where as few are set anew either way, it is the one that was asked for.
func TestRather(t *testing.T) {
	for _, rather := range []int{0, 1} {
		r := hang(t, "  - {unit: a, type: l7, address: 1}\n  - {unit: b, type: l7, address: 4}\n", "")
		places, err := address.Plan(r, address.Options{Style: address.Least, Rather: []int{rather}})
		if err != nil || !places[rather].Moved || places[1-rather].Moved {
			t.Errorf("%+v, %v; unit %d was to move", places, err, rather)
		}
	}
	r := hang(t, "  - {unit: a, type: l7, address: 1}\n  - {unit: b, type: l12, address: 4}\n  - {unit: c, type: l7, address: 12}\n", "")
	if places, _ := address.Plan(r, address.Options{Style: address.Least, Rather: []int{0}}); places[0].Moved || !places[1].Moved {
		t.Errorf("%+v: fewer go first", places)
	}
}

// mostThatStay tries all parts of a rig.
func mostThatStay(r *rig.Rig) int {
	n, most := len(r.Units), 0
	for part := range 1 << n {
		if bits.OnesCount(uint(part)) <= most {
			continue
		}
		good := true
		r.Meet(func(a, b rig.Slots) {
			same := r.Units[a.Unit].Address == r.Units[b.Unit].Address && r.Units[a.Unit].Mode == r.Units[b.Unit].Mode
			good = good && (same || part>>a.Unit&1 == 0 || part>>b.Unit&1 == 0)
		})
		if good {
			most = bits.OnesCount(uint(part))
		}
	}
	return most
}

// The switches of 1, 100 and 511, by powers of two.
func TestSwitches(t *testing.T) {
	for at, want := range map[int]string{1: "100000000", 100: "001001100", 511: "111111111", 256: "000000001"} {
		got := ""
		for _, on := range address.Switches(at) {
			got += map[bool]string{true: "1", false: "0"}[on]
		}
		if got != want {
			t.Errorf("%d: %s, want %s", at, got, want)
		}
	}
}

// A line that has more slots than its universe is told by its name.
func TestFullLine(t *testing.T) {
	r := hang(t, "  - {unit: a, type: l200, address: 1}\n  - {unit: b, type: l200, address: 201}\n  - {unit: c, type: l200, address: 301}\n", "  stage left: {universe: 1, order: [a, b, c]}\n")
	_, err := address.Plan(r, address.Options{Style: address.Packed})
	if !errors.Is(err, address.ErrFull) || !strings.Contains(err.Error(), "line stage left") {
		t.Error(err)
	}
	if _, err := address.Plan(r, address.Options{Style: address.Grid}); err == nil {
		t.Error("a grid of no slots")
	}
}
