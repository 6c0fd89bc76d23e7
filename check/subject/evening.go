package subject

import (
	"context"
	"slices"
	"time"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
)

// OfEvening makes a subject of a whole evening: its steps one after another,
// each standing look at its longest. So doses add up over all of it, and what
// happens where one step goes over into the next is seen.
//
//	t   0 ──────── preshow ────────│── piece ──│──── interval ────│── piece ──
//	    as long as "at most" says    its length   "at most"
func OfEvening(e *show.Evening) Subject { return whole{e} }

type whole struct{ *show.Evening }

// first is where all steps agree: rig, room and bill are one.
func (w whole) first() Subject { return Of(w.Steps[0].Show) }

func (w whole) Rig() *rig.Rig              { return w.first().Rig() }
func (w whole) Room() *room.Room           { return w.first().Room() }
func (w whole) Transport() *room.Transport { return w.first().Transport() }
func (w whole) NewFrame() *show.Frame      { return w.first().NewFrame() }
func (w whole) Bill() *show.Bill           { return w.first().Bill() }

// Usual is how long the evening usually lasts.
func (w whole) Usual() (d time.Duration) {
	for i := range w.Steps {
		d += w.Steps[i].Usual()
	}
	return d
}

// step is the step at t, and how far into it t is.
func (w whole) step(t time.Duration) (*show.Step, time.Duration) {
	s := &w.Steps[w.Evening.At(t)]
	return s, t - s.Start
}

func (w whole) Light(dst *show.Frame, t time.Duration) {
	s, in := w.step(t)
	s.Show.Light(dst, in)
	dst.At = t
}

func (w whole) At(dst *show.Frame, t time.Duration) {
	s, in := w.step(t)
	s.Show.At(dst, in)
	dst.At = t
}

// Moving has the spans of every step. Where one step ends and the next begins
// something may jump, so that is a span too: a cue that is cut off by the end of
// its piece, say.
func (w whole) Moving() [][2]time.Duration {
	var out [][2]time.Duration
	for i := range w.Steps {
		s := &w.Steps[i]
		if i > 0 {
			out = joined(out, s.Start-stepTime, s.Start+stepTime)
		}
		for _, m := range Of(s.Show).Moving() {
			out = joined(out, s.Start+m[0], s.Start+m[1])
		}
	}
	return out
}

func (w whole) Turns() []time.Duration {
	var out []time.Duration
	for i := range w.Steps {
		s := &w.Steps[i]
		out = append(out, s.Start)
		for _, t := range Of(s.Show).Turns() {
			if t >= 0 && t <= s.Show.Length {
				out = append(out, s.Start+t)
			}
		}
	}
	return out
}

// Playing names cues by their step as well, since pieces number theirs alike.
func (w whole) Playing(from, to time.Duration) []string {
	s, in := w.step(from)
	return named(s, Of(s.Show).Playing(in, in+to-from))
}

func (w whole) Standing(t time.Duration) []string {
	s, in := w.step(t)
	return named(s, Of(s.Show).Standing(in))
}

// Stays has those of every step; in a step in which they do not cross, they stay.
func (w whole) Stays(eye int) []show.Stay {
	var out []show.Stay
	crosses := false
	for i := range w.Steps {
		s := &w.Steps[i]
		own := s.Show.Stays(eye)
		crosses = crosses || own != nil
		if own == nil {
			own = []show.Stay{{To: s.Show.Length, Ends: []*room.Transport{s.Show.Transport}}}
		}
		out = append(out, later(own, s.Start)...)
	}
	if !crosses {
		return nil
	}
	return out
}

// Watched is that of the steps' one room.
func (w whole) Watched(ctx context.Context) (*room.Room, *room.Transport, bool) {
	return w.Steps[0].Show.Watched(ctx)
}

// Standings has those of every step.
func (w whole) Standings() []show.Stay {
	var out []show.Stay
	for i := range w.Steps {
		out = append(out, later(w.Steps[i].Show.Standings(), w.Steps[i].Start)...)
	}
	return out
}

// later are the same stretches of a step that begins at an instant of the evening.
func later(list []show.Stay, by time.Duration) []show.Stay {
	out := slices.Clone(list)
	for i := range out {
		out[i].From, out[i].To = out[i].From+by, out[i].To+by
	}
	return out
}

// named puts the step before the numbers of its cues; a standing look is its own.
func named(s *show.Step, cues []string) []string {
	if s.Stands() {
		return cues
	}
	out := make([]string, len(cues))
	for i, c := range cues {
		out[i] = s.Name() + " " + c
	}
	return out
}
