package looks

import (
	"fmt"
	"slices"
	"strings"

	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/source"
)

// fewLeast is how many units a system has at least of which one may be told from the others.
const fewLeast = 3

// unlike finds units whose system is mostly of another type. They are matched in colour; what they lack
// is told.
func (r *limits) unlike() {
	rg := r.Rig()
	for _, system := range rg.Systems() {
		of := map[string][]int{} // units by type
		n := 0
		for i := range rg.Units {
			if u := &rg.Units[i]; u.Type != nil && slices.Contains(u.Systems, system) {
				of[u.Type.ID] = append(of[u.Type.ID], i)
				n++
			}
		}
		for id, units := range of {
			if n < fewLeast || 2*len(units) <= n || len(units) == n {
				continue
			}
			r.others(system, id, of)
		}
	}
}

// others tells of the units of a system that are not of its main type.
func (r *limits) others(system, main string, of map[string][]int) {
	typical := r.Rig().Units[of[main][0]].Type
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		if u.Type == nil || u.Type.ID == main || !slices.Contains(u.Systems, system) {
			continue
		}
		f := finding.Finding{ID: "unit-unlike", Severity: finding.Note, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Source: "the fixture types",
			Says: finding.Say("unit %s is a %s, and the others of %s are %s%s", u.Name.Name, source.Quote(u.Type.ID), system, source.Quote(main), lacking(u.Type, typical)),
			Cure: finding.Say("look at them side by side on one cloth; match them by eye with `lampblack lamps`, or give it another place")}
		r.Add(f.At(u.Name.Pos))
	}
}

// lacking says which emitters a type has not that another has, and how much less light it gives.
func lacking(t, other *rig.Type) string {
	var names []string
	for _, e := range other.Emitters {
		if t.Emitters.Index(e.Name) < 0 {
			names = append(names, e.Name)
		}
	}
	says := ""
	if names != nil {
		says = ": it has no " + strings.Join(names, " and no ")
	}
	if a, b := lumens(t), lumens(other); b > 0 && (a < .8*b || a > 1.25*b) {
		says += fmt.Sprintf("; it gives %.0f %% of the light of each of them", 100*a/b)
	}
	return says
}

func lumens(t *rig.Type) float64 {
	sum := 0.0
	for i := range t.Emitters {
		l := &t.Emitters[i].Value.Light
		sum += l.Colour.Y * (l.Low + l.High) / 2
	}
	return sum
}
