package plate

import (
	"math"
	"slices"

	"lampblack/room"
	"lampblack/si"
)

// group is a run of points, or of cells, in a ball.
type group struct {
	from, to int32
	cells    bool
	in       int // 1 for what they show in mirrors
	at       room.Point
	radius   float64
	of       []int32 // cells of lamps that light any of it
}

const (
	groupPoints = 48
	groupCells  = 12
)

// group puts points and cells of the picture together: they were made block by block, so that those that follow one
// another are near one another.
func (s *Sight) group() {
	if s.shadows.cellOf = s.transport.CellOf(); len(s.shadows.cellOf) == 0 {
		return
	}
	for from := 0; from < len(s.points); from += groupPoints {
		to := min(from+groupPoints, len(s.points))
		s.groups = append(s.groups, s.newGroup(from, to, false, s.points[from:to]))
	}
	var corners []point
	for from := 0; from < len(s.cells); from += groupCells {
		to := min(from+groupCells, len(s.cells))
		corners = corners[:0]
		for i := from; i < to; i++ {
			if s.cells[i].large(s.nodeStep()) {
				for _, p := range s.cells[i].corner {
					corners = append(corners, s.points[p])
				}
			}
		}
		for in := range 2 {
			if seen := s.inLayer(corners, in); len(seen) > 0 {
				g := s.newGroup(from, to, true, seen)
				g.in = in
				s.groups = append(s.groups, g)
			}
		}
	}
}

// inLayer are points themselves, or with in as 1 what they show in mirrors.
func (s *Sight) inLayer(points []point, in int) []point {
	if in == 0 {
		return points
	}
	var out []point
	for i := range points {
		if p := s.layer(&points[i], in); p != nil {
			out = append(out, *p)
		}
	}
	return out
}

// layer is a point itself, or what it shows in a mirror; nil for nothing.
func (s *Sight) layer(p *point, in int) *point {
	if in == 0 {
		return p
	}
	if p.mirror < 0 || s.mirrored[p.mirror].behind.panel < 0 {
		return nil
	}
	return &s.mirrored[p.mirror].behind
}

// large tells whether a cell may need nodes between its corners.
func (c *cell) large(step int) bool { return max(c.x1-c.x0, c.y1-c.y0) > int32(step) }

func (s *Sight) newGroup(from, to int, cells bool, points []point) group {
	g := group{from: int32(from), to: int32(to), cells: cells}
	at := make([]room.Point, len(points))
	for i := range points {
		at[i] = points[i].at
		last := int32(-1)
		for _, r := range s.rays[points[i].from:points[i].to] {
			if c := s.shadows.cellOf[r.Column]; c != last {
				last = c
				if !slices.Contains(g.of, c) {
					g.of = append(g.of, c)
				}
			}
		}
	}
	g.at, g.radius = ball(at)
	return g
}

// ball holds points about their mean.
func ball(points []room.Point) (middle room.Point, radius float64) {
	for _, p := range points {
		for i := range p {
			middle[i] += p[i] / lengthOf(float64(len(points)))
		}
	}
	for _, p := range points {
		radius = math.Max(radius, float64(si.Apart(p, middle)))
	}
	return middle, radius
}
