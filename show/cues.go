package show

import (
	"slices"
	"time"

	"lampblack/score"
	"lampblack/si"
	"lampblack/soundtrack"
	"lampblack/source"
)

// reach is how far from the time in an anchor its moment may lie. Common practice, no
// source: farther off it is another moment, and a cue that jumps by more would surprise
// whoever wrote its time.
const reach = time.Second

// place puts the score's cues in time, in the order of their first change. A cue that
// the score did not make plain is left out, and has its fault already. Cues that start
// together keep the order of the file, so the later one wins.
func (s *Show) place(faults *source.Faults) {
	for i := range s.Score.Cues {
		c := &s.Score.Cues[i]
		look := s.Score.Looks.Index(c.Look.Name)
		if look < 0 || !c.Timed() {
			continue // said by score.Read
		}
		p := Cue{Cue: c, Index: i, Look: look, Found: true}
		if c.Follows.Name == "" {
			s.moment(&p, faults)
			p.land()
		}
		s.Cues = append(s.Cues, p)
	}
	s.followOn(faults)
	for i := range s.Cues {
		s.Length = max(s.Length, s.Cues[i].Complete)
	}
	slices.SortStableFunc(s.Cues, func(a, b Cue) int {
		if a.Start != b.Start {
			return int(min(max(a.Start-b.Start, -1), 1))
		}
		return a.Index - b.Index
	})
}

// lastMoment is the latest that a follow-on may lead to: a chain of long fades may not
// make a show that never ends.
const lastMoment = 48 * time.Hour

// followOn places the cues that follow others. score.Read has seen to it that no cue
// follows itself by way of others.
func (s *Show) followOn(faults *source.Faults) {
	byNumber := map[string]*Cue{}
	for i := range s.Cues {
		byNumber[s.Cues[i].Number.Name] = &s.Cues[i]
	}
	var chain []*Cue // from the cue to be placed to one that has been
	for i := range s.Cues {
		chain = chain[:0]
		for c := &s.Cues[i]; c != nil && c.Follows.Name != "" && c.Complete == 0; c = byNumber[c.Follows.Name] {
			chain = append(chain, c)
		}
		for _, c := range slices.Backward(chain) {
			if before := byNumber[c.Follows.Name]; before != nil {
				c.Moment = before.Complete
			}
			if c.Moment > lastMoment {
				faults.Add(c.Pos, "", "cue %s follows others to %s, more than 48 h", c.Number, si.FormatTime(c.Moment))
				c.Moment = lastMoment
			}
			c.land()
		}
	}
}

// moment finds what the cue lands on.
func (s *Show) moment(p *Cue, faults *source.Faults) {
	if p.At != nil {
		p.Moment = *p.At
		return
	}
	p.Moment = p.On.Near
	if s.Track == nil {
		return
	}
	m, ok := Find(s.Track, p.On)
	if !ok {
		p.Found = false
		faults.Add(p.Pos, "listen to the soundtrack again, or give a time with at", "cue %s is on %s, and the soundtrack has no such moment within %v", p.Number, p.On, reach)
		return
	}
	p.Moment = m.Time
	if p.On.End {
		p.Moment = m.End
	}
	if p.On.Kind != "bar" {
		p.OffBy = p.Moment - p.On.Near
	}
}

// Find returns the moment of a track that the anchor names: the nearest of its kind, at
// most a second away, or the counted beat. Of two as near the earlier in the track's
// list is taken. Anchors on bars count and have no reach.
func Find(t *soundtrack.Track, a *score.Anchor) (soundtrack.Moment, bool) {
	best, found := soundtrack.Moment{}, false
	for _, m := range t.Moments {
		if a.Kind == "bar" {
			counts := m.Bar == a.Bar && max(m.Beat, 1) == a.Beat
			if counts && (m.Kind == "bar" || m.Kind == "beat") {
				return m, true
			}
			continue
		}
		if string(m.Kind) != a.Kind {
			continue
		}
		d := distance(m, a)
		if d <= reach && (!found || d < distance(best, a)) {
			best, found = m, true
		}
	}
	return best, found
}

func distance(m soundtrack.Moment, a *score.Anchor) time.Duration {
	at := m.Time
	if a.End {
		at = m.End
	}
	return (at - a.Near).Abs()
}

// land works the cue's start, peak and completion out of its moment.
//
//	starts     Start = moment
//	peaks      Start = moment − up
//	completes  Start = moment − all of it
//
// The delay is added to each, so it moves the landing as well: that is what it is for.
// Start may come out below 0, which package check/cues tells.
func (p *Cue) land() {
	after := max(p.Up, p.Falls())
	if p.Bump() {
		after = p.Up + p.Hold + *p.Returns
	}
	switch p.Lands {
	case score.Peaks:
		p.Start = p.Moment - p.Up
	case score.Completes:
		p.Start = p.Moment - after
	default:
		p.Start = p.Moment
	}
	p.Start += p.Delay
	p.Peak = p.Start + p.Up
	p.Complete = p.Start + after
}

// String names the cue for messages: "cue 10 at 0:31.200".
func (p *Cue) String() string { return "cue " + p.Number.Name + " at " + si.FormatTime(p.Start) }

// StandingAt returns the index in Cues of the cue that is seen at t, or -1: the last that has
// started, but for bumps that have fallen back by then.
func (s *Show) StandingAt(t time.Duration) int {
	i := s.CueAt(t)
	for i >= 0 && s.Cues[i].Bump() && s.Cues[i].Complete < t {
		i--
	}
	return i
}

// CueAt returns the index in Cues of the last cue that has started at t, or -1.
func (s *Show) CueAt(t time.Duration) int {
	low, high := 0, len(s.Cues)
	for low < high {
		if mid := (low + high) / 2; s.Cues[mid].Start <= t {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return low - 1
}
