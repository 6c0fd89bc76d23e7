package hang

import (
	"math"
	"regexp"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// flammable are words of materials that burn.
var flammable = regexp.MustCompile(`(?i)\b(cloth|velvet|curtain|drape|paper|card|cardboard|carpet|wood|timber|felt|fabric|foam|straw)\b`)

// Burns tells what of the room may burn, by name: what its material or its own name says, and all that is painted.
func Burns(in *room.Room) map[string]bool {
	out := map[string]bool{}
	for i := range in.Surfaces {
		s := &in.Surfaces[i]
		out[s.Name] = flammable.MatchString(s.Value.Material.Name + " " + s.Name)
	}
	for i := range in.Boxes {
		b := &in.Boxes[i]
		out[b.Name] = flammable.MatchString(b.Value.Material.Name + " " + b.Name)
	}
	for i := range in.Objects {
		out[in.Objects[i].Name] = true
	}
	return out
}

// burning holds the distances that makers ask for against what the room has.
func (r *limits) burning() {
	list := Burns(r.Room())
	for _, i := range r.placed() {
		u := &r.Rig().Units[i]
		if limit := float64(u.Type.Clear); limit > 0 {
			r.beside(u, list, limit)
			r.under(u, limit)
		}
		if limit := float64(u.Type.Lit); limit > 0 && u.Aimed != nil {
			r.before(u, limit)
		}
	}
}

// beside tells of the nearest thing that burns beside a housing.
func (r *limits) beside(u *rig.Unit, burns map[string]bool, limit float64) {
	best, near := math.Inf(1), ""
	for i := range r.Transport().Panels {
		p := &r.Transport().Panels[i]
		if !burns[p.Name] {
			continue
		}
		if d := math.Max(0, From(p, u.At)-half(u.Type)); d < best {
			best, near = d, p.Name
		}
	}
	if best < limit {
		r.nearer("burn-things", u, best, limit, finding.Say("unit %s is %s from %s, which may burn", u.Name.Name, si.Of(best, "m"), near))
	}
}

// under tells of a ceiling that burns, over a housing whose heat rises to it. Floors are left out: lamps that stand
// on boards stand on feet.
func (r *limits) under(u *rig.Unit, limit float64) {
	if !flammable.MatchString(r.Room().Ceiling.Name) {
		return
	}
	for i := range r.Transport().Panels {
		p := &r.Transport().Panels[i]
		if p.Name != room.CeilingName {
			continue
		}
		slim := float64(min(u.Type.Size[0], u.Type.Size[1], u.Type.Size[2])) / 2 // however it hangs
		if d := math.Max(0, From(p, u.At)-slim); d < limit-1e-6 {
			f := finding.Finding{ID: "burn-things", Severity: finding.Warn, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Value: d, Limit: limit, Unit: "m",
				Margin: (d - limit) / limit, Source: "the maker's least distance, in the type's file",
				Says: finding.Say("unit %s hangs %s under the ceiling, which is %s and may burn", u.Name.Name, si.Of(d, "m"), r.Room().Ceiling.Name),
				Cure: finding.Say("hang it lower, or use one that stays cooler")}
			r.Add(f.At(u.Name.Pos))
			return
		}
	}
}

// From is the distance of a point from a panel, taken as its whole rectangle, in m.
func From(p *room.Panel, at room.Point) float64 {
	along := func(way room.Point) (sum float64) {
		for i := range at {
			sum += float64((at[i] - p.Corner[i]) * way[i])
		}
		return sum
	}
	x, y := along(p.U), along(p.V)
	return math.Hypot(math.Hypot(x-min(max(x, 0), p.Width), y-min(max(y, 0), p.Height)), along(p.Normal))
}

// before tells of what a lamp lights from too near, by the middle of its beam.
func (r *limits) before(u *rig.Unit, limit float64) {
	var way room.Point
	for i := range way {
		way[i] = u.Aim[i] - u.At[i]
	}
	l, ok := r.Transport().Trace(u.At, way)
	if ok && l.Distance < limit {
		r.nearer("burn-lit", u, l.Distance, limit, finding.Say("unit %s lights %s from %s", u.Name.Name, r.Transport().Panels[l.Panel].Name, si.Of(l.Distance, "m")))
	}
}

// nearer tells of a distance that is less than a maker's.
func (r *limits) nearer(id string, u *rig.Unit, is, limit float64, says finding.Words) {
	r.Add(finding.Finding{ID: id, Severity: finding.Stop, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Value: is, Limit: limit, Unit: "m",
		Margin: (is - limit) / limit, Source: "the maker's least distance, in the type's file", Says: says,
		Cure: finding.Say("move it away, or use one that stays cooler")}.At(u.Name.Pos))
}

// hotToTouch is the temperature of a housing, in K, from which touching it burns: 60 °C, bare metal for about
// five seconds, and children let go late (EN ISO 13732-1, from memory).
const hotToTouch = 273.15 + 60

// touched finds hot housings in reach of ways and seats.
func (r *limits) touched() {
	for _, i := range r.placed() {
		u := &r.Rig().Units[i]
		hot := float64(u.Type.Hot)
		near := r.below(float64(u.At[0]), float64(u.At[1]), half(u.Type)+.8)
		if hot < hotToTouch || near == "" || float64(u.At[2])-half(u.Type) > inReach {
			continue
		}
		f := finding.Finding{ID: "burn-touch", Severity: finding.Warn, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Value: hot - 273.15, Limit: hotToTouch - 273.15, Unit: "°C",
			Source: "EN ISO 13732-1 (from memory): burns by touching metal for some seconds; children let go late",
			Says:   finding.Say("the housing of unit %s gets %s hot, in reach from %s", u.Name.Name, si.Of(hot-273.15, "°C"), near),
			Cure:   finding.Say("hang it higher, put a guard around it, or keep people away")}
		r.Add(f.At(u.Name.Pos))
	}
}

// rainproof is the second figure of an IP code from which a housing may be in rain: splashing water from all
// sides (IEC 60529).
const rainproof = 4

// wet finds units outdoors whose housing keeps out no water.
func (r *limits) wet() {
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		switch {
		case !u.Outside || u.Type == nil:
		case u.Type.Shelter == nil || u.Type.Shelter.Water < 0:
			r.Lack(subject.Shelters, []string{u.Type.ID}, "wet-housing")
		case u.Type.Shelter.Water < rainproof:
			r.Add(finding.Finding{ID: "wet-housing", Severity: finding.Stop, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Value: float64(u.Type.Shelter.Water), Limit: rainproof, Unit: "",
				Source: "IEC 60529: the second figure of the IP code, 4 is splashing water from all sides",
				Says:   finding.Say("unit %s is outdoors, and its housing keeps out no splashing water (IPX%d; IPX4 is the least)", u.Name.Name, u.Type.Shelter.Water),
				Cure:   finding.Say("use one with IPX4 or better and keep its plugs dry, or bring it under a roof")}.At(u.Name.Pos))
		}
	}
}
