package desk

import (
	"errors"
	"slices"

	"lampblack/rig"
)

// Off is a unit to switch off at the mains for this desk.
type Off struct {
	Unit string
	Why  OffCause
	// Feeds lists the units in use that take their power through it.
	Feeds []string
}

// OffCause says why the desk has nothing for a unit.
type OffCause int8

// Why a unit is off: the show never lights it; the desk's slots do not reach so
// far; or it listens to a universe that the desk does not feed.
const (
	NeverLit OffCause = iota
	NoSlots
	OtherUniverse
)

func (w OffCause) String() string {
	switch w {
	case NoSlots:
		return "the desk has no slots left for it"
	case OtherUniverse:
		return "it is in a universe that the desk does not feed"
	}
	return "the show does not light it"
}

// switchOff takes out of the rig whatever the desk has nothing for: units that
// stayed where they are would follow slots that are meant for others. With a
// free patch a unit none of whose slots is patched gets zeros; it is off when
// that leaves it dark, and otherwise meant to be lit so.
func (s *sharing) switchOff() {
	patched := map[int]bool{}
	for _, slot := range s.Slots {
		for _, a := range slot.Addresses {
			patched[a] = true
		}
	}
	for i := range s.units {
		u := &s.units[i]
		used := s.stand[u.unit] == 0
		for n := range u.footprint {
			used = used || patched[s.stand[u.unit]+n]
		}
		if !used && s.dark(u) {
			s.stand[u.unit] = 0
		}
	}
	for i := range s.rig.Units {
		if s.stand[i] == 0 {
			s.Off = append(s.Off, Off{Unit: s.rig.Units[i].Name.Name, Why: s.why(i), Feeds: s.fedThrough(i)})
		}
	}
}

// dark tells whether a unit gives no light when all its slots are at zero.
func (s *sharing) dark(u *unitDecoder) bool {
	levels := make([]float32, len(s.rig.Drives))
	u.light(levels, make([]byte, u.footprint), true)
	return !slices.ContainsFunc(levels, func(l float32) bool { return l > 0 })
}

// why says why a unit has no slots. Never lit comes first, as then nothing is lost.
func (s *sharing) why(unit int) OffCause {
	first, last := s.rig.UnitDrives(unit)
	lit := func(levels []float32) bool {
		return slices.ContainsFunc(levels[first:last], func(l float32) bool { return l > 0 })
	}
	switch {
	case !slices.ContainsFunc(s.need.states, func(st state) bool { return lit(st.levels) }):
		return NeverLit
	case s.rig.Units[unit].Universe != s.Desk.universe():
		return OtherUniverse
	}
	return NoSlots
}

// fedThrough lists the units in use whose power comes through a unit. Only those that
// plug into it straight: what lies behind a unit that is off as well is told there.
func (s *sharing) fedThrough(unit int) []string {
	var out []string
	for i := range s.rig.Units {
		if u := &s.rig.Units[i]; s.stand[i] > 0 && u.FedBy.Name == s.rig.Units[unit].Name.Name {
			out = append(out, u.Name.Name)
		}
	}
	return out
}

// look works out what the audience sees of every scene through the desk: what
// leaves it is decoded by every unit in its own mode where it stands.
func (s *sharing) look() error {
	for i := range s.Scenes {
		scene := &s.Scenes[i]
		levels, ok := s.lit(s.decoder, scene.Values, scene.flash)
		if !ok {
			return errors.New("a scene would drive a unit where it must not be")
		}
		scene.shown, scene.sight = levels, s.eye.see(levels)
	}
	return nil
}

// line returns the universe that leaves a desk whose slots stand at the values.
func (p *Plan) line(values []byte) *[512]byte {
	var out [512]byte
	for _, s := range p.Slots {
		for _, a := range s.Addresses {
			out[a-1] = values[s.Number-1]
		}
	}
	return &out
}

// lit returns the light of the rig for values of the desk's slots; ok is false
// when a unit does what nobody asked for.
func (p *Plan) lit(d *decoder, values []byte, flash []float32) (levels []float32, ok bool) {
	universe := p.line(values)
	levels = make([]float32, len(p.Show.Rig.Drives))
	ok = true
	for i := range d.units {
		u := &d.units[i]
		if at := p.stand[u.unit]; at > 0 {
			fine := u.light(levels, universe[at-1:], flash[u.unit] > 0)
			ok = ok && fine
		}
	}
	return levels, ok
}

// standing returns the rig as it stands at this desk: units at their addresses,
// without the mode of those that are off.
func (p *Plan) standing() *rig.Rig {
	r := *p.Show.Rig
	r.Units = slices.Clone(r.Units)
	for i := range r.Units {
		if r.Units[i].Address = p.stand[i]; p.stand[i] == 0 {
			r.Units[i].Mode = nil
		}
	}
	return &r
}
