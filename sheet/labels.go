package sheet

import (
	"context"
	"fmt"
	"strings"

	"lampblack/sheet/typeset"
	"lampblack/web/page"
)

// unitLabels has one label for each unit, to be read in the dark.
func unitLabels(_ context.Context, s *Subject) ([]typeset.Block, error) {
	r := s.Show.Rig
	l := &typeset.Labels{Stock: s.Stock}
	for i := range r.Units {
		u := &r.Units[i]
		lines := []string{fmt.Sprintf("%d: %s", u.Universe, slotsOf(u)), modeName(u) + ", " + typeName(u)}
		var where []string
		for _, more := range []string{named("system", strings.Join(u.Systems, ", ")), named("line", u.Line.Name), named("circuit", page.Feeder(r, i))} {
			if more != "" {
				where = append(where, more)
			}
		}
		lines = append(lines, strings.Join(where, ", "))
		l.List = append(l.List, typeset.Label{Big: u.Name.Name, Lines: lines})
	}
	return []typeset.Block{l}, nil
}

func named(what, name string) string {
	if name == "" {
		return ""
	}
	return what + " " + name
}

// cableLabels has two labels for each cable, one for each end, which say where the other end is.
func cableLabels(_ context.Context, s *Subject) ([]typeset.Block, error) {
	r := s.Show.Rig
	l := &typeset.Labels{Stock: s.Stock}
	for _, list := range [][]cable{dataCables(r), supplyCables(r)} {
		for _, c := range list {
			about := strings.Trim(optional(c.length, "%g m")+", "+c.about, ", ")
			l.List = append(l.List,
				typeset.Label{Big: c.name, Lines: []string{"this end: " + c.from, "→ " + c.to, about}},
				typeset.Label{Big: c.name, Lines: []string{"this end: " + c.to, "→ " + c.from, about}})
		}
	}
	return []typeset.Block{l}, nil
}
