package hang

import (
	"math"

	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// Headroom is what a head needs, in m: 80 in (IBC 1003.3.1, protruding objects).
const Headroom = 2.032

// inReach is how high people reach, in m (ISO 13857 has 2.5 m up to a hazard out of reach, from memory).
const inReach = 2.5

// half is half of a unit's greatest size, in m.
func half(t *rig.Type) float64 {
	return float64(max(t.Size[0], t.Size[1], t.Size[2])) / 2
}

// placed lists the units of which it is known where they are.
func (r *limits) placed() (out []int) {
	for i := range r.Rig().Units {
		if u := &r.Rig().Units[i]; u.Type != nil && u.Hung != nil {
			out = append(out, i)
		}
	}
	return out
}

// overhead tells whether a unit is higher than heads.
func (r *limits) overhead(unit int) bool {
	u := &r.Rig().Units[unit]
	if s := r.Rig().Supports.Get(u.On.Name); s != nil && s.Kind == rig.Bar && u.Hung == nil {
		return s.Height == 0 || s.Height > Headroom
	}
	return u.Hung != nil && float64(u.At[2]) > Headroom
}

// below is Below in the room of the run.
func (r *limits) below(x, y, around float64) string { return Below(r.Room(), x, y, around) }

// Below tells which way or seat is below a point, or so near beside it, in m; "" for none.
func Below(in *room.Room, x, y, around float64) string {
	for i := range in.Paths {
		p := &in.Paths[i]
		if p.Value.From(x, y) < wide(&p.Value)/2+around {
			return "path " + p.Name
		}
	}
	for i := range in.Seats {
		s := &in.Seats[i]
		if math.Hypot(float64(s.At[0])-x, float64(s.At[1])-y) < .4+around {
			return "seat " + s.Name
		}
	}
	return ""
}

// plainWay is taken for the width of a path that says none, in m (common practice, no source).
const plainWay = 1

func wide(p *room.Path) float64 {
	if p.Width > 0 {
		return float64(p.Width)
	}
	return plainWay
}

// heads finds units so low over ways and seats that people meet them.
func (r *limits) heads() {
	for _, i := range r.placed() {
		u := &r.Rig().Units[i]
		low := float64(u.At[2]) - half(u.Type)
		over := r.below(float64(u.At[0]), float64(u.At[1]), half(u.Type))
		if over == "" || low >= Headroom || low < .5*Headroom || r.stands(u) {
			continue // what stands in the way is told as that
		}
		f := finding.Finding{ID: "hang-head", Severity: finding.Warn, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Value: low, Limit: Headroom, Unit: "m",
			Source: "IBC 1003.3.1 (model code; local codes differ): 80 in below what hangs over a way",
			Says:   finding.Say("unit %s hangs %s over %s", u.Name.Name, si.Of(low, "m"), over),
			Cure:   finding.Say("hang it higher or beside, or pad and mark it")}
		f.Margin = (low - Headroom) / Headroom
		r.Add(f.At(u.Name.Pos))
	}
}

// sitting is how high eyes are, in m, from which on people stand: 1.2 m is usual for chairs (common practice, no
// source). Children are left out, who stand no higher.
const sitting = 1.35

// seats finds people who sit on a way.
func (r *limits) seats() {
	for i := range r.Room().Seats {
		s := &r.Room().Seats[i]
		if s.Child || float64(s.At[2]) > sitting {
			continue
		}
		for k := range r.Room().Paths {
			p := &r.Room().Paths[k]
			if d := p.Value.From(float64(s.At[0]), float64(s.At[1])); d < wide(&p.Value)/2 {
				r.Add(finding.Finding{ID: "hang-way", Severity: finding.Warn, Place: "seat " + s.Name, Value: d, Limit: wide(&p.Value) / 2, Unit: "m",
					Margin: -1, Source: "the room's own paths; model codes keep ways clear over their whole width",
					Says: finding.Say("seat %s is on path %s, %s from its middle", s.Name, p.Name, si.Of(d, "m")),
					Cure: finding.Say("move the seats out of the way, or lead the path around them")}.At(s.Pos))
			}
		}
	}
}

func (r *limits) stands(u *rig.Unit) bool {
	s := r.Rig().Supports.Get(u.On.Name)
	return s != nil && s.Standing()
}

// ways finds stands, and units near the floor, where people walk.
func (r *limits) ways() {
	told := map[string]bool{}
	for _, i := range r.placed() {
		u := &r.Rig().Units[i]
		around, what, at := half(u.Type), "unit "+u.Name.Name, u.Name.Pos
		x, y := float64(u.At[0]), float64(u.At[1])
		s := r.Rig().Supports.Get(u.On.Name)
		switch {
		case s != nil && s.Standing():
			around, what, at = max(around, float64(s.Base)/2), string(s.Kind)+" "+u.On.Name, s.Pos
			if s.At != nil {
				x, y = float64(s.At[0]), float64(s.At[1])
			}
		case float64(u.At[2])-half(u.Type) > .5*Headroom:
			continue // overhead, or on a wall
		}
		for k := range r.Room().Paths {
			p := &r.Room().Paths[k]
			if d := p.Value.From(x, y); d < wide(&p.Value)/2+around && !told[what+p.Name] {
				told[what+p.Name] = true
				severity, free := finding.Warn, wide(&p.Value)/2+d-around
				if free < room.NarrowestWay {
					severity = finding.Stop
				}
				r.Add(finding.Finding{ID: "hang-way", Severity: severity, Place: what, Units: []string{u.Name.Name}, Value: max(free, 0), Limit: wide(&p.Value), Unit: "m",
					Margin: -1, Source: "the room's own paths; model codes keep ways clear over their whole width",
					Says: finding.Say("%s stands in path %s, and leaves %s of its width free", what, p.Name, si.Of(max(free, 0), "m")),
					Cure: finding.Say("move it out of the way, or lead the path around it")}.At(at))
			}
		}
	}
}
