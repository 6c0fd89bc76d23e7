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

// thing is a flat thing with where it is.
type thing struct {
	name, of      string // of what it is
	centre        [3]float64
	across, up    [3]float64 // unit vectors
	width, height float64
	normal        [3]float64
	burns         bool
}

// burns are materials that do.
var burns = regexp.MustCompile(`(?i)\b(cloth|velvet|curtain|drape|paper|card|cardboard|carpet|wood|timber|felt|fabric|foam|straw)\b`)

// things lists surfaces and objects of the room.
func (r *limits) things() (out []thing) {
	for i := range r.Room().Surfaces {
		s := &r.Room().Surfaces[i]
		of := s.Value.Material.Name
		out = append(out, flat(s.Name, of, s.Value.Centre, s.Value.Faces, s.Value.Width, s.Value.Height, burns.MatchString(of+" "+s.Name)))
	}
	for i := range r.Room().Objects {
		o := &r.Room().Objects[i]
		out = append(out, flat(o.Name, "painted", o.Value.Centre, o.Value.Faces, o.Value.Width, o.Value.Height, true))
	}
	for i := range r.Room().Boxes {
		b := &r.Room().Boxes[i]
		burning := burns.MatchString(b.Value.Material.Name + " " + b.Name)
		for axis := range 3 {
			for _, side := range []si.Length{-1, 1} {
				centre, faces := b.Value.Centre, room.Point{}
				centre[axis] += side * b.Value.Size[axis] / 2
				faces[axis] = side
				width, height := b.Value.Size[0], b.Value.Size[2]
				switch axis {
				case 0:
					width = b.Value.Size[1]
				case 2:
					height = b.Value.Size[1]
				}
				out = append(out, flat(b.Name, b.Value.Material.Name, centre, faces, width, height, burning))
			}
		}
	}
	return out
}

func flat(name, of string, centre, faces room.Point, width, height si.Length, burning bool) thing {
	t := thing{name: name, of: of, width: float64(width), height: float64(height), burns: burning}
	for i := range t.centre {
		t.centre[i], t.normal[i] = float64(centre[i]), float64(faces[i])
	}
	t.normal = unit(t.normal)
	t.across = unit(cross([3]float64{0, 0, 1}, t.normal))
	if t.across == [3]float64{} { // it lies flat
		t.across = [3]float64{1, 0, 0}
	}
	t.up = cross(t.normal, t.across)
	return t
}

// from is the distance of a point from a thing, in m.
func (t *thing) from(p [3]float64) float64 {
	d := minus(p, t.centre)
	x, y, z := dot(d, t.across), dot(d, t.up), dot(d, t.normal)
	x = math.Max(0, math.Abs(x)-t.width/2)
	y = math.Max(0, math.Abs(y)-t.height/2)
	return math.Sqrt(x*x + y*y + z*z)
}

// along is how far it is from a point in a direction to a thing, +Inf where it is not met.
func (t *thing) along(p, way [3]float64) float64 {
	down := dot(way, t.normal)
	if down == 0 {
		return math.Inf(1)
	}
	l := dot(minus(t.centre, p), t.normal) / down
	hit := minus([3]float64{p[0] + l*way[0], p[1] + l*way[1], p[2] + l*way[2]}, t.centre)
	if l <= 0 || math.Abs(dot(hit, t.across)) > t.width/2 || math.Abs(dot(hit, t.up)) > t.height/2 {
		return math.Inf(1)
	}
	return l
}

// burning holds the distances that makers ask for against what the room has.
func (r *limits) burning() {
	list := r.things()
	for _, i := range r.placed() {
		u := &r.Rig().Units[i]
		p := [3]float64{float64(u.At[0]), float64(u.At[1]), float64(u.At[2])}
		if limit := float64(u.Type.Clear); limit > 0 {
			r.beside(u, p, list, limit)
		}
		if limit := float64(u.Type.Lit); limit > 0 && u.Aimed != nil {
			r.before(u, p, list, limit)
		}
	}
}

// beside tells of the nearest thing that burns beside a housing.
func (r *limits) beside(u *rig.Unit, p [3]float64, list []thing, limit float64) {
	best, near := math.Inf(1), -1
	for k := range list {
		if d := math.Max(0, list[k].from(p)-half(u.Type)); list[k].burns && d < best {
			best, near = d, k
		}
	}
	if best >= limit {
		return
	}
	r.nearer("burn-things", u, best, limit, finding.Say("unit %s is %s from %s, which may burn", u.Name.Name, si.Of(best, "m"), list[near].name))
}

// before tells of what a lamp lights from too near, by the middle of its beam.
func (r *limits) before(u *rig.Unit, p [3]float64, list []thing, limit float64) {
	way := unit(minus([3]float64{float64(u.Aim[0]), float64(u.Aim[1]), float64(u.Aim[2])}, p))
	best, near := math.Inf(1), ""
	for k := range list {
		if d := list[k].along(p, way); d < best {
			best, near = d, list[k].name
		}
	}
	if best >= limit {
		return
	}
	r.nearer("burn-lit", u, best, limit, finding.Say("unit %s lights %s from %s", u.Name.Name, near, si.Of(best, "m")))
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

func minus(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func dot(a, b [3]float64) float64      { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func unit(a [3]float64) [3]float64 {
	l := math.Sqrt(dot(a, a))
	if l == 0 {
		return a
	}
	return [3]float64{a[0] / l, a[1] / l, a[2] / l}
}
