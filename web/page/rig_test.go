package page

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/show"
	"lampblack/source"
)

// The patch list of the bench, by hand from its rig file: a wash fills 3 slots
// and the bar 9, so that they end at 1+3-1 and 101+9-1; universe 1 where none is
// given; places to a millimetre; what a unit does without data is its own, else
// its type's. Types stand in the order of their files' names.
func TestPatchList(t *testing.T) {
	want := []Unit{
		{Name: "front left", Type: 1, Universe: 1, Address: 1, Last: 3, At: [3]float64{-2, -1, 3}, Systems: []string{"front"}, Circuit: "left wall", Line: "line A", OnLoss: "hold"},
		{Name: "front right", Type: 1, Mode: "three slots", Universe: 1, Address: 11, Last: 13, At: [3]float64{2, -1, 3}, Systems: []string{"front", "side"}, Circuit: "right wall", Note: "wobbles"},
		{Name: "bar", Type: 0, Mode: "cells", Universe: 2, Address: 101, Last: 109, At: [3]float64{0, .5, .2}, Systems: []string{"uv", "foot"}, FedBy: "front left", OnLoss: "dark"},
		{Name: "spot", Type: 1, Universe: 1, Address: 21, Last: 23, At: [3]float64{0, -1, 1.5}, Systems: []string{}, FedBy: "bar"},
		{Name: "spare", Type: 1, Universe: 1, Address: 31, Last: 33, At: [3]float64{1.235, 0, 3}, Systems: []string{"back"}},
	}
	got := benchBook(t).rig.Units
	if len(got) != len(want) {
		t.Fatalf("%d units, want %d", len(got), len(want))
	}
	for i := range want {
		// All aim at the middle of the stage, 1.5 m up, and a row of cells lies level across that.
		w := &want[i]
		w.Aim = [3]float64{0, 3, 1.5}
		x, y := w.Aim[0]-w.At[0], w.Aim[1]-w.At[1]
		w.Row = [3]float64{-y / math.Hypot(x, y), x / math.Hypot(x, y), 0}
		for k := range w.Row {
			if off := got[i].Row[k] - w.Row[k]; math.Abs(off) > 1e-3 { // places are to a millimetre
				t.Errorf("the row of %s lies at %v, want %v", w.Name, got[i].Row, w.Row)
			}
		}
		w.Row = got[i].Row
		if !reflect.DeepEqual(got[i], want[i]) {
			t.Errorf("got  %+v\nwant %+v", got[i], want[i])
		}
	}
}

// A circuit feeds what hangs on it and what is linked through that: front left,
// the bar behind it and the spot behind the bar, 45 + 62 + 45 = 152 W. Where no
// voltage is given, 230 V is taken for granted, and the page says so.
func TestSupplyTable(t *testing.T) {
	want := []Circuit{
		{Name: "left wall", Breaker: "C16", Voltage: 240, VoltageSaid: true, Watts: 152, Units: []int{0, 2, 3}},
		{Name: "right wall", Breaker: "10 A", Voltage: 230, Watts: 45, Units: []int{1}},
	}
	if got := benchBook(t).rig.Circuits; !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

// A unit of a type that is not there, as while a file is being written, is in the
// patch list and on its circuit, and adds no watts.
func TestUnitOfNoType(t *testing.T) {
	r := &rig.Rig{Units: make([]rig.Unit, 1), Circuits: source.Named[rig.Circuit]{{Name: "wall"}}}
	u := &r.Units[0]
	u.Name.Name, u.TypeName.Name, u.Circuit.Name, u.Address = "lamp", "wish", "wall", 5
	if got := circuitsOf(r); len(got) != 1 || !slices.Equal(got[0].Units, []int{0}) || got[0].Watts != 0 {
		t.Errorf("circuits %+v", got)
	}
	if got := unitsIn(r); got[0].Name != "lamp" || got[0].Type != -1 || got[0].Last != 0 || got[0].OnLoss != "" {
		t.Errorf("units %+v", got)
	}
}

// Units that are linked in a circle, or to one that is not there, hang on no
// circuit: the table ends all the same.
func TestSupplyOfACircle(t *testing.T) {
	r := &rig.Rig{Units: make([]rig.Unit, 3)}
	for i, from := range []string{"b", "a", "gone"} {
		u := &r.Units[i]
		u.Name.Name, u.FedBy.Name, u.Circuit.Name = string(rune('a'+i)), from, "wall"
		if got := feeder(r, i); got != "" {
			t.Errorf("unit %d is fed by %q", i, got)
		}
	}
	if got := feeder(r, 1); got != "" {
		t.Errorf("a circle is fed by %q", got)
	}
}

// The fixture types of the bench, as their files have them.
func TestTypes(t *testing.T) {
	types := benchBook(t).rig.Types
	if len(types) != 2 {
		t.Fatalf("%d types", len(types))
	}
	bar, wash := types[0], types[1]
	for _, c := range []struct{ got, want string }{
		{fmt.Sprint(bar.ID, ", ", bar.Name, " ", bar.Cells, bar.Half, bar.Tenth, bar.Max), "bar, black-light bar 4 40 72 62"},
		{fmt.Sprint(wash.ID, ", ", wash.Name, " ", wash.Cells, wash.Half, wash.Tenth, wash.Max), "wash, wash, two colours 1 60 0 45"},
		{fmt.Sprint(bar.Modes[0].Name, " ", bar.Modes[0].Footprint, ", ", bar.Modes[1].Name, " ", bar.Modes[1].Footprint), "cells 9, one slot 1"},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
	want := []Slot{
		{"1", "uv; cell 1"}, {"2", "uv; cell 2"}, {"3", "uv; cell 3"}, {"4", "uv; cell 4"},
		{"5–6", "dims uv"},
		{"7", "0 to 9 open; 10 to 127 flash 1 Hz to 12 Hz; 128 to 254 flash random 2 Hz to 9 Hz; 255 never"},
		{"8", "no function; held at 20"},
		{"9", "dims all; dark to 12"},
	}
	if got := bar.Modes[0].Slots; !slices.Equal(got, want) {
		t.Errorf("the bar's slots are\n%v, want\n%v", got, want)
	}
}

// The emitters: a line of 630 nm, equal energy from 380 nm to 780 nm, and an LED.
// Their spectra are drawn 132 pixels wide from 300 nm to 780 nm, 3.636 nm to a
// pixel, and 23 high, every 5 nm: 630 nm lie at 90.75, 380 nm at 22.
func TestEmitters(t *testing.T) {
	types := benchBook(t).rig.Types
	red, white, uv := types[1].Emitters[0], types[1].Emitters[1], types[0].Emitters[0]
	for _, c := range []struct {
		e         Emitter
		name, out string
		peak      float64
		drawn     []string
	}{
		{red, "red", "100 lm", 630, []string{"L89.38 24L90.75 1L92.12 24", "<title>spectrum of red, 300 nm to 780 nm</title>"}},
		{white, "white", "270 lm to 330 lm", 380, []string{"L20.62 24L22 1L23.38 1L", "L132 1L132 24Z"}},
		// Ohno's model (Opt. Eng. 44, 111302): 5 nm from the peak of an LED 12 nm wide,
		// D = 12/0.9218 = 13.018, g = exp(-(5/13.018)²) = 0.8628, (g+2g⁵)/3 = 0.6063: 10.05
		// from the top. Ultraviolet is violet.
		{uv, "uv", "3.6 W to 8.4 W", 385, []string{"L22 10.05L23.38 1L24.75 10.05L", `fill="#5b3fa0"`}},
	} {
		if c.e.Name != c.name || c.e.Output != c.out || c.e.Peak != c.peak {
			t.Errorf("%+v", c.e)
		}
		for _, want := range c.drawn {
			if !strings.Contains(c.e.Spectrum, want) {
				t.Errorf("%s has no %s in\n%s", c.name, want, c.e.Spectrum)
			}
		}
	}
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.5g, want %.5g", what, got, want)
	}
}

// sameColour allows for hand rounding: 1 of 255.
func sameColour(t *testing.T, what string, got, want [3]int) {
	t.Helper()
	for i := range got {
		if d := got[i] - want[i]; d > 1 || d < -1 {
			t.Errorf("%s is shown as %v, want %v", what, got, want)
			return
		}
	}
}

// The head of the book, and findings with numbers that JSON has no word for.
func TestContents(t *testing.T) {
	s, err := solvedBench()
	if err != nil {
		t.Fatal(err)
	}
	list := []finding.Finding{
		{ID: "a", Value: math.Inf(1), Limit: 3, From: 1, To: 2, Margin: math.NaN(), Low: math.Inf(-1), High: 4},
		{ID: "b", Value: .5, Limit: math.NaN(), From: math.Inf(1), To: math.Inf(1)},
	}
	b := New(s, list)
	c := b.Contents()
	// The sound lasts a minute, longer than the last cue.
	if c.Title != "Bench" || c.Place != "cellar" || c.Length != 60 {
		t.Errorf("%q, %q, %v s", c.Title, c.Place, c.Length)
	}
	want := []finding.Finding{
		{ID: "a", Value: 1e300, Limit: 3, From: 1, To: 2, Low: -1e300, High: 4},
		{ID: "b", Value: .5, From: 1e300, To: 1e300},
	}
	if !reflect.DeepEqual(b.findings, want) {
		t.Errorf("got  %+v\nwant %+v", b.findings, want)
	}
	if !math.IsInf(list[0].Value, 1) {
		t.Error("the caller's findings were changed")
	}
	if b := New(s, nil); b.findings == nil || len(b.findings) > 0 {
		t.Errorf("no findings are %v", b.findings)
	}
}

// A show of which nothing is known yet has a book of empty pages.
func TestEmptyBook(t *testing.T) {
	s, faults := show.New(t.Context(), show.Files{}, nil)
	if s != nil || faults.Err() != nil {
		t.Fatal("the case is no longer one")
	}
	b := New(&show.Show{Rig: &rig.Rig{}, Length: 1500 * time.Millisecond}, nil)
	c := b.Contents()
	if c.Length != 1.5 || c.Units+len(b.rig.Types)+len(b.rig.Circuits)+len(b.looks)+len(b.cues)+len(c.Ribbons)+len(b.shape.Panels) > 0 {
		t.Errorf("%+v", c)
	}
	if svg, err := b.Plan(t.Context(), 0, false); svg != nil || err != nil {
		t.Errorf("a plan of no room: %s, %v", svg, err)
	}
}
