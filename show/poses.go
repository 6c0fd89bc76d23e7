package show

import (
	"fmt"
	"sync"
	"time"

	"lampblack/room"
)

// What moving things receive is worked out at sampled poses of their ways, and goes in
// straight lines between two of them. A leg is halved until what is received half-way is
// within offPose of the straight line, or the pieces are too small to matter.
const (
	offPose    = .015 // of the most that the thing receives there of such light
	finestLeg  = 1. / 128
	coarsest   = 1. / 8
	finestStep = .03 // m
)

// posed holds what has been worked out on one transport; scores that are tried on it share it.
// It is used by many goroutines.
type posed struct {
	transport *room.Transport
	mu        sync.Mutex
	at        map[string]*onePose
	legs      map[string]*sampled
}

type onePose struct {
	once sync.Once
	is   *room.Posed
}

// sampled is a leg of one thing, sampled.
type sampled struct {
	once   sync.Once
	shares []float64 // ascending, from 0 to 1, of the leg's time
	poses  []*room.Posed
}

func newPosed(t *room.Transport) *posed {
	return &posed{transport: t, at: map[string]*onePose{}, legs: map[string]*sampled{}}
}

// made is what a map has under a key, made where it has nothing.
func made[T any](mu *sync.Mutex, in map[string]*T, key string) *T {
	mu.Lock()
	defer mu.Unlock()
	if in[key] == nil {
		in[key] = new(T)
	}
	return in[key]
}

// pose is what a thing receives at a pose; nil for what the transport does not know to move.
func (p *posed) pose(name string, pose room.Pose) *room.Posed {
	key := fmt.Sprintf("%s|%.3f|%.3f", name, metres(pose.At), metres(pose.Faces))
	one := made(&p.mu, p.at, key)
	one.once.Do(func() { one.is = p.transport.Posed(name, pose) })
	return one.is
}

// leg samples a leg of a thing.
func (p *posed) leg(name string, w *way, l *leg) *sampled {
	at := func(share float64) room.Pose {
		return w.carry(l.pose(l.share(l.start + time.Duration(share*float64(l.end-l.start)))))
	}
	key := name
	for k := range 9 {
		pose := at(float64(k) / 8)
		key += fmt.Sprintf("|%.3f|%.3f", metres(pose.At), metres(pose.Faces))
	}
	one := made(&p.mu, p.legs, key)
	one.once.Do(func() {
		before, from := p.pose(name, at(0)), 0.
		if before == nil {
			return
		}
		one.shares, one.poses = []float64{0}, []*room.Posed{before}
		for _, to := range l.bends() {
			next := p.pose(name, at(to))
			p.halve(one, name, at, from, before, to, next)
			before, from = next, to
		}
	})
	return one
}

// halve adds the poses after that of share a up to that of share b.
func (p *posed) halve(to *sampled, name string, at func(float64) room.Pose, a float64, pa *room.Posed, b float64, pb *room.Posed) {
	step := size(less(metres(pa.Pose.At), metres(pb.Pose.At)))
	turn := size(less(metres(pa.Pose.Faces), metres(pb.Pose.Faces)))
	if b-a > finestLeg && (step > finestStep || turn > .05) {
		mid := (a + b) / 2
		if pm := p.pose(name, at(mid)); b-a > coarsest || p.transport.Off(pa, pm, pb) > offPose {
			p.halve(to, name, at, a, pa, mid, pm)
			p.halve(to, name, at, mid, pm, b, pb)
			return
		}
	}
	to.shares, to.poses = append(to.shares, b), append(to.poses, pb)
}

// at is what is received when a share of the leg's time is over.
func (l *sampled) at(share float64, pose room.Pose) *room.Posed {
	for k := 1; k < len(l.shares); k++ {
		if share <= l.shares[k] {
			return room.Between(l.poses[k-1], l.poses[k], (share-l.shares[k-1])/(l.shares[k]-l.shares[k-1]), pose)
		}
	}
	return nil
}

// posedAt is what a thing that moves receives at t, of the piece's own time, in a transport; nil
// where it stands as the room has it.
func (s *Show) posedAt(in *room.Transport, name string, t time.Duration) *room.Posed {
	w := s.ways[name]
	if w == nil || s.settings == nil {
		return nil
	}
	posed, pose := s.settings.posedIn(in), w.at(t)
	legs := w.all()
	for i := len(legs) - 1; i >= 0; i-- {
		l := &legs[i]
		if t < l.start {
			continue
		}
		if t >= l.end {
			return posed.pose(name, pose)
		}
		return posed.leg(name, w, l).at(float64(t-l.start)/float64(l.end-l.start), pose)
	}
	return nil
}

// Seen is the room at t as it is set then, with all that moves where it is. What is not on stage
// stays where it is; Absent tells which that is.
func (s *Show) Seen(t time.Duration) *room.Transport {
	if len(s.ways) == 0 && !s.divided() || s.Transport == nil {
		return s.Transport
	}
	t = s.InTrack(t)
	var names []string
	for _, name := range s.players() {
		if s.ways[name] != nil && s.onStage(name, t) {
			names = append(names, name)
		}
	}
	return s.seen(t, names...)
}
