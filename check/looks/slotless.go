package looks

import (
	"slices"
	"strings"
	"time"

	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/score"
	"lampblack/source"
)

// slotless finds units that are asked by name for an emitter which they have, and which no slot of
// their mode drives: they stay without it, whatever the desk does. Of units of one kind all are told
// in one finding.
func (r *limits) slotless(look int, from, to time.Duration, cues []string) {
	l := &r.Show.Looks[look]
	parts := r.Show.Score.Parts(l.Name)
	for i := range parts {
		p := &parts[i]
		for _, e := range p.Emitters {
			if e.Value <= 0 {
				continue
			}
			units, all := r.without(p, e.Name)
			if units == nil {
				continue
			}
			u := &r.Rig().Units[r.Rig().Index(units[0])]
			f := finding.Finding{ID: "slot-none", Severity: finding.Warn, Place: finding.Thing("look", l.Name), Value: float64(len(units)), Unit: "units", Units: units, Cues: cues,
				Source: "the fixture type's slot table",
				Says:   finding.Say("look %s asks %s for %s, and mode %s of type %s has no slot for it: they stay without", l.Name, source.First(units, 6), e.Name, source.Quote(u.ModeName.Name), source.Quote(u.TypeName.Name)),
				Cure:   finding.Say("%s", instead(u, e.Name))}
			if all {
				f.Severity = finding.Stop
				f.Says = f.Says.And("; nothing else of this part has it either")
			}
			r.Add(f.At(e.Pos).During(from, to))
		}
	}
}

// without lists the units of a part that have an emitter and no slot for it, and tells whether none
// of the part's units can give it.
func (r *limits) without(p *score.Part, emitter string) (units []string, all bool) {
	all = true
	for _, i := range r.Show.UnitsOf(p) {
		u := &r.Rig().Units[i]
		if u.Type.Emitters.Index(emitter) < 0 {
			continue
		}
		if slices.ContainsFunc(u.Mode.Slots, func(s rig.Slot) bool { return s.Drives == emitter }) {
			all = false
			continue
		}
		units = append(units, u.Name.Name)
	}
	return units, all && units != nil
}

// instead says in which modes the unit has such a slot.
func instead(u *rig.Unit, emitter string) string {
	var modes []string
	for _, m := range u.Type.Modes {
		if slices.ContainsFunc(m.Value.Slots, func(s rig.Slot) bool { return s.Drives == emitter }) {
			modes = append(modes, m.Name)
		}
	}
	if modes == nil {
		return "no mode of the type has a slot for it: look into its manual again, or leave it out"
	}
	return "set the units, and mode: in rig.yaml, to " + strings.Join(modes, " or ")
}
