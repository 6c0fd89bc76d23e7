package show

import (
	"slices"
	"time"

	"lampblack/room"
)

// How the room stands in stretches of the show: for checks, and for looks, each of which is solved for
// one setting.

// Standings lists how the room stands, one stretch after another from the beginning to the end of
// the show, each with everybody at home: one room where it stands, two where it goes from one setting to
// the next. There is one stretch where nothing opens, comes or goes.
func (s *Show) Standings() []Stay {
	times := s.stretches(nil)
	if !s.divided() || len(times) < 2 {
		return []Stay{{0, s.Length, []*room.Transport{s.Transport}}}
	}
	var out []Stay
	for k := 1; k < len(times); k++ {
		from, to := s.InTrack(times[k-1]), s.InTrack(times[k]-1)+1
		one := Stay{times[k-1], times[k], []*room.Transport{s.seen(from)}}
		if s.moving(from, to) {
			one.Ends = append(one.Ends, s.seen(to-1))
		}
		out = append(out, one)
	}
	return out
}

// stretches are the instants of the show's line between which nothing turns: its beginning and end,
// the turns of all that opens, and more.
func (s *Show) stretches(more []time.Duration) []time.Duration {
	times := append([]time.Duration{0, s.Length}, more...)
	for _, t := range s.turns() {
		times = append(times, s.OnLine(t))
	}
	times = slices.DeleteFunc(times, func(t time.Duration) bool { return t < 0 || t > s.Length })
	slices.Sort(times)
	return slices.Compact(times)
}

// mostly is the setting in which the room stands longest of some spans of the piece's own time; a
// look is solved for that.
func (s *Show) mostly(in []Span) *room.Transport {
	if !s.divided() || in == nil {
		return s.Transport
	}
	long := map[string]time.Duration{}
	settings := map[string]room.Setting{}
	for _, at := range s.rests(in) {
		key := at.setting.String()
		long[key] += at.long
		settings[key] = at.setting
	}
	best := ""
	for key := range long {
		if best == "" || long[key] > long[best] || long[key] == long[best] && key < best {
			best = key
		}
	}
	if best == "" {
		return s.Transport
	}
	return s.settings.in(settings[best])
}

// rest is a setting, and how long it stands.
type rest struct {
	setting room.Setting
	long    time.Duration
}

// rests lists the settings that stand in some spans; of a span in which all moves it is that which
// is nearest at its end.
func (s *Show) rests(in []Span) (out []rest) {
	if !s.divided() {
		return nil
	}
	for _, span := range in {
		times := append(s.turnsIn(span), span.To)
		found := false
		for k := 1; k < len(times); k++ {
			if all, _ := s.blend(times[k-1]); len(all) == 1 && !s.moving(times[k-1], times[k]) {
				out, found = append(out, rest{all[0], min(times[k], s.Length+time.Hour) - times[k-1]}), true
			}
		}
		if !found {
			all, weights := s.blend(max(span.To-1, span.From))
			out = append(out, rest{all[slices.Index(weights, slices.Max(weights))], max(span.To-span.From, 1)})
		}
	}
	return out
}

// turnsIn are the beginning of a span and the turns in it.
func (s *Show) turnsIn(span Span) []time.Duration {
	out := []time.Duration{span.From}
	for _, t := range s.turns() {
		if t > span.From && t < span.To {
			out = append(out, t)
		}
	}
	return out
}

// moving tells whether anything opens further or closes between two instants, between which it
// does all the time or not at all.
func (s *Show) moving(from, to time.Duration) bool {
	return slices.ContainsFunc(s.curtains, func(c curtain) bool { return s.open(&c, from) != s.open(&c, max(to-1, from)) })
}

// everySetting lists in which settings the room is in some spans, those on the way too.
func (s *Show) everySetting(in []Span) []*room.Transport {
	if !s.divided() || in == nil {
		return []*room.Transport{s.Transport}
	}
	var out []*room.Transport
	for _, span := range in {
		for _, t := range append(s.turnsIn(span), max(span.To-1, span.From)) {
			all, _ := s.blend(t)
			for _, one := range all {
				if t := s.settings.in(one); !slices.Contains(out, t) {
					out = append(out, t)
				}
			}
		}
	}
	return out
}
