package subject

import (
	"cmp"
	"context"
	"slices"
	"time"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
)

// Subject is what the checks take: a finished show, or whatever else makes
// light over time in a room. Several goroutines ask it at once.
//
// It must be still: the same instant gives the same light. Whatever moves says
// so: between the spans of Moving the light stands, and a subject that moves
// there after all is found out, but its short flashes may be missed.
type Subject interface {
	Length() time.Duration
	Rig() *rig.Rig
	Room() *room.Room
	Transport() *room.Transport

	// Moving lists when something moves, in order and apart.
	Moving() [][2]time.Duration
	// Turns lists when something begins, peaks or ends, in order.
	Turns() []time.Duration

	NewFrame() *show.Frame
	// Light fills the frame's Levels and Flash with the state at t.
	Light(dst *show.Frame, t time.Duration)
	// At fills Levels, Flash and Universes with the state at t.
	At(dst *show.Frame, t time.Duration)

	// Playing names the cues that move between two instants, or failing those
	// the one that stands; Standing names the one that stands, if any.
	Playing(from, to time.Duration) []string
	Standing(t time.Duration) []string
	// Stays says where the eyes (an index in Transport.Eyes) of somebody who crosses are, and how the
	// room stands around them; nil for who stays where the room has them, in one that stays as it is.
	Stays(eye int) []show.Stay
	// Standings says how the room stands, from the beginning to the end. Transport is the room with all
	// open that ever opens, and all away that ever goes.
	Standings() []show.Stay
	// Bill has the days, the signatures and the wiring code.
	Bill() *show.Bill
}

// Of makes a subject of a show.
func Of(s *show.Show) Subject { return shown{s} }

// shown is a show as a subject.
type shown struct{ show *show.Show }

func (s shown) Length() time.Duration                  { return s.show.Length }
func (s shown) Usual() time.Duration                   { return s.show.Usual() }
func (s shown) Rig() *rig.Rig                          { return s.show.Rig }
func (s shown) Room() *room.Room                       { return s.show.Room }
func (s shown) Transport() *room.Transport             { return s.show.Transport }
func (s shown) NewFrame() *show.Frame                  { return s.show.NewFrame() }
func (s shown) Light(dst *show.Frame, t time.Duration) { s.show.Light(dst, t) }
func (s shown) At(dst *show.Frame, t time.Duration)    { s.show.At(dst, t) }
func (s shown) Bill() *show.Bill                       { return &s.show.Bill }

func (s shown) Stays(eye int) []show.Stay { return s.show.Stays(eye) }
func (s shown) Standings() []show.Stay    { return s.show.Standings() }

// Watched is the room with eyes supposed in it, where nobody said where any are.
func (s shown) Watched(ctx context.Context) (*room.Room, *room.Transport, bool) {
	return s.show.Watched(ctx)
}

// Moving merges the cues' spans, and those in which light moves by itself, each from a step
// before. What runs before the beginning or past the end is cut there.
func (s shown) Moving() [][2]time.Duration {
	spans := s.show.Lives()
	for i := range s.show.Cues {
		spans = append(spans, [2]time.Duration{s.show.Cues[i].Start, s.show.Cues[i].Complete})
	}
	slices.SortFunc(spans, func(a, b [2]time.Duration) int { return cmp.Compare(a[0], b[0]) })
	var out [][2]time.Duration
	for _, span := range spans {
		from, to := max(span[0]-stepTime, 0), min(span[1]+stepTime, s.show.Length)
		if to < 0 || from > s.show.Length {
			continue
		}
		out = joined(out, from, to)
	}
	return out
}

// joined adds a span behind those before it, or to the last where the two overlap or
// touch.
func joined(spans [][2]time.Duration, from, to time.Duration) [][2]time.Duration {
	if n := len(spans); n > 0 && from <= spans[n-1][1] {
		spans[n-1][1] = max(spans[n-1][1], to)
		return spans
	}
	return append(spans, [2]time.Duration{from, max(from, to)})
}

// Turns has five corners a cue: it starts, has risen, has fallen (a crossfade whose
// down differs from its up), ends its hold, is over. Those of them that a cue does not
// have fall on one that it has, or do no harm.
func (s shown) Turns() []time.Duration {
	var out []time.Duration
	for i := range s.show.Cues {
		c := &s.show.Cues[i]
		out = append(out, c.Start, c.Peak, c.Start+c.Falls(), c.Peak+c.Hold, c.Complete)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Playing takes a cue that ends just at from, since its last corner lies there.
func (s shown) Playing(from, to time.Duration) []string {
	var out []string
	for i := range s.show.Cues {
		if c := &s.show.Cues[i]; c.Start < to && c.Complete >= from {
			out = append(out, c.Number.Name)
		}
	}
	if out == nil {
		return s.Standing(from)
	}
	return out
}

// Standing passes over bumps that have fallen back by then: what stands is the
// cue under them.
func (s shown) Standing(t time.Duration) []string {
	if i := s.show.StandingAt(t); i >= 0 {
		return []string{s.show.Cues[i].Number.Name}
	}
	return nil
}
