package positions

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"lampblack/check/hang"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// aims are points to aim at, of what a unit's looks ask for: the middle, and of what is large points between
// that and its edges.
func (g *ground) aims(names []string) (out []room.Point, of []string) {
	for _, name := range names {
		q := g.targets[name]
		if q == nil {
			continue
		}
		across, up := []float64{.5}, []float64{.5}
		if q.Width > 1.2 {
			across = []float64{.5, .25, .75}
		}
		if q.Height > 1.2 {
			up = []float64{.5, .3, .7}
		}
		for _, a := range across {
			for _, b := range up {
				out, of = append(out, on(q, a, b)), append(of, name)
			}
		}
		for _, pose := range g.poses[name] {
			out, of = append(out, room.Point{rounded(pose.At[0]), rounded(pose.At[1]), rounded(pose.At[2])}), append(of, name)
		}
	}
	return out, of
}

// on is a point of a panel, by shares of its width and height.
func on(q *room.Panel, across, up float64) (p room.Point) {
	for i := range p {
		p[i] = rounded(q.Corner[i] + q.U[i]*si.Length(across*q.Width) + q.V[i]*si.Length(up*q.Height))
	}
	return p
}

// aside is how far beside a thing its lamp may aim, in m.
const aside = .3

// near tells whether an aim lies on a panel, where it is or moves, or not far beside it.
func (g *ground) near(q *room.Panel, p room.Point) bool {
	for _, pose := range g.poses[q.Name] {
		if float64(si.Apart(pose.At, p)) < max(q.Width, q.Height)/2+aside {
			return true
		}
	}
	x, y := along(q, p)
	return x > -aside && y > -aside && x < q.Width+aside && y < q.Height+aside
}

// along is where a point lies on a panel, or before it: across and up from its corner, in m.
func along(q *room.Panel, p room.Point) (x, y float64) {
	for i := range p {
		d := float64(p[i] - q.Corner[i])
		x, y = x+d*float64(q.U[i]), y+d*float64(q.V[i])
	}
	return x, y
}

// faces tells whether a point is before the face of a panel.
func faces(q *room.Panel, p room.Point) bool {
	sum := si.Length(0)
	for i := range p {
		sum += (p[i] - q.Corner[i]) * q.Normal[i]
	}
	return sum > .05
}

// promise is how much light a lamp at a place would bring to a point of a panel, as if nothing stood between.
func promise(q *room.Panel, at, point room.Point) float64 {
	square, along := 0.0, 0.0
	for i := range at {
		d := float64(at[i] - point[i])
		square += d * d
		along += d * float64(q.Normal[i])
	}
	return along / math.Pow(max(square, .3), 1.5)
}

// candidates draws so many places and aims for a unit, of which half promise most and half are any.
func (g *ground) candidates(r *rand.Rand, u *rig.Unit, names []string, many int) []Spot {
	aims, of := g.aims(names)
	if len(aims) == 0 {
		return nil
	}
	type scored struct {
		Spot
		worth float64
	}
	var all []scored
	for try := 0; try < 60*many && len(all) < 4*many; try++ {
		s, ok := g.draw(r, u)
		if !ok {
			return nil
		}
		if u.Hung != nil {
			s = Spot{On: onOf(g.rig, u), Support: u.On.Name, At: u.At, place: -1}
		}
		g.clamp(&s, u)
		k := r.IntN(len(aims))
		if s.Aim, s.Target = aims[k], of[k]; u.Aimed != nil {
			s.Aim, s.Target = u.Aim, ""
		}
		q := g.targets[of[k]]
		if !faces(q, s.At) || u.Hung == nil && !g.may(&s, u) || !g.sees(&s, u) {
			continue
		}
		all = append(all, scored{s, promise(q, s.At, s.Aim)})
		if u.Hung != nil && len(all) > len(aims)*3 {
			break
		}
	}
	best := slices.Clone(all)
	slices.SortStableFunc(best, func(a, b scored) int { return cmp.Compare(b.worth, a.worth) })
	var out []Spot
	for i := 0; len(out) < many && i < len(all); i++ {
		for _, s := range []Spot{best[i].Spot, all[i].Spot} {
			if len(out) < many && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// onOf is what a unit of the files is on.
func onOf(r *rig.Rig, u *rig.Unit) string {
	if s := r.Supports.Get(u.On.Name); s != nil {
		return string(s.Kind)
	}
	switch z := float64(u.At[2]); {
	case z < .6:
		return "floor"
	case z > hang.Headroom+.3:
		return "bar"
	}
	return "stand"
}
