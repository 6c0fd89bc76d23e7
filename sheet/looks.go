package sheet

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"lampblack/light"
	"lampblack/sheet/typeset"
	"lampblack/show"
	"lampblack/web/page"
)

// mostFallback is how many looks a deputy can hold in a small desk's handles (common practice, no source).
const mostFallback = 8

// fallback is the looks that the show stands in longest, as slots to set by hand on any desk.
func fallback(_ context.Context, sub *Subject) ([]typeset.Block, error) {
	out := []typeset.Block{words("For a small desk, or any that holds so many scenes, when the computer is gone: store these, in this order, and try each. All slots that are not named are at 0. A desk in per cent: divide by 2.55."),
		boxed("The first is the light that people leave by. It is no emergency lighting, which works without any desk.")}
	s := sub.Show
	f := s.NewFrame()
	clear(f.Levels)
	clear(f.Flash)
	s.LightsUp(f, 1)
	out = append(out, setting(s, f, "1  Lights up"))
	for n, i := range longest(sub, mostFallback-1) {
		l := &s.Looks[i.look]
		copy(f.Levels, l.Given())
		copy(f.Flash, l.Flash)
		purpose := ""
		if p := s.Score.Looks.Get(l.Name); p != nil && p.Purpose != "" {
			purpose = ": " + p.Purpose
		}
		out = append(out, setting(s, f, fmt.Sprintf("%d  %s%s (stands %s in all)", n+2, l.Name, purpose, clockTo(i.stands, 0))))
	}
	return out, nil
}

// stands is a look and for how long it does.
type stands struct {
	look   int
	stands time.Duration
	first  time.Duration
}

// longest are the looks that stand longest, in the order in which they come first; lights up apart, which is there anyway.
func longest(sub *Subject, most int) []stands {
	s := sub.Show
	by := map[string]*stands{}
	for _, run := range sub.Runs {
		before := -1
		note := func(until time.Duration) {
			if before < 0 {
				return
			}
			c := &run.Show.Cues[before]
			name := lookOf(run.Show, c)
			i := s.IndexLook(name)
			if l := s.Score.Looks.Get(name); i < 0 || l != nil && l.Purpose == show.LightsUpPurpose {
				return
			}
			if by[name] == nil {
				by[name] = &stands{look: i, first: c.Start}
			}
			by[name].stands += until - c.Start
		}
		for i := range run.Show.Cues {
			if c := &run.Show.Cues[i]; !c.Bump() {
				note(c.Start)
				before = i
			}
		}
		note(run.Show.Length)
	}
	var out []stands
	for _, v := range by {
		out = append(out, *v)
	}
	slices.SortFunc(out, func(a, b stands) int { return cmp.Or(-cmp.Compare(a.stands, b.stands), cmp.Compare(a.look, b.look)) })
	out = out[:min(len(out), most)]
	slices.SortFunc(out, func(a, b stands) int { return cmp.Or(cmp.Compare(a.first, b.first), cmp.Compare(a.look, b.look)) })
	return out
}

// setting is the slots that are not at 0, unit by unit.
func setting(s *show.Show, f *show.Frame, name string) *typeset.Table {
	s.Encode(f)
	t := &typeset.Table{Name: name, Columns: []typeset.Column{{Head: "Unit", Bold: true}, {Head: "Universe", Right: true}, {Head: "Slot at value", Grow: true}}}
	for i := range s.Rig.Units {
		u := &s.Rig.Units[i]
		var set []string
		for k := range f.Universes {
			if f.Universes[k].Number != u.Universe {
				continue
			}
			for n := max(u.Address, 1); n <= min(last(u), universeSlots); n++ {
				if v := f.Universes[k].Slots[n-1]; v > 0 {
					set = append(set, fmt.Sprintf("%s at %d", strong(fmt.Sprint(n)), v))
				}
			}
		}
		if len(set) > 0 {
			t.Rows = append(t.Rows, row(u.Name.Name, fmt.Sprint(u.Universe), strings.Join(set, ", ")))
		}
	}
	return t
}

// matchTable is what every type of unit is set to for each colour that looks ask for, to be put right by
// eye on a white card.
func matchTable(ctx context.Context, sub *Subject) ([]typeset.Block, error) {
	s := sub.Show
	t := &typeset.Table{Ruled: true, Columns: []typeset.Column{{Head: "Colour", Bold: true}, {Head: "Look"}, {Head: "Type"}, {Head: "Unit"}, {Head: "Slots"}, {Head: "Off by", Right: true}, {Head: "Matched by eye", Least: 16}}}
	f := s.NewFrame()
	seen := map[string]bool{}
	for _, m := range asked(s) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		key := m.colour + "\x00" + typeName(&s.Rig.Units[m.unit])
		if seen[key] {
			continue
		}
		seen[key] = true
		l := &s.Looks[m.look]
		copy(f.Levels, l.Given())
		clear(f.Flash)
		s.EncodePassing(f)
		u := &s.Rig.Units[m.unit]
		t.Rows = append(t.Rows, row(m.colour+inWords(m.colour), l.Name, typeName(u), u.Name.Name, emitterSlots(s, m.unit, f), m.miss, ""))
	}
	return []typeset.Block{
		words("Choose the unit of reference. A white card at one distance from all; match brightness first, then hue, at the level that will be used. Unlike lamps make one colour of unlike numbers: these are computed. “Off by” is the difference that is left (CIEDE2000, lightness aside): 1 is just seen side by side, more than 5 is seen by everybody (common practice, no source)."),
		t}, nil
}

// mix is a colour that a part of a look asks of a unit.
type mix struct {
	colour     string
	look, unit int
	miss       string
}

// asked lists the colours with the first unit of each type, those of one colour together.
func asked(s *show.Show) []mix {
	var out []mix
	for i := range s.Looks {
		parts := s.Score.Parts(s.Looks[i].Name)
		misses := map[string]float64{}
		for _, a := range s.Asked(i) {
			misses[a.Text] = max(misses[a.Text], a.Miss)
		}
		for k := range parts {
			p := &parts[k]
			if p.Colour == nil {
				continue
			}
			types := map[string]bool{}
			for _, u := range s.UnitsOf(p) {
				if name := typeName(&s.Rig.Units[u]); !types[name] && s.Rig.Units[u].Mode != nil {
					types[name] = true
					m := mix{colour: p.Colour.Text, look: i, unit: u}
					if v, ok := misses[m.colour]; ok {
						m.miss = fmt.Sprintf("%.1f", v)
					}
					out = append(out, m)
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b mix) int { return cmp.Compare(a.colour, b.colour) })
	return out
}

// inWords is the chromaticity of a colour, for who has a meter.
func inWords(text string) string {
	c, err := light.ParseColour(text)
	if err != nil {
		return ""
	}
	return fmt.Sprintf(" (x %.3f y %.3f)", c.XY.X, c.XY.Y)
}

// emitterSlots is what the slots of a unit's emitters are at.
func emitterSlots(s *show.Show, unit int, f *show.Frame) string {
	u := &s.Rig.Units[unit]
	var out []string
	for k := range f.Universes {
		if f.Universes[k].Number != u.Universe {
			continue
		}
		for i := range u.Mode.Slots {
			sl := &u.Mode.Slots[i]
			n := u.Address + sl.Coarse - 1
			if sl.Drives == "" && len(sl.Dims) == 0 || sl.Cell > 1 || n < 1 || n > universeSlots {
				continue
			}
			name := sl.Drives
			if name == "" {
				name = "master"
			}
			out = append(out, fmt.Sprintf("%s %d", name, f.Universes[k].Slots[n-1]))
		}
	}
	return strings.Join(out, ", ")
}

// looksInWords is what each look is to be, for who builds it again elsewhere.
func looksInWords(_ context.Context, sub *Subject) ([]typeset.Block, error) {
	s := sub.Show
	t := &typeset.Table{Columns: []typeset.Column{{Head: "Look", Bold: true}, {Head: "Purpose"}, {Head: "What it asks for", Grow: true}, {Head: "Not met"}}}
	for i := range s.Score.Looks {
		name := s.Score.Looks[i].Name
		var not []string
		for k := range s.Looks {
			if s.Looks[k].Name == name {
				for _, m := range s.Looks[k].Misses {
					not = append(not, m.Text)
				}
			}
		}
		slices.Sort(not)
		t.Rows = append(t.Rows, row(name, s.Score.Looks[i].Value.Purpose, strings.Join(page.Asks(s.Score, name), "\n"), strings.Join(slices.Compact(not), "\n")))
	}
	return []typeset.Block{t}, nil
}
