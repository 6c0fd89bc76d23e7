package show

import (
	"slices"

	"lampblack/score"
	"lampblack/source"
)

// awaited is a trigger that something waits for.
type awaited struct {
	source.Pos
	name string
}

// awaits lists the triggers that the folder's orders and pieces wait for.
func (f *Files) awaits() []awaited {
	var out []awaited
	add := func(pos source.Pos, u score.Until) {
		if u.Trigger != "" {
			out = append(out, awaited{pos, u.Trigger})
		}
	}
	waits := func(s *score.Score) {
		if s == nil {
			return
		}
		for i := range s.Waits {
			add(s.Waits[i].Pos, s.Waits[i].Until)
		}
	}
	order := func(o *Order) {
		if o == nil {
			return
		}
		for i := range o.Steps {
			add(o.Steps[i].Pos, o.Steps[i].Until)
			waits(o.Steps[i].score)
		}
	}
	waits(f.Score)
	order(f.Order)
	if f.Zones != nil {
		for _, e := range f.Zones.Zones {
			if e.Value != nil && e.Value.order != f.Order {
				order(e.Value.order)
			}
		}
	}
	return out
}

// checkAwaited holds what waits to triggers that are there, and tells of triggers that
// nothing waits for.
func (f *Files) checkAwaited(faults *source.Faults) {
	var names []string
	known := map[string]bool{}
	if f.Triggers != nil {
		names = source.Names(f.Triggers.Triggers)
		for _, e := range f.Triggers.Inside { // their ways in and out are listened to
			known[e.Value.Enters.Name], known[e.Value.Leaves.Name] = true, true
		}
	}
	for _, a := range f.awaits() {
		known[a.name] = true
		switch {
		case slices.Contains(names, a.name):
		case f.Triggers == nil:
			faults.Add(a.Pos, TriggersFile+" says what each trigger listens to: triggers: {"+a.name+": {source: page}}", "the trigger %q is waited for, and there is no %s", a.name, TriggersFile)
		default:
			faults.Add(a.Pos, source.OneOf(a.name, names), "there is no trigger %q", a.name)
		}
	}
	if f.Triggers == nil {
		return
	}
	for i := range f.Triggers.Triggers {
		if e := &f.Triggers.Triggers[i]; !known[e.Name] {
			faults.Note(e.Pos, "name it where something waits: until: trigger "+e.Name, "nothing waits for the trigger %q", e.Name)
		}
	}
}
