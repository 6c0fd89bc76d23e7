package rig_test

import (
	"strings"
	"testing"

	"lampblack/rig"
)

// Every built-in type can be named without quotes in a line of rig.yaml, in each of its
// modes, and is open about what it guesses: its outputs are intervals, and its notes say where they come from.
func TestGenericTypes(t *testing.T) {
	for _, e := range rig.Generic() {
		if !e.Value.Generic() || e.Value.Name == "" || e.Value.Supply.Max == 0 || !strings.Contains(e.Value.Notes, "source") {
			t.Errorf("%s: %+v", e.Name, e.Value)
		}
		for _, em := range e.Value.Emitters {
			if l := em.Value.Light; !(l.Low < .7 && l.High > 1.3) {
				t.Errorf("%s: %s is known to %v to %v", e.Name, em.Name, l.Low, l.High)
			}
		}
		for i, m := range append([]string{""}, names(e.Value)...) {
			text := "units: [{unit: 1, type: " + e.Name + ", address: 1"
			if m != "" {
				text += ", mode: " + m
			}
			r, faults := rig.Read("rig.yaml", []byte(text+"}]\n"), nil)
			if err := faults.Err(); err != nil {
				t.Errorf("%s %q: %v", e.Name, m, err)
				continue
			}
			u := &r.Units[0]
			if guessed := i == 0 && len(e.Value.Modes) > 1; u.Guessed(rig.GuessedMode) != guessed || u.Mode == nil || len(r.Drives) == 0 || len(r.Types) != 1 {
				t.Errorf("%s %q: guessed %v, %d drives, %d types", e.Name, m, !guessed, len(r.Drives), len(r.Types))
			}
		}
	}
}

func names(t *rig.Type) (out []string) {
	for _, m := range t.Modes {
		out = append(out, m.Name)
	}
	return out
}

// The system all is every unit that is there for the show; a system of that name goes
// before it. A unit says only what is written of it.
func TestAll(t *testing.T) {
	const units = "units:\n  - {unit: a, type: colour par, address: 1, systems: [front]}\n  - {unit: b, type: colour par, address: 4}\n  - {unit: c, type: colour par, address: 7, use: safety light, at: [0 m, 0 m, 2 m]}\n"
	r, faults := rig.Read("rig.yaml", []byte(units), nil)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	if got := r.System(rig.All); len(got) != 2 || got[0] != 0 || got[1] != 1 {
		t.Errorf("all are %v", got)
	}
	if at, aim := r.Units[2].Says(); !at || aim {
		t.Errorf("c says its place %v, its aim %v", at, aim)
	}
	r, _ = rig.Read("rig.yaml", []byte(strings.Replace(units, "[front]", "[all]", 1)), nil)
	if got := r.System(rig.All); len(got) != 1 || got[0] != 0 {
		t.Errorf("where a unit names it, all are %v", got)
	}
}
