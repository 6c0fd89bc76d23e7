package positions

import (
	"fmt"
	"math"
	"sync"

	"lampblack/room"
	"lampblack/si"
)

// mostPoses is by how many of the poses that it has in a look a thing that moves is known here.
const mostPoses = 6

// thinned keeps poses that lie far from each other: the first, then always the one farthest from those kept,
// while that is more than a step.
func thinned(all []room.Pose) (out []room.Pose) {
	const step = .3 // m
	for len(all) > 0 && len(out) < mostPoses {
		best, far := 0, math.Inf(-1)
		for i := range all {
			near := math.Inf(1)
			for _, o := range out {
				near = min(near, float64(si.Apart(all[i].At, o.At)))
			}
			if near > far {
				best, far = i, near
			}
		}
		if far < step {
			break
		}
		out = append(out, all[best])
	}
	return out
}

// standing is a transport with things where the room has them, and elsewhere when that is asked; many may ask.
type standing struct {
	home *room.Transport
	mu   sync.Mutex
	at   map[string]*room.Transport
}

// where is the room with a thing at each of some poses; at home without any.
func (s *standing) where(name string, poses []room.Pose) (out []*room.Transport) {
	for _, pose := range poses {
		out = append(out, s.pose(name, pose))
	}
	if out == nil {
		out = []*room.Transport{s.home}
	}
	return out
}

func (s *standing) pose(name string, pose room.Pose) *room.Transport {
	key := fmt.Sprint(name, pose)
	s.mu.Lock()
	known := s.at[key]
	s.mu.Unlock()
	if known != nil {
		return known
	}
	t := s.home // of what receives nothing elsewhere
	if p := s.home.Posed(name, pose); p != nil {
		t = s.home.With(p)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.at[key] = t
	return t
}
