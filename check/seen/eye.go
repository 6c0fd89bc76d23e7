package seen

import (
	"math"

	"lampblack/check/flash"
	"lampblack/room"
)

// fieldHalf is half of a 10 degree field, the part of a screen's picture that WCAG 2.2
// counts in; the fovea and what lies around it.
const fieldHalf = 5 * math.Pi / 180

// eyeItem is one thing in an eye's sight that may flash. A piece is taken for a disc of
// the same solid angle around its middle: the shares of a field of 10 degrees are what
// counts, and pieces are small beside it.
type eyeItem struct {
	direction [3]float64
	radius    float64 // of a disc of its solid angle, radians
	piece     int     // index in Scene.pieces, or -1
	unit      int     // of a lens, or -1
}

// sight is what one eye sees of the scene. It is made once for each eye, and read by
// all counts.
type sight struct {
	items []eyeItem
}

// sightOf lists what eye e (an index in Transport.Eyes) sees that may flash. Items of
// less than 1e-7 sr are left out: a quarter of the field is 60 000 times as much. So
// are lenses that never look brighter than the least step that counts. What flashes
// nowhere is no item, which is what makes the search cheap.
func (s *Scene) sightOf(e int) *sight {
	tr := s.eyes.transport
	out := &sight{}
	for i := range s.pieces {
		if s.pieces[i].everFlashes() {
			out.addPiece(s, e, i)
		}
	}
	for _, v := range tr.Lenses() {
		if v.Eye == e && s.lensFlashes(v.Unit) {
			out.addLens(s, v)
		}
	}
	return out
}

// addPiece adds a piece as the eye sees it.
func (o *sight) addPiece(s *Scene, e, i int) {
	tr := s.eyes.transport
	p := &s.pieces[i]
	solid := 0.0
	for _, place := range p.places {
		solid += float64(tr.Solid[e][place])
	}
	if solid > 1e-7 {
		eye := tr.Places[tr.Eyes[e]].At
		o.items = append(o.items, eyeItem{toward(eye, p.at), discRadius(solid), i, -1})
	}
}

// addLens adds the lens of a view, straight or in a mirror, if it is ever bright enough.
func (o *sight) addLens(s *Scene, v *room.View) {
	tr := s.eyes.transport
	if float64(tr.LensMost(v, s.top)) < flash.BT.Step {
		return
	}
	if solid := s.eyes.lensSolid(v); solid > 1e-7 {
		o.items = append(o.items, eyeItem{tr.LensToward(v), discRadius(solid), -1, v.Unit})
	}
}

// everFlashes tells whether any eye need look at the piece. What WCAG counts BT counts
// too, so that need not be asked.
func (p *piece) everFlashes() bool {
	if len(p.general) > 0 || len(p.red) > 0 {
		return true
	}
	for _, b := range p.blinks {
		if b.general || b.red {
			return true
		}
	}
	return false
}

// lensFlashes tells whether a unit flashes at all, by its levels or by itself. A joint
// train is made of trains of single units, so those are enough.
func (s *Scene) lensFlashes(unit int) bool {
	if len(s.lenses[unit].flashes) > 0 {
		return true
	}
	for i := range s.trains {
		if !s.trains[i].joint && s.trains[i].Source == unit {
			return true
		}
	}
	return false
}

// toward is the direction from the eye to a point, of length 1; a point in the eye has
// none, and gives a vector near 0.
func toward(eye room.Point, p [3]float64) [3]float64 {
	var d [3]float64
	sum := 0.0
	for k := range d {
		d[k] = p[k] - float64(eye[k])
		sum += d[k] * d[k]
	}
	length := max(math.Sqrt(sum), 1e-9)
	for k := range d {
		d[k] /= length
	}
	return d
}

// discRadius is the half angle of the cap that has a solid angle. A cap of half angle r
// has the solid angle 2π(1 - cos r).
func discRadius(solid float64) float64 {
	return math.Acos(max(-1, 1-solid/(2*math.Pi)))
}

func angle(a, b [3]float64) float64 {
	return math.Acos(min(1, max(-1, a[0]*b[0]+a[1]*b[1]+a[2]*b[2])))
}

// overlap is the solid angle that two discs on the sphere share, by the formula for
// circles in a plane: they are small. The area of a lens of two circles (any handbook
// of geometry), in square radians taken for steradians: at 5 degrees the two differ by
// less than a hundredth. Where one disc lies inside the other, its own cap is the
// whole.
func overlap(r1, r2, apart float64) float64 {
	if apart >= r1+r2 {
		return 0
	}
	small := min(r1, r2)
	if apart <= math.Abs(r1-r2) {
		return 2 * math.Pi * (1 - math.Cos(small))
	}
	a := (apart*apart + r1*r1 - r2*r2) / (2 * apart * r1)
	b := (apart*apart + r2*r2 - r1*r1) / (2 * apart * r2)
	a, b = min(1, max(-1, a)), min(1, max(-1, b))
	k := (-apart + r1 + r2) * (apart + r1 - r2) * (apart - r1 + r2) * (apart + r1 + r2)
	return r1*r1*math.Acos(a) + r2*r2*math.Acos(b) - math.Sqrt(max(0, k))/2
}
