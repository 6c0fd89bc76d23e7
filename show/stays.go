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
	times := []time.Duration{0, s.Length}
	for i := range s.curtains {
		for _, t := range s.turnsOf(&s.curtains[i]) {
			times = append(times, s.OnLine(t))
		}
	}
	if w != nil {
		times = append(times, s.sampledOn(name, w)...)
	}
	times = slices.DeleteFunc(times, func(t time.Duration) bool { return t < 0 || t > s.Length })
	slices.Sort(times)
	times = slices.Compact(times)
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
