package plate

import (
	"fmt"
	"slices"
	"strings"

	"lampblack/room"
)

// Shadows of what comes, goes and moves, and of people, are taken out of a picture's direct light:
//
//	light at a point = what falls on the empty room - share hidden · direct light, lens by lens
//
// Where a shadow's edge runs through a block of pixels that goes evenly without it, the block gets nodes of its own. All
// that is found once for each place at which something stands; levels change nothing of it.

// shadows keeps those that were found.
type shadows struct {
	cellOf []int32 // by column
	one    map[string]*hiding
	key    string // of all together
	all    *hiding
	last   map[string]bool // keys that are in all
	still  map[string]bool // keys that are in base
	base   *hiding         // what stood where it stands for two pictures, to which the rest is added
	left   []float32       // by ray, to add them up; all 0 between
}

// hiding is what is hidden of lenses, of one thing or of all.
type hiding struct {
	rays  []hidden
	cells []hiddenCell
	where map[int32]int // where in cells each is, of several things together
}

// hiddenCell is a cell of the picture that is not all lit.
type hiddenCell struct {
	cell int32
	from []hiddenFrom
	even bool // its corners say enough
}

// hidden is a ray that is not all there; point is below 0, -1 - its number, for what a mirror shows.
type hidden struct {
	ray, point int32
	share      float32
}

// hiddenFrom is how much of one lamp's cell the nodes of a cell of the picture do not see.
type hiddenFrom struct {
	lamp  int32
	in    int         // 1 in the mirror
	share []float32   // by node
	rays  [4][2]int32 // from the lamp to each corner
}

// shadowsOf is what all that is there hides, of what things look like; nil for nothing. Quantities stay those of the room
// that the checks know, in which nothing that moves stands in anybody's light.
func (s *Sight) shadowsOf(t *room.Transport, n *Instant, a room.Aspect) *hiding {
	if !ofLooks(a) || len(s.groups) == 0 {
		return nil
	}
	shades, keys := s.standing(t, n)
	if len(shades) == 0 {
		return nil
	}
	k := &s.shadows
	if key := strings.Join(keys, " "); key != k.key || k.all == nil {
		if k.one == nil || len(k.one) > mostKept {
			k.one = map[string]*hiding{}
		}
		var all []*hiding
		for i, key := range keys {
			if k.one[key] == nil {
				k.one[key] = s.cast(s.transport.Shadow(shades[i]()))
			}
			all = append(all, k.one[key])
		}
		k.add(s, keys, all)
		k.key = key
	}
	return k.all
}

// ofLooks tells whether an aspect is of what things look like.
func ofLooks(a room.Aspect) bool { return a == room.All || a == room.Fluoresce }

// standing lists what stands in the light: things that move, and people, with a key for where each stands.
func (s *Sight) standing(t *room.Transport, n *Instant) (out []func() *room.Shade, keys []string) {
	known := map[string]bool{}
	for i := range t.Panels {
		p := &t.Panels[i]
		if !p.Moves() || p.Back || known[p.Name] || n.Absent != nil && n.Absent[i] {
			continue
		}
		known[p.Name] = true
		keys = append(keys, fmt.Sprintf("%s|%.3f|%.3f|%.3f", p.Name, p.Corner, p.U, p.V))
		out = append(out, func() *room.Shade { return t.Shade(p.Name) })
	}
	for _, one := range s.everybody(t, n) {
		keys = append(keys, fmt.Sprintf("%d|%.2f|%.2f", one.place, one.at, one.foot))
		out = append(out, one.shade)
	}
	return out, keys
}

// cast finds what a shade hides in the picture.
func (s *Sight) cast(by *room.Shadow) *hiding {
	out := &hiding{}
	var lamps []int32
	for i := range s.groups {
		g := &s.groups[i]
		lamps = lamps[:0]
		for _, lamp := range g.of {
			if by.Reaches(lamp, g.at, g.radius) {
				lamps = append(lamps, lamp)
			}
		}
		if len(lamps) == 0 {
			continue
		}
		for k := g.from; k < g.to; k++ {
			if !g.cells {
				out.at(s, by, &s.points[k], k, lamps)
			} else if from := s.castOn(by, &s.cells[k], g.in, lamps); from != nil {
				out.cells = append(out.cells, hiddenCell{cell: k, from: from})
			}
		}
	}
	for i := range s.mirrored {
		if p := &s.mirrored[i].behind; p.panel >= 0 {
			out.at(s, by, p, int32(-1-i), nil)
		}
	}
	return out
}

// at adds the rays that are hidden from a point, of some lamps' cells; nil for all.
func (o *hiding) at(s *Sight, by *room.Shadow, p *point, number int32, lamps []int32) {
	last, share := int32(-1), float32(0)
	for i := p.from; i < p.to; i++ {
		if c := s.shadows.cellOf[s.rays[i].Column]; c != last {
			last, share = c, 0
			if lamps == nil || slices.Contains(lamps, c) {
				share = by.Hides(c, p.at)
			}
		}
		if share > 0 {
			o.rays = append(o.rays, hidden{i, number, share})
		}
	}
}

// nodeStep is how many pixels two nodes are apart: a three hundredth of the width of the picture, or so.
func (s *Sight) nodeStep() int {
	if s.Width <= 800 {
		return 2
	}
	return 4
}

// nodes is how many nodes a cell has across and down.
func (c *cell) nodes(step int) (across, down int) {
	steps := func(n int32) int { return max(1, int(n)/step) }
	return steps(c.x1-c.x0) + 1, steps(c.y1-c.y0) + 1
}

// castOn is what is hidden of some lamps' cells at the nodes of a cell, or in its mirror.
func (s *Sight) castOn(by *room.Shadow, c *cell, in int, lamps []int32) (out []hiddenFrom) {
	if !c.large(s.nodeStep()) {
		return nil
	}
	var corners [4]room.Point
	for k, p := range c.corner {
		q := s.layer(&s.points[p], in)
		if q == nil {
			return nil
		}
		corners[k] = q.at
	}
	middle, radius := ball(corners[:])
	var nodes []room.Point
	for _, lamp := range lamps {
		if !by.Reaches(lamp, middle, radius) {
			continue
		}
		if nodes == nil {
			nodes = c.nodesAt(&corners, s.nodeStep())
		}
		if share := castBy(by, lamp, nodes); share != nil {
			out = append(out, hiddenFrom{lamp: lamp, in: in, share: share})
		}
	}
	return out
}

// nodesAt are where the nodes of a cell are between its corners.
func (c *cell) nodesAt(corners *[4]room.Point, step int) []room.Point {
	across, down := c.nodes(step)
	out := make([]room.Point, across*down)
	for i := range out {
		for k, w := range weightsOf(i, across, down) {
			for j := range out[i] {
				out[i][j] += corners[k][j] * lengthOf(float64(w))
			}
		}
	}
	return out
}

// castBy is what is hidden of one lamp's cell from nodes; nil where nothing is.
func castBy(by *room.Shadow, lamp int32, nodes []room.Point) (share []float32) {
	for i, at := range nodes {
		if h := by.Hides(lamp, at); h > 0 {
			if share == nil {
				share = make([]float32, len(nodes))
			}
			share[i] = h
		}
	}
	return share
}

// weightsOf are those of the four corners at a node.
func weightsOf(i, across, down int) [4]float32 {
	x, y := float32(i%across)/float32(across-1), float32(i/across)/float32(down-1)
	return [4]float32{(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y}
}

// atCorners are the values of the nodes in the corners.
func atCorners(v []float32, across, down int) [4]float32 {
	return [4]float32{v[0], v[across-1], v[across*(down-1)], v[across*down-1]}
}

// goesStraight tells whether the corners say what the nodes are.
func goesStraight(v []float32, across, down int) bool {
	corner := atCorners(v, across, down)
	for i, is := range v {
		want := float32(0)
		for k, w := range weightsOf(i, across, down) {
			want += w * corner[k]
		}
		if d := is - want; max(d, -d) > .05 {
			return false
		}
	}
	return true
}
