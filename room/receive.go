package room

import (
	"math"
)

// receive lists the places at which light is computed, in this order: patches of the panels,
// seats, performers, and points along the paths.
func (s *solving) receive() {
	s.receivers = s.shell.receivers()
	var cut clipper
	for i := range s.receivers {
		rec := &s.receivers[i]
		p := &s.shell.panels[rec.panel]
		rec.area, rec.bare, rec.partly = p.uncovered(&rec.patch, &cut)
		s.t.Places = append(s.t.Places, Place{
			Name: p.Name, Kind: p.Kind, At: rec.at.point(), Normal: p.n.point(), Panel: rec.panel,
			Area: rec.area,
		})
	}
	for i := range s.room.Seats {
		s.eye(&s.room.Seats[i], KindSeat, s.room.stageMiddle())
	}
	for i := range s.room.People {
		s.eye(&s.room.People[i], KindPerson, s.room.audienceMiddle())
	}
	for i := range s.room.Paths {
		for _, p := range s.room.Paths[i].Value.walk() {
			s.point(Place{Name: s.room.Paths[i].Name, Kind: KindPath, At: p.point(), Normal: Point{0, 0, 1}})
		}
	}
}

// eye adds a seat's or performer's eyes; their plane faces where they look.
func (s *solving) eye(e *Eye, kind Kind, standard vec) {
	s.t.Eyes = append(s.t.Eyes, len(s.t.Places))
	s.point(Place{Name: e.Name, Kind: kind, At: e.At, Normal: s.room.gaze(e, standard).point()})
}

// point adds a place that is no patch.
func (s *solving) point(p Place) {
	p.Panel = -1
	s.t.Places = append(s.t.Places, p)
	s.receivers = append(s.receivers, receiver{at: p.At.vec(), n: p.Normal.vec(), panel: -1})
}

// stageMiddle is where an audience looks that is not told where: the middle
// of the objects, or head height a little way up the stage.
func (r *Room) stageMiddle() vec {
	if len(r.Objects) == 0 {
		return vec{0, math.Min(1, float64(r.Size[1]-r.Front)), 1.5}
	}
	var sum vec
	for i := range r.Objects {
		sum = sum.plus(r.Objects[i].Value.Centre.vec())
	}
	return sum.times(1 / float64(len(r.Objects)))
}

// audienceMiddle is where a performer looks that is not told where.
func (r *Room) audienceMiddle() vec {
	if len(r.Seats) == 0 {
		return vec{0, -float64(r.Front) / 2, 1.2}
	}
	var sum vec
	for i := range r.Seats {
		sum = sum.plus(r.Seats[i].At.vec())
	}
	return sum.times(1 / float64(len(r.Seats)))
}

// stride is the distance between the points that a path is measured at.
const stride = .5

// walk returns points along the path, 20 mm above the floor or step so that
// the floor itself is not in the way; EN 1838 measures up to 0.2 m above.
func (p *Path) walk() []vec {
	var out []vec
	up := vec{0, 0, .02}
	for i, q := range p.Points {
		if i > 0 {
			from := p.Points[i-1].vec()
			along := q.vec().minus(from)
			n := int(math.Ceil(along.length() / stride))
			for k := 1; k < n; k++ {
				out = append(out, from.plus(along.times(float64(k)/float64(n))).plus(up))
			}
		}
		out = append(out, q.vec().plus(up))
	}
	return out
}

// areas lists the bare areas of the places, as elementsOf asks for them.
func (s *solving) areas() []float64 {
	out := make([]float64, len(s.t.Places))
	for i := range out {
		out[i] = s.t.Places[i].Area
	}
	return out
}
