package show

import (
	"time"

	"lampblack/room"
	"lampblack/si"
	"lampblack/source"
)

// Stay is a stretch of the show's line in which a pair of eyes, or what opens, stands, or is on the way
// between two places, or settings, that lie close together.
type Stay struct {
	From, To time.Duration
	Ends     []*room.Transport // the room at its ends; one where all stands
}

// Stays lists where the eyes (an index in Transport.Eyes) of a performer who crosses are, and how
// the room stands around anybody's, one stretch after another from the beginning to the end of the
// show; nil for who stays where the room has them, in a room in which nothing opens. In a show that
// waits, time that it waits is spent where it waits.
func (s *Show) Stays(eye int) []Stay {
	if s.Transport == nil || eye < 0 || eye >= len(s.Transport.Eyes) || s.settings == nil {
		return nil
	}
	name := s.Transport.Places[s.Transport.Eyes[eye]].Name
	w := s.ways[name]
	if w == nil && !s.divided() {
		return nil
	}
	var sampled []time.Duration
	if w != nil {
		sampled = s.sampledOn(name, w)
	}
	times := s.stretches(sampled)
	at := func(t time.Duration) *room.Transport { return s.seen(s.InTrack(t), name) }
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

// sampledOn are the times of the show's line at which what somebody receives on their ways is
// worked out.
func (s *Show) sampledOn(name string, w *way) (times []time.Duration) {
	legs := w.all()
	for i := range legs {
		l := &legs[i]
		from, to := s.OnLine(l.start), s.OnLine(l.end)
		times = append(times, from)
		if l.end <= l.start {
			continue
		}
		for _, t := range s.everySetting([]Span{{l.start, l.end}}) {
			for _, share := range s.settings.posedIn(t).leg(name, w, l).shares {
				times = append(times, from+time.Duration(share*float64(to-from)))
			}
		}
	}
	return times
}

// Walk is one way of a performer: where they are at some instants of the show's line, a stride
// apart or less.
type Walk struct {
	Name string
	Pos  source.Pos // in the score
	At   []time.Duration
	Eyes []room.Point

	Length si.Length     // of the whole way
	Takes  time.Duration // as it is written
}

// stride is as far as a step, in metres.
const stride = .5

// Walks lists the ways of performers, which they go in the light of the show.
func (s *Show) Walks() []Walk {
	var out []Walk
	for i := range s.Room.People {
		name := s.Room.People[i].Name
		w := s.ways[name]
		if w == nil {
			continue
		}
		for k := range w.legs {
			l := &w.legs[k]
			to := l.end
			if k+1 < len(w.legs) {
				to = min(to, w.legs[k+1].start)
			}
			if to <= l.start || l.length() == 0 {
				continue
			}
			one := Walk{Name: name, Pos: l.pos, Length: si.Length(l.length()), Takes: l.end - l.start}
			for n, j := 1+int(l.length()/stride), 0; j <= n; j++ {
				t := l.start + (to-l.start)*time.Duration(j)/time.Duration(n)
				if s.onStage(name, t) {
					one.At, one.Eyes = append(one.At, s.OnLine(t)), append(one.Eyes, w.at(t).At)
				}
			}
			if len(one.At) > 0 {
				out = append(out, one)
			}
		}
	}
	return out
}
