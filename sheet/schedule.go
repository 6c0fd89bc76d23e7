package sheet

import (
	"context"
	"fmt"
	"math"
	"strings"

	"lampblack/rig"
	"lampblack/sheet/typeset"
	"lampblack/si"
)

// schedule is the instrument schedule: unit by unit in the order of the rig's file, which is how they
// hang, and how many there are of each type.
func schedule(_ context.Context, s *Subject) ([]typeset.Block, error) {
	r := s.Show.Rig
	t := &typeset.Table{Columns: []typeset.Column{
		{Head: "Unit", Bold: true}, {Head: "Type"}, {Head: "System"}, {Head: "Right", Right: true}, {Head: "In", Right: true}, {Head: "Up", Right: true},
		{Head: "Circuit"}, {Head: "Universe, slots"}, {Head: "W", Right: true}, {Head: "Note"}, {Head: "Hung", Least: 3},
	}}
	watts := 0.0
	for i := range r.Units {
		u := &r.Units[i]
		c := []string{u.Name.Name, typeName(u), strings.Join(u.Systems, ", "), "", "", "", feed(u), fmt.Sprintf("%d: %s", u.Universe, slotsOf(u)), wattsOf(u), noteOf(u), typeset.Box}
		if !u.Guessed(rig.GuessedPlace) {
			for k := range 3 {
				c[3+k] = metres(float64(u.At[k]))
			}
		}
		watts += watt(u)
		t.Rows = append(t.Rows, row(c...))
	}
	t.Rows = append(t.Rows, sum(si.Count(len(r.Units), "unit", "units"), "", "", "", "", "", "", "", whole(watts)))
	return []typeset.Block{t,
		words("Places in metres from the middle of the stage's front edge, on the floor: right as the audience sees it, in from the edge (a minus is before it, among the audience), up from the floor. An empty place is one that nobody has said yet."),
		boxed(overhead), typesOf(r)}, nil
}

const overhead = "Hanging things over people is for those who are trained and licensed for it: a second suspension on everything overhead, nobody under it, tools on lanyards."

// feed is what a unit is plugged into.
func feed(u *rig.Unit) string {
	switch {
	case u.FedBy.Name != "":
		return "through " + u.FedBy.Name
	case u.Circuit.Name != "":
		return u.Circuit.Name
	}
	return ""
}

func noteOf(u *rig.Unit) string {
	var out []string
	if u.Use != "" {
		out = append(out, string(u.Use))
	}
	if u.Mask != 0 {
		out = append(out, "flag it: no light above "+degrees(float64(u.Mask)))
	}
	if u.Turn != 0 {
		out = append(out, "turned "+degrees(float64(u.Turn)))
	}
	if u.Note != "" {
		out = append(out, u.Note)
	}
	return strings.Join(out, "; ")
}

func watt(u *rig.Unit) float64 {
	if u.Type == nil {
		return 0
	}
	return float64(u.Type.Supply.Max)
}

func wattsOf(u *rig.Unit) string {
	if w := watt(u); w > 0 {
		return whole(w)
	}
	return ""
}

func whole(v float64) string { return fmt.Sprintf("%.0f", v) }

// metres is a length to a centimetre, without noise behind it.
func metres(v float64) string {
	v = math.Round(v*100) / 100
	if v == 0 {
		v = 0 // no minus
	}
	return fmt.Sprintf("%.2f", v)
}

func degrees(radians float64) string { return fmt.Sprintf("%.0f°", radians*180/math.Pi) }

// typesOf counts the units of each type: what has to be borrowed, carried and given back.
func typesOf(r *rig.Rig) *typeset.Table {
	t := &typeset.Table{Name: "Types", Columns: []typeset.Column{
		{Head: "Units", Right: true, Bold: true}, {Head: "Type", Bold: true, Names: true}, {Head: "Emitters"}, {Head: "Beam"}, {Head: "W each", Right: true}, {Head: "W", Right: true}, {Head: "Without data"},
		{Head: "kg each", Least: 6},
	}}
	all, watts := 0, 0.0
	for k, n := range countedTypes(r) {
		var emitters []string
		for i := range k.Emitters {
			emitters = append(emitters, k.Emitters[i].Name)
		}
		loss, each := string(k.OnLoss), float64(k.Supply.Max)
		all, watts = all+n, watts+each*float64(n)
		w := ""
		if each > 0 {
			w = whole(each)
		}
		kg := ""
		if k.Weight > 0 {
			kg = si.Say(float64(k.Weight), "")
		}
		t.Rows = append(t.Rows, row(fmt.Sprint(n), k.Name, strings.Join(emitters, ", "), beamOf(k), w, whole(each*float64(n)), loss, kg))
	}
	t.Rows = append(t.Rows, sum(fmt.Sprint(all), "", "", "", "", whole(watts)))
	return t
}

func beamOf(k *rig.Type) string {
	text := degrees(float64(k.Beam.Half))
	if k.Beam.Tenth > 0 {
		text += ", field " + degrees(float64(k.Beam.Tenth))
	}
	return text
}
