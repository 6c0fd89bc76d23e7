package check

import (
	"math"

	"lampblack/check/flash"
	"lampblack/room"
)

// fieldHalf is half of a 10 degree field.
const fieldHalf = 5 * math.Pi / 180

// eyeItem is one thing in an eye's sight that may flash.
type eyeItem struct {
	direction [3]float64
	radius    float64 // of a disc of its solid angle, radians
	piece     int     // index in scene.pieces, or -1
	unit      int     // of a lens, or -1
}

// sight is what one eye sees of the scene.
type sight struct {
	items []eyeItem
}

// sightOf lists what eye e (an index in Transport.Eyes) sees that may flash.
func (r *report) sightOf(s *scene, e int) *sight {
	tr := r.show.Transport
	out := &sight{}
	eye := tr.Places[tr.Eyes[e]].At
	for i := range s.pieces {
		p := &s.pieces[i]
		if !p.everFlashes() {
			continue
		}
		solid := 0.0
		for _, place := range p.places {
			solid += float64(tr.Solid[e][place])
		}
		if solid > 1e-7 {
			out.items = append(out.items, eyeItem{toward(eye, p.at), discRadius(solid), i, -1})
		}
	}
	for i := range tr.Views {
		v := &tr.Views[i]
		if v.Eye != e || !s.lensFlashes(v.Unit) {
			continue
		}
		if solid := r.lensSolid(v); solid > 1e-7 {
			u := &r.show.Rig.Units[v.Unit]
			at := [3]float64{float64(u.At[0]), float64(u.At[1]), float64(u.At[2])}
			out.items = append(out.items, eyeItem{toward(eye, at), discRadius(solid), -1, v.Unit})
		}
	}
	return out
}

func (p *scenePiece) everFlashes() bool {
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

func (s *scene) lensFlashes(unit int) bool {
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

func discRadius(solid float64) float64 {
	return math.Acos(max(-1, 1-solid/(2*math.Pi)))
}

// lensSolid is the solid angle of a unit's openings that an eye sees: the
// front face of the unit, seen at a slant.
func (r *report) lensSolid(v *room.View) float64 {
	u := &r.show.Rig.Units[v.Unit]
	if u.Type == nil || v.Distance <= 0 {
		return 0
	}
	face := float64(u.Type.Size[0]) * float64(u.Type.Size[1]) * float64(len(v.Cells)) / float64(u.Type.CellCount())
	eye := r.show.Transport.Places[r.show.Transport.Eyes[v.Eye]].At
	cos, axis, back := 0.0, 0.0, 0.0
	for k := range eye {
		a, b := float64(u.Aim[k]-u.At[k]), float64(eye[k]-u.At[k])
		cos += a * b
		axis += a * a
		back += b * b
	}
	if axis == 0 || back == 0 {
		return 0
	}
	return face * max(cos/math.Sqrt(axis*back), .01) / back
}

func angle(a, b [3]float64) float64 {
	return math.Acos(min(1, max(-1, a[0]*b[0]+a[1]*b[1]+a[2]*b[2])))
}

// overlap is the solid angle that two discs on the sphere share, by the
// formula for circles in a plane: they are small.
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

// centres are directions to look in: at every item, no two nearer than a
// fifth of the field.
func (s *sight) centres() [][3]float64 {
	var out [][3]float64
	for _, item := range s.items {
		near := false
		for _, c := range out {
			if angle(c, item.direction) < 2*fieldHalf/5 {
				near = true
				break
			}
		}
		if !near {
			out = append(out, item.direction)
		}
	}
	return out
}

// kind chooses which flashes are counted.
type kind int

const (
	generalBT kind = iota
	generalWCAG
	redWCAG
)

// worst returns the worst second of the eye in any field, and the area of
// what flashes in it.
func (s *sight) worst(sc *scene, k kind) (best flash.Window, area float64) {
	for _, centre := range s.centres() {
		w := s.field(sc, centre, k)
		if w.Count <= best.Count {
			continue
		}
		best, area = w, 0
		for _, e := range w.Events {
			area = max(area, e.Area)
		}
		for _, t := range w.Trains {
			area = max(area, s.trainArea(sc, centre, k, t.Source))
		}
	}
	return best, area
}

// areaLimit is a quarter of the field, 0.006 sr (WCAG 2.2).
const areaLimit = flash.FieldSize / 4

func (s *sight) field(sc *scene, centre [3]float64, k kind) flash.Window {
	var spots []flash.Spot
	areas := make([]float64, len(sc.kinds))
	for i := range s.items {
		item := &s.items[i]
		shared := overlap(item.radius, fieldHalf, angle(centre, item.direction))
		if shared <= 0 {
			continue
		}
		spots = append(spots, flash.Spot{Area: shared, Flashes: sc.flashesOf(item, k)})
		for kind, t := range sc.kinds {
			if sc.blinks(item, t, k) {
				areas[kind] += shared
			}
		}
	}
	return flash.Count(spots, sc.counted(areas), areaLimit)
}

// trainArea is the area that a train (an index in scene.trains) makes flash.
func (s *sight) trainArea(sc *scene, centre [3]float64, k kind, t int) float64 {
	sum := 0.0
	for i := range s.items {
		if item := &s.items[i]; sc.blinks(item, t, k) {
			sum += overlap(item.radius, fieldHalf, angle(centre, item.direction))
		}
	}
	return sum
}

func (sc *scene) flashesOf(item *eyeItem, k kind) []flash.Flash {
	switch {
	case item.piece < 0 && k == redWCAG:
		return nil
	case item.piece < 0:
		return sc.lenses[item.unit].flashes
	case k == redWCAG:
		return sc.pieces[item.piece].red
	case k == generalWCAG:
		return sc.pieces[item.piece].wcag
	}
	return sc.pieces[item.piece].general
}

// blinks tells whether train t makes the item flash.
func (sc *scene) blinks(item *eyeItem, t int, k kind) bool {
	if item.piece >= 0 {
		b := sc.pieces[item.piece].blinks[sc.trains[t].kind]
		return k == redWCAG && b.red || k != redWCAG && b.general
	}
	if k == redWCAG {
		return false
	}
	tr := &sc.trains[t]
	for _, u := range tr.units {
		if u == item.unit {
			return sc.lenses[u].lit(tr.first, tr.last)
		}
	}
	return false
}

// lit tells whether the lens gives a tenth of its light at any of the corners.
func (l *lens) lit(first, last int) bool {
	for v := first; v <= last; v++ {
		if l.output[v] >= float32(relative.Step) {
			return true
		}
	}
	return false
}

// counted returns the trains whose kind has an area that is large enough. A joint train stands
// for those of its span that are too small alone, and counts when all are.
func (sc *scene) counted(areas []float64) []flash.Train {
	var out []flash.Train
	strong := -1 // first corner of the last span with a train that counts alone
	for t := range sc.trains {
		tr := &sc.trains[t]
		if areas[tr.kind] <= areaLimit || tr.joint && tr.first == strong {
			continue
		}
		strong = tr.first
		one := tr.Train
		one.Source = t
		out = append(out, one)
	}
	return out
}
