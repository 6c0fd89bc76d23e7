package rig

import (
	"fmt"
	"regexp"
	"strings"

	"lampblack/si"
	"lampblack/source"
)

// Support is what units hang on or stand on.
type Support struct {
	source.Pos
	Kind    SupportKind   `key:"kind,required"`
	Carries si.Mass       `key:"carries"` // rated load of all that is on it
	Weight  si.Mass       `key:"weight"`  // its own
	Height  si.Length     `key:"height"`  // of its top, or of the bar
	Base    si.Length     `key:"base"`    // across the circle through its feet
	Feet    int           `key:"feet"`    // 3 when absent
	Ballast si.Mass       `key:"ballast"` // on its feet
	At      *[2]si.Length `key:"at"`      // its foot; the middle of its units when absent
}

// SupportKind is the sort of support.
type SupportKind string

// What units hang or stand on: a stand with one head, a stand with arms one above the other, a bar that
// hangs or lies on two ends.
const (
	Stand SupportKind = "stand"
	Tree  SupportKind = "tree"
	Bar   SupportKind = "bar"
)

// Choices lists the kinds.
func (SupportKind) Choices() []string { return []string{string(Stand), string(Tree), string(Bar)} }

// Standing tells whether it stands on the floor by itself.
func (s *Support) Standing() bool { return s.Kind == Stand || s.Kind == Tree }

// FeetCount is how many feet it has.
func (s *Support) FeetCount() int {
	if s.Feet == 0 {
		return 3
	}
	return s.Feet
}

func (s *Support) check(name string, faults *source.Faults) {
	if s.Carries < 0 || s.Weight < 0 || s.Height < 0 || s.Base < 0 || s.Ballast < 0 {
		faults.Add(s.Pos, "", "support %s has a negative value", name)
		s.Carries, s.Weight, s.Height, s.Base, s.Ballast = max(s.Carries, 0), max(s.Weight, 0), max(s.Height, 0), max(s.Base, 0), max(s.Ballast, 0)
	}
	if s.Feet != 0 && (s.Feet < 3 || s.Feet > 12) {
		faults.Add(s.Pos, "three or four for most", "support %s has %d feet, which is not 3 to 12", name, s.Feet)
		s.Feet = 0
	}
}

// Shelter is how a housing keeps out things and water: the two figures of an IP code (IEC 60529), -1 where
// a figure is an X or nothing is said.
type Shelter struct{ Things, Water int }

var shelterForm = regexp.MustCompile(`^(?i:IP) ?([0-6X])([0-9X])[A-Z]*$`)

// UnmarshalText reads "IP65".
func (s *Shelter) UnmarshalText(b []byte) error {
	m := shelterForm.FindStringSubmatch(strings.TrimSpace(strings.ToUpper(string(b))))
	if m == nil {
		return fmt.Errorf("%q is no IP code, as IP20 or IP65", b)
	}
	figure := func(text string) int {
		if text == "X" {
			return -1
		}
		return int(text[0] - '0')
	}
	s.Things, s.Water = figure(m[1]), figure(m[2])
	return nil
}

// Units says how it is written.
func (Shelter) Units() string { return "an IP code, as IP20 or IP65" }

// checkBody finds what no lamp weighs, or how hot none gets, and forgets it.
func (t *Type) checkBody(faults *source.Faults) {
	if t.Weight < 0 || t.Weight > 500 || t.Clear < 0 || t.Lit < 0 || t.Hot != 0 && (t.Hot < 250 || t.Hot > 1000) {
		faults.Add(t.Pos, "as weight: 4 kg, keeps clear: 0.5 m, lights from: 1 m, gets hot: 60 °C", "its weight, distances or heat lie outside what lamps have")
		t.Weight, t.Clear, t.Lit, t.Hot = 0, 0, 0, 0
	}
}

// linkSupports finds supports that are not there.
func (r *Rig) linkSupports(faults *source.Faults) {
	names := source.Names(r.Supports)
	for i := range r.Supports {
		r.Supports[i].Value.check(r.Supports[i].Name, faults)
	}
	for i := range r.Units {
		if on := r.Units[i].On; on.Name != "" && r.Supports.Get(on.Name) == nil {
			faults.Add(on.Pos, source.OneOf(on.Name, names), "there is no support %q", on.Name)
		}
	}
}
