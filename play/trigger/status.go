package trigger

import "time"

// Status is how a trigger stands.
type Status struct {
	Name  string    `json:"trigger"`
	Level Level     `json:"-"` // once it was steady; Unknown of presses
	Last  time.Time `json:"last,omitzero"`
	Fault string    `json:"fault,omitempty"` // why nothing can come now
	Hint  string    `json:"hint,omitempty"`  // what to do about it
	Counts
	Dropped uint64 `json:"dropped"` // edges that came faster than they were judged
	Refused uint64 `json:"refused"` // packets and messages that could not be read, of its place
	Crowded uint64 `json:"crowded"` // times that more packets came to its place than are read
}

// Inside is who is inside a place.
type Inside struct {
	Place string `json:"place"`
	Tally
}

// place is where edges come from, as it stands.
type place struct {
	fault, hint string
	told        bool  // once, however it stands
	feed        *feed // nil of presses
}

// stand says how the place of a trigger stands, if that is news.
func (s *Set) stand(i int, fault, hint string) {
	s.mu.Lock()
	p := &s.places[i]
	news := p.fault != fault || !p.told
	p.fault, p.hint, p.told = fault, hint, true
	s.mu.Unlock()
	if !news {
		return
	}
	if fault == "" {
		fault = "is listened to"
	}
	s.say(Heard{Name: s.list.Triggers[i].Name, Time: time.Now(), Text: fault, Hint: hint})
}

// say passes on what came, from one goroutine at a time.
func (s *Set) say(h Heard) {
	s.saying.Lock()
	defer s.saying.Unlock()
	s.heard(h)
}

// Status returns how each trigger stands, in the list's order.
func (s *Set) Status() []Status {
	s.mu.Lock()
	defer s.mu.Unlock()
	out := make([]Status, len(s.list.Triggers))
	for i, t := range s.list.Triggers {
		state, p := s.states[i], s.places[i]
		out[i] = Status{Name: t.Name, Level: state.Level, Last: state.Last, Fault: p.fault, Hint: p.hint, Counts: state.Counts, Dropped: s.in.lost(i)}
		if p.fault != "" {
			out[i].Level = Unknown // what was lost may not have been judged yet
		}
		if p.feed != nil {
			out[i].Refused, out[i].Crowded = p.feed.counts()
		}
	}
	return out
}

// Inside returns who is inside each place, in the list's order.
func (s *Set) Inside() []Inside {
	s.mu.Lock()
	defer s.mu.Unlock()
	out := make([]Inside, len(s.list.Pairs))
	for i, p := range s.list.Pairs {
		out[i] = Inside{p.Place, s.tallies[i]}
	}
	return out
}

// Dropped is how many firings nobody received in time.
func (s *Set) Dropped() uint64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.dropped
}
