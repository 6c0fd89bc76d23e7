package seen

import "math"

// lookout is a field, or what stands for several.
type lookout struct {
	parts []part
}

// seat is where in a lookout something is.
type seat struct {
	field int
	part  int
}

const (
	// mostHeads is for how many eyes lookouts are made: those of all others that are near one
	// of these are taken in by its lookouts.
	mostHeads = 8
	// near is how far apart two things are at most, seen from the eye, around which one lookout
	// is: more makes fewer of them, which hold more.
	near = 4 * math.Pi / 180
	// least is the area from on which a flash counts in a lookout: what the rules say, and a
	// thousandth less for rounding.
	least = .999 * areaLimit
)

// lookOut makes the fields, so that each field that any eye of a [Scene] may look into, around
// something or beside it, lies in one of them: it has all parts of it, each with as much area at
// least. What would count there counts here, too.
func (c *Counter) lookOut(pieces []piece, full []float32) {
	s := &Scene{eyes: c.eyes, pieces: pieces, top: full}
	clusters := c.eyes.clusters(mostHeads)
	covers := make([]cover, len(clusters))
	each(len(clusters), func(i int) {
		covers[i] = newCover(len(pieces), len(c.eyes.rig.Units))
		for _, e := range clusters[i] {
			covers[i].take(s.viewOf(e))
		}
	})
	c.seats = make([][]seat, len(pieces)+len(c.eyes.rig.Units))
	for i := range covers {
		for _, areas := range covers[i].areas {
			c.addField(areas)
		}
	}
}

// addField adds a lookout, if there may ever be enough in it.
func (c *Counter) addField(areas []float32) {
	var l lookout
	sum := float32(0)
	for i, a := range areas {
		if a > 0 {
			l.parts = append(l.parts, part{i, a})
			sum += a
		}
	}
	if sum <= least {
		return
	}
	for i, p := range l.parts {
		c.seats[p.index] = append(c.seats[p.index], seat{len(c.fields), i})
	}
	c.fields = append(c.fields, l)
}

// viewOf is all that an eye sees, whether it flashes or not.
func (s *Scene) viewOf(e int) *sight {
	out := &sight{}
	for i := range s.pieces {
		out.addPiece(s, e, i)
	}
	for _, v := range s.eyes.transport.Lenses() {
		if v.Eye == e {
			out.addLens(s, v)
		}
	}
	return out
}

// cover is the lookouts of eyes that are near one another. Each stands for the fields around
// some things that are near one another, its members, and beside them.
type cover struct {
	pieces   int
	of       []int // by index of a part: which lookout it is a member of, or -1
	founders []int // by lookout: its first member
	areas    [][]float32
}

func newCover(pieces, units int) cover {
	c := cover{pieces: pieces, of: make([]int, pieces+units)}
	for i := range c.of {
		c.of[i] = -1
	}
	return c
}

func (c *cover) index(item *eyeItem) int {
	if item.piece < 0 {
		return c.pieces + item.unit
	}
	return item.piece
}

// take takes in what one more eye may see in a field.
func (c *cover) take(view *sight) {
	c.assign(view)
	const beside = 2*fieldHalf/3 + .001 // as centres has it
	reach := make([]float64, len(view.items))
	for j := range view.items {
		reach[j] = math.Cos(min(math.Pi, view.items[j].radius+fieldHalf+beside))
	}
	seen := make([]float32, len(c.of)) // in one field: a lens may be in it straight and in mirrors
	for i := range view.items {
		from := &view.items[i]
		areas := c.areas[c.of[c.index(from)]]
		clear(seen)
		for j := range view.items {
			to := &view.items[j]
			a, b := &from.direction, &to.direction
			if a[0]*b[0]+a[1]*b[1]+a[2]*b[2] <= reach[j] {
				continue
			}
			at := c.index(to)
			seen[at] += float32(1.001 * overlap(to.radius, fieldHalf, max(0, angle(*a, *b)-beside)))
			areas[at] = max(areas[at], seen[at])
		}
	}
}

// assign finds a lookout for whatever has none yet.
func (c *cover) assign(view *sight) {
	type founder struct {
		lookout   int
		direction *[3]float64
	}
	var founders []founder
	founds := map[int]int{}
	for l, f := range c.founders {
		founds[f] = l
	}
	for i := range view.items {
		if l, ok := founds[c.index(&view.items[i])]; ok {
			founders = append(founders, founder{l, &view.items[i].direction})
		}
	}
	for i := range view.items {
		item := &view.items[i]
		of := &c.of[c.index(item)]
		for k := 0; k < len(founders) && *of < 0; k++ {
			if angle(item.direction, *founders[k].direction) < near {
				*of = founders[k].lookout
			}
		}
		if *of < 0 {
			*of = len(c.areas)
			founders = append(founders, founder{*of, &item.direction})
			c.founders = append(c.founders, c.index(item))
			c.areas = append(c.areas, make([]float32, len(c.of)))
		}
	}
}

// clusters picks eyes that are as far from one another as can be, and puts every other to the
// nearest of them. Eyes are indexes in Transport.Eyes.
func (e *Eyes) clusters(most int) [][]int {
	var out [][]int
	eyes := e.transport.Eyes
	nearest, of := make([]float64, len(eyes)), make([]int, len(eyes))
	for i := range nearest {
		nearest[i] = math.Inf(1)
	}
	for len(out) < min(most, len(eyes)) {
		head := 0
		for i := range eyes {
			if nearest[i] > nearest[head] {
				head = i
			}
		}
		if nearest[head] == 0 {
			break // all others are where one of them is
		}
		for i := range eyes {
			if d := e.between(i, head); d < nearest[i] {
				nearest[i], of[i] = d, len(out)
			}
		}
		out = append(out, []int{head})
	}
	for i := range eyes {
		if k := of[i]; out[k][0] != i {
			out[k] = append(out[k], i)
		}
	}
	return out
}

// between is the square of the distance of two eyes.
func (e *Eyes) between(i, k int) (sum float64) {
	a, b := e.transport.Places[e.transport.Eyes[i]].At, e.transport.Places[e.transport.Eyes[k]].At
	for n := range a {
		sum += float64(a[n]-b[n]) * float64(a[n]-b[n])
	}
	return sum
}
