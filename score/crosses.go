package score

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"lampblack/si"
	"lampblack/source"
)

// Crossings are the ways of one object or performer through the play, in their order. Before
// the first of them it stands where the room has it, after each where that led.
type Crossings []Crossing

// Crossing is one way: when it begins, where it leads, and how long it takes.
type Crossing struct {
	source.Pos
	Going
	From    *Spot         `key:"from"`
	Through []Spot        `key:"through"`
	To      *Spot         `key:"to"`
	Faces   *[3]si.Length `key:"faces"` // the direction that it has turned to when it arrives
}

// Going is when something sets out, and how long it takes.
type Going struct {
	Cue   source.Ref     `key:"cue"`   // it sets out as this cue begins
	At    *time.Duration `key:"at"`    // or at this time
	Takes *Takes         `key:"takes"` // absent: it is there at once
	Pace  Pace           `key:"pace"`
}

// check tells whether it has one beginning, and that is there.
func (g *Going) check(pos source.Pos, what string, numbers []string, faults *source.Faults) bool {
	switch {
	case (g.Cue.Name == "") == (g.At == nil):
		faults.Add(pos, "cue: 20, or at: 1:08", "%s has no one beginning", what)
		return false
	case g.Cue.Name != "" && !slices.Contains(numbers, g.Cue.Name):
		faults.Add(g.Cue.Pos, source.OneOf(g.Cue.Name, numbers), "there is no cue %s by which %s begins", g.Cue.Name, what)
		return false
	}
	return true
}

// MostCrossings bounds the crossings of one thing, and mostThrough the points of one.
const (
	MostCrossings = 200
	mostThrough   = 50
)

// Pace is how a way is gone.
type Pace string

// The paces: setting out and arriving gently, at one speed, or as far in every bar.
const (
	Eased    Pace = "eased"
	Steady   Pace = "steady"
	WithBars Pace = "with the bars"
)

// Choices lists the paces.
func (Pace) Choices() []string { return []string{string(Eased), string(Steady), string(WithBars)} }

// Spot is a place in the room: a mark by its name, or a point.
type Spot struct {
	Mark source.Ref
	At   [3]si.Length // where there is no mark
}

const spotForms = "the name of a mark in room.yaml, or a point as [1 m, 2 m, 1.5 m]"

// ReadSource takes a name or a point.
func (s *Spot) ReadSource(v source.Value) {
	if v.IsText() {
		s.Mark = v.Name()
		return
	}
	if !v.IsList() || len(v.List()) != 3 {
		v.Fault(spotForms, "a place is said otherwise")
		return
	}
	v.Into(&s.At)
}

// JSONSchema is that of a name or of three lengths.
func (Spot) JSONSchema() map[string]any {
	length := map[string]any{"type": []any{"string", "number"}}
	return map[string]any{"description": spotForms, "anyOf": []any{
		map[string]any{"type": "string"}, map[string]any{"type": "array", "items": length, "minItems": 3, "maxItems": 3}}}
}

// Takes is how long a way takes: a time, or a number of bars of the sound.
type Takes struct {
	Time time.Duration
	Bars int
}

const takesForms = "a time as 8 s, or bars as 4 bars"

// Units says how the value is written.
func (Takes) Units() string { return takesForms }

// UnmarshalText reads one of the forms.
func (t *Takes) UnmarshalText(b []byte) error {
	words := strings.Fields(string(b))
	if len(words) == 2 && (words[1] == "bars" || words[1] == "bar") {
		n, err := strconv.Atoi(words[0])
		if err != nil || n < 1 || n > 200 {
			return fmt.Errorf("%q should be 1 bar to 200 bars", string(b))
		}
		t.Bars = n
		return nil
	}
	d, err := si.ParseTime(string(b))
	switch {
	case err != nil:
		return fmt.Errorf("%q does not say how long a way takes: %s", string(b), takesForms)
	case d < 0 || d > time.Hour:
		return fmt.Errorf("%q should be from 0 s to an hour", string(b))
	}
	t.Time = d
	return nil
}

// checkCrossings holds the ways to cues that are there and to what makes sense by itself.
func (s *Score) checkCrossings(faults *source.Faults) {
	numbers := s.numbers()
	for i := range s.Crosses {
		e := &s.Crosses[i]
		keepGood(e, MostCrossings, "ways", faults, func(c *Crossing) bool { return c.check(e.Name, numbers, faults) })
	}
}

// keepGood keeps of a list those that are good, and not more than so many.
func keepGood[L ~[]T, T any](e *source.Entry[L], most int, what string, faults *source.Faults, good func(*T) bool) {
	if len(e.Value) > most {
		faults.Add(e.Pos, "", "%s has more than %d %s", e.Name, most, what)
		e.Value = e.Value[:most]
	}
	kept := e.Value[:0]
	for i := range e.Value {
		if good(&e.Value[i]) {
			kept = append(kept, e.Value[i])
		}
	}
	e.Value = kept
}

// check tells whether a way can be gone.
func (c *Crossing) check(name string, numbers []string, faults *source.Faults) bool {
	if !c.Going.check(c.Pos, "a way of "+name, numbers, faults) {
		return false
	}
	switch {
	case c.To == nil && c.Faces == nil && c.From == nil:
		faults.Add(c.Pos, "to: "+spotForms, "a way of %s leads nowhere", name)
		return false
	case len(c.Through) > mostThrough:
		faults.Add(c.Pos, "", "a way of %s has more than %d points", name, mostThrough)
		c.Through = c.Through[:mostThrough]
	case len(c.Through) > 0 && c.To == nil:
		faults.Add(c.Pos, "to: "+spotForms, "a way of %s goes through points and does not say where to", name)
		return false
	}
	if f := c.Faces; f != nil && f[0] == 0 && f[1] == 0 && f[2] == 0 {
		faults.Add(c.Pos, "[0 m, -1 m, 0 m] faces the audience", "%s is to turn to a direction without a length", name)
		c.Faces = nil
	}
	return true
}
