package check

import (
	"runtime"
	"sync"
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

// sceneOf finds all flashes of the show.
func (r *report) sceneOf() *scene {
	t := r.trace()
	s := &scene{lenses: r.lensFlashes(t), trains: t.trains()}
	for i := range s.trains {
		for _, u := range s.trains[i].units {
			from, to := r.show.Rig.UnitDrives(u)
			s.trains[i].spans = append(s.trains[i].spans, [2]int{from, to})
		}
	}
	s.sort(t)
	s.pieces = r.pieces(t)
	s.top = t.most(len(r.show.Rig.Drives))
	parallel(len(s.pieces), func(i int) { s.pieces[i].find(t, s) })
	s.findPatterns()
	s.findSets()
	return s
}

// parallel runs f for 0 to n-1 on all cores.
func parallel(n int, f func(i int)) {
	var wait sync.WaitGroup
	next := make(chan int, n)
	for i := range n {
		next <- i
	}
	close(next)
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() {
			for i := range next {
				f(i)
			}
		})
	}
	wait.Wait()
}

// most returns the highest level of each drive in the show.
func (t *trace) most(drives int) []float32 {
	out := make([]float32, drives)
	for _, levels := range t.levels {
		for d, v := range levels {
			out[d] = max(out[d], v)
		}
	}
	return out
}
