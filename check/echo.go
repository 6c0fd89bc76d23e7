package check

import (
	"slices"
	"strings"

	"lampblack/check/finding"
	"lampblack/play/line"
	"lampblack/show"
	"lampblack/source"
)

var echoTells = finding.Tells{"trigger-own": "a trigger that listens to what this show sends"}

// echoes finds triggers, and inputs of an alarm, that listen to a universe which this show sends by the same
// protocol: its own light sets them off, or, where another sends it too, two fight for every lamp on it.
func echoes(s *show.Show, t *show.Triggers, all *finding.Report) {
	tell := func(what, name string, l line.Trigger, pos source.Pos) {
		if l.Kind != "e131" || !sends(s, int(l.Universe)) {
			return
		}
		f := finding.Finding{ID: "trigger-own", Severity: finding.Warn, Place: finding.Thing(what, name), Source: "common practice, no source",
			Says: finding.Say("%s %s listens to slot %d of universe %d, which this show sends itself", what, name, l.Slot, l.Universe),
			Cure: finding.Say("listen to a universe of the other desk's own")}
		if u := unitOn(s, int(l.Universe), l.Slot); u != "" {
			f.Units = []string{u}
			f.Says = f.Says.And(": there is unit %s, whose light sets it off", u)
		}
		all.Add(f.At(pos))
	}
	if t != nil {
		for i := range t.Triggers {
			if l, ok := t.Triggers[i].Value.From(); ok {
				tell("trigger", t.Triggers[i].Name, l, t.Triggers[i].Value.Source.Pos)
			}
		}
	}
	for i := range s.Bill.Alarms {
		if l, ok := s.Bill.Alarms[i].Value.From(); ok {
			tell("alarm input", s.Bill.Alarms[i].Name, l, s.Bill.Alarms[i].Value.Source.Pos)
		}
	}
}

// sends tells whether the show sends a universe by ANSI E1.31.
func sends(s *show.Show, universe int) bool {
	if !slices.Contains(s.Rig.Universes(), universe) {
		return false
	}
	return slices.ContainsFunc(s.Bill.Outputs, func(o show.Output) bool {
		return strings.HasPrefix(o.To, "e131") && (len(o.Universes) == 0 || slices.Contains(o.Universes, universe))
	})
}

// unitOn is the unit that has a slot; "" for none.
func unitOn(s *show.Show, universe, slot int) string {
	for i := range s.Rig.Units {
		u := &s.Rig.Units[i]
		if u.Universe == universe && u.Mode != nil && slot >= u.Address && slot < u.Address+u.Mode.Footprint {
			return u.Name.Name
		}
	}
	return ""
}
