package positions

import (
	"math"

	"lampblack/check/hang"
	"lampblack/rig"
	"lampblack/room"
)

// may tells whether a unit may be at a place, by what the room says of people and things. In fact the checks
// have the last word; their own rules are taken where they have any.
func (g *ground) may(s *Spot, u *rig.Unit) bool {
	x, y, z := float64(s.At[0]), float64(s.At[1]), float64(s.At[2])
	body := half(u.Type)
	around := body
	if s.On == "stand" || s.On == "tree" {
		around = max(body, feet)
		if e := g.rig.Supports.Get(s.Support); e != nil {
			around = max(body, float64(e.Base)/2)
		}
	}
	overhead := s.On == "bar" && z-body >= hang.Headroom
	if !overhead && hang.Below(g.room, x, y, around+.05) != "" {
		return false
	}
	if s.On != "bar" {
		if q := &g.seating; x > q[0] && x < q[1] && y > q[2] && y < q[3] {
			return false
		}
		for _, p := range g.crowd {
			if math.Hypot(float64(p[0])-x, float64(p[1])-y) < people {
				return false
			}
		}
		for _, line := range g.sights {
			if blocks(line, x, y, z+body) {
				return false
			}
		}
	}
	return g.clear(s, u, body)
}

// blocks tells whether what stands at a point, so high, is in a line of sight.
func blocks(line [2]room.Point, x, y, top float64) bool {
	ax, ay, az := float64(line[0][0]), float64(line[0][1]), float64(line[0][2])
	dx, dy, dz := float64(line[1][0])-ax, float64(line[1][1])-ay, float64(line[1][2])-az
	l := dx*dx + dy*dy
	if l == 0 {
		return false
	}
	t := ((x-ax)*dx + (y-ay)*dy) / l
	if t < 0 || t > 1 {
		return false
	}
	return math.Hypot(ax+t*dx-x, ay+t*dy-y) < sight && az+t*dz < top+.05
}

// clear tells whether the unit's body is clear of all that stands in the room, by the maker's distance from
// what burns.
func (g *ground) clear(s *Spot, u *rig.Unit, body float64) bool {
	for i := range g.t.Panels {
		q := &g.t.Panels[i]
		far := hang.From(q, s.At)
		least := body + .02
		switch {
		case q.Kind == room.KindWall:
			least = body // it may be fixed close to one
			if q.Name == room.FloorName {
				continue
			}
		case g.burns[q.Name]:
			least = max(least, float64(u.Type.Clear)+body+.01)
		}
		if q.Kind == room.KindWall && u.Type.Clear == 0 {
			continue
		}
		if float64(q.Normal[2]) > .9 && float64(q.Corner[2]) < .05 { // what lies on the floor is stood on
			continue
		}
		if far < least {
			return false
		}
	}
	return !g.inside(s.At)
}

func (g *ground) inside(p room.Point) bool {
	for i := range g.room.Boxes {
		b := &g.room.Boxes[i].Value
		in := true
		for k := range p {
			in = in && math.Abs(float64(p[k]-b.Centre[k])) <= float64(b.Size[k])/2
		}
		if in {
			return true
		}
	}
	for i := range g.room.Pillars {
		q := &g.room.Pillars[i].Value
		if math.Hypot(float64(p[0]-q.Foot[0]), float64(p[1]-q.Foot[1])) <= float64(q.Across)/2+.05 && p[2] <= q.Foot[2]+q.Height {
			return true
		}
	}
	return false
}

// sees tells whether a unit may aim so: what it lights is not nearer than its maker wants.
func (g *ground) sees(s *Spot, u *rig.Unit) bool {
	var way room.Point
	far := 0.0
	for i := range way {
		way[i] = s.Aim[i] - s.At[i]
		far += float64(way[i] * way[i])
	}
	if far < .04 {
		return false
	}
	l, ok := g.t.Trace(s.At, way)
	least := float64(u.Type.Lit)
	if !s.Kept {
		least = max(least, leastThrow)
	}
	return ok && l.Distance >= least && math.Sqrt(far) >= least
}

// meet tells whether two units are in each other's way.
func (g *ground) meet(a, b *Spot, ta, tb *rig.Type) bool {
	dx, dy, dz := float64(a.At[0]-b.At[0]), float64(a.At[1]-b.At[1]), float64(a.At[2]-b.At[2])
	flat := math.Hypot(dx, dy)
	bodies := half(ta) + half(tb)
	switch {
	case a.On == "bar" && b.On == "bar" || a.On == "tree" && a.Support == b.Support:
		return math.Hypot(flat, dz) < bodies+.1
	case a.On == "stand" && b.On == "stand":
		return a.Support != "" && a.Support == b.Support || flat < 2*feet
	case a.Kept && b.Kept:
		return false
	}
	return math.Hypot(flat, dz) < bodies+.1 || flat < bodies+.2 && a.On != "bar" && b.On != "bar"
}
