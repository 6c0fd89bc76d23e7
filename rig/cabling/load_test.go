package cabling_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"lampblack/rig"
	"lampblack/rig/cabling"
	"lampblack/si"
)

// What is to be carried in adds up to what is planned, and what is short to what is not owned.
func TestLoadAddsUp(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260314, 37))
	stock, err := cabling.ReadStock("3 of 5 m, 2 of 10 m, 20 m")
	if err != nil {
		t.Fatal(err)
	}
	adaptors := 0
	for range 40 {
		r := hung(rng, 1+rng.IntN(9), 1+rng.IntN(2))
		for i, pins := range []rig.DataConnector{"3-pin", "5-pin", ""} {
			someOf(r, i, pins)
		}
		r.Circuits = boards(rng, 3)
		for i := range r.Circuits {
			r.Circuits[i].Value.Breaker.Rated, r.Circuits[i].Value.Sockets = 63, 0
		}
		lines, err := cabling.PlanLines(r, cabling.Options{Desk: desk, Stock: stock, Output: "5-pin"})
		if err != nil {
			t.Fatal(err)
		}
		circuits, err := cabling.PlanCircuits(r, cabling.Supply{})
		if err != nil {
			t.Fatal(err)
		}
		count, metres, short := map[string]int{}, map[string]si.Length{}, 0
		for _, it := range cabling.Load(r, lines, circuits, stock, nil) {
			count[it.Kind] += it.Count
			metres[it.Kind] += it.Length * si.Length(it.Count)
			short += it.Short
		}
		heads, turns := 0, 0
		for _, c := range circuits.Circuits {
			heads += len(c.Chains)
		}
		for _, l := range lines.Lines {
			turns += changes(r, l.Hops)
		}
		adaptors += turns
		want := map[string]int{"units": len(r.Units), "terminators": len(lines.Lines), "splitters": len(lines.Legs), "sockets": heads, "adaptors": turns}
		for kind, n := range want {
			if count[kind] != n {
				t.Errorf("%d %s, want %d", count[kind], kind, n)
			}
		}
		if off := math.Abs(float64(metres["data cables"]-lines.Metres)) + math.Abs(float64(metres["supply cables"]-circuits.Metres)); off > 1e-9 {
			t.Errorf("%v and %v m of cable, planned %v and %v", metres["data cables"], metres["supply cables"], lines.Metres, circuits.Metres)
		}
		if short > 0 { // of 20 m there are as many as it takes, and they do for shorter ones
			t.Errorf("%d are short", short)
		}
	}
	if adaptors < 10 {
		t.Errorf("only %d adaptors", adaptors)
	}
}

// someOf gives every third unit a type with other connectors.
func someOf(r *rig.Rig, first int, pins rig.DataConnector) {
	for u := first; u < len(r.Units); u += 3 {
		kind := *r.Units[u].Type
		kind.Pins = pins
		r.Units[u].Type = &kind
	}
}

// changes counts how often connectors change along a line from an output with 5 pins; a unit that does
// not say takes the cable that comes.
func changes(r *rig.Rig, hops []cabling.Hop) (n int) {
	at := rig.DataConnector("5-pin")
	for _, h := range hops {
		if p := r.Units[h.To].Type.Pins; p != "" && p != at {
			n, at = n+1, p
		}
	}
	return n
}
