package lamps

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"lampblack/play/lamps/lampstest"
	"lampblack/wire/rdm"
)

// many are lamps of one maker or of several, drawn by lot from few identifiers, so that
// replies over one another often look like the reply of a third.
func many(r *rand.Rand, n int) []*lampstest.Lamp {
	var out []*lampstest.Lamp
	seen := map[rdm.UID]bool{}
	for len(out) < n {
		u := rdm.UIDOf(0x7A70<<32 + uint64(r.IntN(4*n)))
		if r.IntN(4) == 0 {
			u = rdm.UIDOf(r.Uint64N(rdm.MaxUID + 1))
		}
		if !seen[u] {
			seen[u] = true
			out = append(out, &lampstest.Lamp{UID: u, Modes: []lampstest.Mode{{Footprint: 4}}, Mode: 1, Address: 1})
		}
	}
	return out
}

func uids(lamps []*lampstest.Lamp) []rdm.UID {
	var out []rdm.UID
	for _, l := range lamps {
		out = append(out, l.UID)
	}
	slices.SortFunc(out, func(a, b rdm.UID) int { return slices.Compare(a[:], b[:]) })
	return out
}

// Every lamp is found, whatever their identifiers, in a number of questions that grows with
// their number and not with that of all identifiers.
func TestSearchFindsAll(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 1))
	for n := range 60 {
		wire := &lampstest.Wire{Lamps: many(r, n)}
		w := newWidget(&lampstest.Widget{Wire: wire}, "test", 1)
		last := 0.
		got, err := w.Find(context.Background(), func(_ int, done float64) {
			if done < last || done > 1 {
				t.Errorf("%d lamps: %v of the search is done after %v", n, done, last)
			}
			last = done
		})
		sortUIDs(got)
		if err != nil || !slices.Equal(got, uids(wire.Lamps)) {
			t.Fatalf("%d lamps: got %d, %v\n%v\n%v", n, len(got), err, got, uids(wire.Lamps))
		}
		// Each lamp takes at most one path of halvings, with its silences, and its mute.
		if most := 2 + 2 + n*(3*48+2); wire.Asked() > most {
			t.Errorf("%d lamps: %d questions, want at most %d", n, wire.Asked(), most)
		}
	}
}

func sortUIDs(u []rdm.UID) {
	slices.SortFunc(u, func(a, b rdm.UID) int { return slices.Compare(a[:], b[:]) })
}

// Where one packet in twenty is lost, next to all are found all the same: none that is not
// there, and at most one lamp in a hundred is missed.
func TestSearchWherePacketsAreLost(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 2))
	missed, all := 0, 0
	for range 30 {
		wire := &lampstest.Wire{Lamps: many(r, 20), Lose: func() bool { return r.IntN(20) == 0 }}
		got, err := newWidget(&lampstest.Widget{Wire: wire}, "test", 1).Find(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, u := range got {
			if !slices.Contains(uids(wire.Lamps), u) {
				t.Errorf("%v is not there", u)
			}
		}
		missed, all = missed+len(wire.Lamps)-len(got), all+len(wire.Lamps)
	}
	t.Logf("%d of %d missed", missed, all)
	if missed*100 > all {
		t.Errorf("%d of %d missed", missed, all)
	}
}

// A lamp that goes on answering hides no other, and ends.
func TestSearchGoesRoundAStubbornLamp(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 3))
	for n := 1; n < 12; n++ {
		wire := &lampstest.Wire{Lamps: many(r, n)}
		wire.Lamps[r.IntN(n)].Stubborn = true
		got, err := newWidget(&lampstest.Widget{Wire: wire}, "test", 1).Find(context.Background(), nil)
		sortUIDs(got)
		if err != nil || !slices.Equal(got, uids(wire.Lamps)) {
			t.Errorf("%d lamps: got %v, want %v (%v)", n, got, uids(wire.Lamps), err)
		}
	}
}

// What disturbs every search ends it, with what to do; so does who stops it; an interface
// without RDM is told after some messages.
func TestSearchEnds(t *testing.T) {
	wire := &lampstest.Wire{Jam: true}
	if _, err := newWidget(&lampstest.Widget{Wire: wire}, "test", 1).Find(context.Background(), nil); !errors.Is(err, errNoise) || wire.Asked() > 3000 {
		t.Errorf("got %v after %d questions", err, wire.Asked())
	}
	ctx, cancel := context.WithCancel(context.Background())
	wire = &lampstest.Wire{Lamps: many(rand.New(rand.NewPCG(1, 1)), 30)}
	_, err := newWidget(&lampstest.Widget{Wire: wire}, "test", 1).Find(ctx, func(found int, _ float64) {
		if found == 5 {
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
}

// ExampleRead-like: all that a lamp says, in pieces, late, and refused.
func TestReadOfALine(t *testing.T) {
	lamp := &lampstest.Lamp{UID: [6]byte{0x7A, 0x70, 0, 0, 0, 9}, Maker: "a maker of a test", Model: "bar with seven slots", Label: "par 3", Software: "1.2",
		Address: 17, Mode: 2, Modes: []lampstest.Mode{{Footprint: 4, Name: "four"}, {Footprint: 7, Name: "seven"}}, Hours: 1234, LampHours: 70000, Strikes: 12,
		Sensors: []lampstest.Sensor{{Name: "plate", Now: 815, Top: 700}}, Status: []byte{0, 0, 4, 0, 0x21, 0, 0, 0, 81, 0, 0, 0x13, 0, 0x11, 0, 0, 0, 0},
		Pieces: true, Later: map[int]bool{0x0400: true}, Lacks: map[int]bool{0x0402: true}}
	wire := &lampstest.Wire{Lamps: []*lampstest.Lamp{lamp}}
	list, err := Read(context.Background(), newWidget(&lampstest.Widget{Wire: wire}, "/dev/test", 3), nil)
	if err != nil || len(list) != 1 {
		t.Fatal(list, err)
	}
	d := list[0]
	got := fmt.Sprintf("%v %d %q %q %q %q %d/%d %d %q %v %d %d %v %v %v", d.UID, d.Universe, d.Maker, d.Model, d.Label, d.Software, d.Address, d.Footprint, d.Mode, d.ModeName(), d.Modes, *d.Hours, *d.LampHours, d.Strikes, d.Messages, d.Missing)
	want := `7a70:00000009 3 "a maker of a test" "bar with seven slots" "par 3" "1.2" 17/7 2 "seven" [{1 4 four} {2 7 seven}] 1234 70000 <nil> [{error too hot: sensor 0 at 81 °C}] []`
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if s := d.Sensors[0]; s.Value != 81.5 || s.Unit != "°C" || !s.Outside() || s.Least != nil || *s.Most != 70 {
		t.Errorf("got %+v", s)
	}
}

// What is set is read back: what a lamp refuses, or takes and does not keep, is an error.
func TestSetIsReadBack(t *testing.T) {
	lamp := &lampstest.Lamp{UID: [6]byte{0x7A, 0x70, 0, 0, 0, 9}, Address: 17, Mode: 1, Modes: []lampstest.Mode{{Footprint: 4}, {Footprint: 7}}}
	c := NewCaller(newWidget(&lampstest.Widget{Wire: &lampstest.Wire{Lamps: []*lampstest.Lamp{lamp}}}, "test", 1))
	ctx := context.Background()
	if err := c.SetAddress(ctx, lamp.UID, 21); err != nil || lamp.Address != 21 {
		t.Error(err, lamp.Address)
	}
	if err := c.SetMode(ctx, lamp.UID, 2); err != nil || lamp.Mode != 2 {
		t.Error(err, lamp.Mode)
	}
	if err := c.Identify(ctx, lamp.UID, true); err != nil || !lamp.Identifies {
		t.Error(err)
	}
	if err := c.Identify(ctx, lamp.UID, false); err != nil || lamp.Identifies {
		t.Error(err)
	}
	lamp.Forgets = true
	if c.SetAddress(ctx, lamp.UID, 22) == nil || c.SetMode(ctx, lamp.UID, 1) == nil {
		t.Error("what was not kept counts as set")
	}
	lamp.Protected = true
	var no Refused
	if err := c.SetAddress(ctx, lamp.UID, 22); !errors.As(err, &no) || no.Reason != rdm.WriteProtected {
		t.Error(err)
	}
	if c.SetAddress(ctx, lamp.UID, 513) == nil || c.SetAddress(ctx, lamp.UID, 0) == nil || c.SetMode(ctx, lamp.UID, 0) == nil {
		t.Error("addresses and modes that there are none of are sent")
	}
}
