package show

import (
	"slices"
	"time"

	"lampblack/room"
)

// Stay is a stretch of the show's line in which a pair of eyes is at one place or on the way
// between two that lie close together.
type Stay struct {
	From, To time.Duration
	Ends     []*room.Transport // the room with the eyes at its ends; one where they stand
}

// Stays lists where the eyes (an index in Transport.Eyes) of a performer who crosses are, one
// stretch after another from the beginning to the end of the show; nil for who stays where the
// room has them. In a show that waits, time that it waits is spent where it waits.
func (s *Show) Stays(eye int) []Stay {
	if s.Transport == nil || eye < 0 || eye >= len(s.Transport.Eyes) {
		return nil
	}
	name := s.Transport.Places[s.Transport.Eyes[eye]].Name
	w := s.ways[name]
	if w == nil || s.posed == nil {
		return nil
	}
	at := func(t time.Duration) *room.Transport {
		p := s.posedAt(name, s.InTrack(t))
		if p == nil {
			return s.Transport
		}
		return s.Transport.With(p)
	}
	times := []time.Duration{0, s.Length}
	legs := w.all()
	for i := range legs {
		l := &legs[i]
		from, to := s.OnLine(l.start), s.OnLine(l.end)
		times = append(times, from)
		if l.end <= l.start {
			continue
		}
		for _, share := range s.posed.leg(name, w, l).shares {
			times = append(times, from+time.Duration(share*float64(to-from)))
		}
	}
	times = slices.DeleteFunc(times, func(t time.Duration) bool { return t < 0 || t > s.Length })
	slices.Sort(times)
	times = slices.Compact(times)
	var out []Stay
	before := at(times[0])
	for k := 1; k < len(times); k++ {
		// What is before the end, as another way may begin elsewhere there.
		next, end := at(times[k]), at(times[k]-1)
		out = append(out, Stay{times[k-1], times[k], []*room.Transport{before, end}})
		before = next
	}
	return out
}
