package sight

import (
	"lampblack/check/subject"
)

// scene is what all eyes see of the show, as far as it may flash: pieces of
// surfaces and lenses, with the flashes of each. A matt piece looks the same
// from everywhere, so its flashes are found once for all eyes.
type scene struct {
	pieces []scenePiece
	lenses []lens // by unit
	trains []train
	kinds  []int // trains of which each stands for all that are like it

	patterns []pattern
	sets     [][]int   // kinds of train that some item flashes by
	top      []float32 // by drive: its highest level of the show
}

// sceneOf finds all flashes of the show. The order matters: trains come before pieces,
// which ask what each kind of train does to them; patterns and sets come last, as they
// number what was found.
func (r *limits) sceneOf() *scene {
	t := r.Trace()
	s := &scene{lenses: r.lensFlashes(t), trains: trainsOf(t)}
	for i := range s.trains {
		for _, u := range s.trains[i].units {
			from, to := r.Rig().UnitDrives(u)
			s.trains[i].spans = append(s.trains[i].spans, [2]int{from, to})
		}
	}
	s.sort(t)
	s.pieces = r.pieces(t)
	s.top = t.Most(len(r.Rig().Drives))
	subject.Each(len(s.pieces), func(i int) { s.pieces[i].find(t, s) })
	s.findPatterns()
	s.findSets()
	return s
}
