package flash

import (
	"math"
	"time"
)

// chroma is one state of a spot as the red rule sees it.
type chroma struct {
	at   time.Duration
	u, v float64
	red  bool
}

// RedFlashes returns the flashes of a spot that go to or from a saturated
// red. Dark states have the chromaticity of the veil, D65.
func RedFlashes(r *Rule, times []time.Duration, colours []Colour) []Flash {
	if r.Ratio <= 0 {
		return nil
	}
	found := false
	for _, c := range colours {
		if r.Saturated(c) {
			found = true
			break
		}
	}
	if !found {
		return nil
	}
	return pair(redEdges(r, times, colours))
}

// White point D65 (CIE 015:2018) with Y = 1.
const whiteX, whiteZ = .95047, 1.08883

func (r *Rule) veiled(c Colour) (x, y, z float64) {
	return float64(c.X) + r.Veil*whiteX, float64(c.Y) + r.Veil, float64(c.Z) + r.Veil*whiteZ
}

// Saturated tells whether R/(R+G+B) reaches the ratio, in linear light of the
// primaries of ITU-R BT.709; what they cannot show is cut to them.
func (r *Rule) Saturated(c Colour) bool {
	red, green, blue := bt709(r.veiled(c))
	red, green, blue = max(0, red), max(0, green), max(0, blue)
	return red > 0 && red >= r.Ratio*(red+green+blue)
}

// bt709 is linear light of the primaries of ITU-R BT.709.
func bt709(x, y, z float64) (red, green, blue float64) {
	return 3.2404542*x - 1.5371385*y - .4985314*z, -.9692660*x + 1.8760108*y + .0415560*z, .0556434*x - .2040259*y + 1.0572252*z
}

func (r *Rule) chroma(at time.Duration, c Colour) chroma {
	x, y, z := r.veiled(c)
	sum := x + 15*y + 3*z
	if sum <= 0 {
		return chroma{at, .1978, .4683, false}
	}
	return chroma{at, 4 * x / sum, 9 * y / sum, r.Saturated(c)}
}

// Reddens tells whether a change between two colours counts as red.
func (r *Rule) Reddens(a, b Colour) bool {
	x, y := r.chroma(0, a), r.chroma(0, b)
	return (x.red || y.red) && math.Hypot(x.u-y.u, x.v-y.v) > r.Distance
}

// redness is how much of light is in what a saturated red has and no other colour: 0 in the
// dark and at the edge of those reds, above it in them, below it in all else. It is linear in
// light, so half of a fade is half of its way, however bright the place.
func (r *Rule) redness(c Colour) float32 {
	x, y, z := float64(c.X), float64(c.Y), float64(c.Z)
	red, green, blue := bt709(x, y, z)
	return float32((1-r.Ratio)*red - r.Ratio*(green+blue))
}

// redEdges walks through the states. A change is found when the present state
// is farther than Distance from any state since the last change and one of
// the two is a saturated red; the next must go the other way. It is dated, as others are,
// at the instant at which it is half done.
func redEdges(r *Rule, times []time.Duration, colours []Colour) []edge {
	var out []edge
	since := visited{few: fewStates}
	w := newWay()
	redness := make([]float32, len(colours))
	for i, c := range colours {
		redness[i] = r.redness(c)
		now := r.chroma(times[i], c)
		from, direction, ok := since.far(now, r.Distance, w.direction)
		since.add(now)
		if ok {
			if n := len(out); n > 0 {
				out[n-1].at = w.half(times, redness, out[n-1].at)
			}
			out = append(out, edge{at: middle(&from, &now), up: direction > 0,
				low: min(from.u, now.u), high: max(from.u, now.u)})
			w.turn(direction)
			since.forget()
			since.add(now)
		}
		w.see(i, redness[i])
	}
	if n := len(out); n > 0 {
		out[n-1].at = w.half(times, redness, out[n-1].at)
	}
	return out
}

// way is the last change that was found: its direction, and from which extreme of redness to
// which it goes.
type way struct {
	direction int // 0 none yet, 1 toward red, -1 away
	least     extreme
	most      extreme
	from, to  extreme
}

// extreme is the last of equal ones.
type extreme struct {
	value float32
	index int
}

func newWay() way {
	none := float32(math.Inf(1))
	return way{least: extreme{none, -1}, most: extreme{-none, -1}}
}

// see takes the redness of the next state.
func (w *way) see(i int, redness float32) {
	if redness <= w.least.value {
		w.least = extreme{redness, i}
	}
	if redness >= w.most.value {
		w.most = extreme{redness, i}
	}
	if w.to = w.most; w.direction < 0 {
		w.to = w.least
	}
}

// turn begins the change that was found: it comes from the extreme before it. The state by
// which it was found is seen next.
func (w *way) turn(direction int) {
	if w.from = w.least; direction < 0 {
		w.from = w.most
	}
	fresh := newWay()
	w.direction, w.least, w.most = direction, fresh.least, fresh.most
}

// tells tells whether redness goes the way of the change.
func (w *way) tells() bool {
	if w.from.index < 0 || w.to.index <= w.from.index {
		return false
	}
	return w.direction > 0 == (w.to.value > w.from.value)
}

// half is when the change is half done; where redness does not tell, as between two reds,
// when it was found.
func (w *way) half(times []time.Duration, redness []float32, found time.Duration) time.Duration {
	if !w.tells() {
		return found
	}
	return change(times, redness, w.from.index, w.to.index).at
}

func middle(from, to *chroma) time.Duration { return from.at + (to.at-from.at)/2 }

// visited holds the states since the last change; beyond a few, only those
// that are farthest in some direction, since no other can be farthest from
// anything.
type visited struct {
	few    int
	states []chroma
	boxes  [2]box // around those that are no red, and those that are
}

// box is what states lie in, a little larger or as large as need be.
type box struct {
	some                     bool
	lowU, highU, lowV, highV float64
}

func (b *box) add(c *chroma) {
	if !b.some {
		*b = box{true, c.u, c.u, c.v, c.v}
		return
	}
	b.lowU, b.highU = min(b.lowU, c.u), max(b.highU, c.u)
	b.lowV, b.highV = min(b.lowV, c.v), max(b.highV, c.v)
}

// beyond tells whether anything in the box may be farther than a distance.
func (b *box) beyond(c *chroma, distance float64) bool {
	if !b.some {
		return false
	}
	u, v := max(c.u-b.lowU, b.highU-c.u), max(c.v-b.lowV, b.highV-c.v)
	return u*u+v*v > distance*distance*(1-1e-9)
}

const fewStates = 128

func (s *visited) add(c chroma) {
	if n := len(s.states); n > 0 {
		if l := &s.states[n-1]; l.u == c.u && l.v == c.v && l.red == c.red {
			l.at = c.at
			return
		}
	}
	s.states = append(s.states, c)
	if c.red {
		s.boxes[1].add(&c)
	} else {
		s.boxes[0].add(&c)
	}
	if len(s.states) > s.few {
		s.thin()
	}
}

// forget begins anew, in the same memory.
func (s *visited) forget() { s.states, s.boxes = s.states[:0], [2]box{} }

// directions are those in which the farthest states are kept.
const directions = 24

// compass has cos and sin of each direction.
var compass = func() (c [directions][2]float64) {
	for d := range c {
		sin, cos := math.Sincos(float64(d) * 2 * math.Pi / directions)
		c[d] = [2]float64{cos, sin}
	}
	return c
}()

func (s *visited) thin() {
	var keep [2 * directions]int
	for i := range keep {
		keep[i] = -1
	}
	var farthest [2 * directions]float64
	for i := range s.states {
		c, from := &s.states[i], 0
		if c.red {
			from = directions
		}
		for d := range compass {
			along := c.u*compass[d][0] + c.v*compass[d][1]
			if slot := from + d; keep[slot] < 0 || along >= farthest[slot] {
				keep[slot], farthest[slot] = i, along
			}
		}
	}
	kept := s.states[:0]
	for i, c := range s.states {
		for _, k := range keep {
			if k == i {
				kept = append(kept, c)
				break
			}
		}
	}
	s.states = kept
}

// far finds the latest state that now differs from enough, in the direction
// opposite to the last change.
func (s *visited) far(now chroma, distance float64, last int) (from chroma, direction int, ok bool) {
	if !s.boxes[1].beyond(&now, distance) && !(now.red && s.boxes[0].beyond(&now, distance)) {
		return chroma{}, 0, false
	}
	for i := len(s.states) - 1; i >= 0; i-- {
		c := s.states[i]
		if !(now.red || c.red) || math.Hypot(now.u-c.u, now.v-c.v) <= distance {
			continue
		}
		direction = -1
		if now.red && !c.red || now.red == c.red && now.u > c.u {
			direction = 1
		}
		if direction != last {
			return c, direction, true
		}
	}
	return chroma{}, 0, false
}
