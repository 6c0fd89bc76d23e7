package show_test

import (
	"math"
	"slices"
	"time"
)

// The simulator plays an evening as a person with a stop watch would reckon it, frame
// by frame at 44 Hz: it knows looks by their levels and cues by their times, and
// nothing of package show.

// simCue is a cue on the written line of a step. A bump has on: the drives that its
// look names.
type simCue struct {
	at, up, down  time.Duration
	hold, returns time.Duration
	on            []bool
	to            []float64
}

// over is how long after it began the cue is complete.
func (c *simCue) over() time.Duration {
	if c.on != nil {
		return c.up + c.hold + c.returns
	}
	return max(c.up, c.down)
}

// share is how far a bump has gone to its look.
func (c *simCue) share(since time.Duration) float64 {
	switch {
	case since < 0:
		return 0
	case since < c.up:
		return since.Seconds() / c.up.Seconds()
	case since <= c.up+c.hold:
		return 1
	case since < c.up+c.hold+c.returns:
		return 1 - (since-c.up-c.hold).Seconds()/c.returns.Seconds()
	}
	return 0
}

// simWait is a wait: a place where the line stands, or, with a span, its end.
type simWait struct {
	place, span   time.Duration
	usually, most time.Duration
	until         string // "go", "after" or "trigger"
	after         time.Duration
}

// whole is what a wait of a length comes to: a span is left at its end.
func (w *simWait) whole(d time.Duration) time.Duration {
	if w.span > 0 {
		d = time.Duration(math.Ceil(d.Seconds()/w.span.Seconds()-1e-9)) * w.span
	}
	return d
}

// limit is when the wait ends by itself, counted from when it began; 0 is never.
func (w *simWait) limit() time.Duration {
	switch w.until {
	case "after":
		return w.after
	case "trigger":
		return w.most
	}
	return 0
}

// simStep is a step: its cues by their starts, its waits by their places. A standing look
// is one cue, and one wait at its end which the line does not show.
type simStep struct {
	stands bool
	rest   simWait // what ends a standing look
	cues   []simCue
	waits  []simWait
	sound  time.Duration // length of the soundtrack, 0 without
}

// longest is the gaps of a step whose waits last their longest.
func (s *simStep) longest() []time.Duration {
	var gaps []time.Duration
	for i := range s.waits {
		gaps = append(gaps, s.waits[i].whole(s.waits[i].most))
	}
	return gaps
}

// begins is where on the line a wait begins to make it longer.
func (s *simStep) begins(wait int, gaps []time.Duration) time.Duration {
	at := s.waits[wait].place
	for _, g := range gaps[:wait] {
		at += g
	}
	return at
}

// line is the cues as they come when the waits have lasted so long; one for which there is
// no gap is open, and nothing comes after it. They are given up to a time.
func (s *simStep) line(gaps []time.Duration, until time.Duration) (line []simCue) {
	for _, c := range s.cues {
		shift, shut := time.Duration(0), false
		var again, end time.Duration // a span that it begins in, and where on the line that is over
		for i := range s.waits {
			w := &s.waits[i]
			if w.place <= c.at {
				if i >= len(gaps) {
					shut = true
					break
				}
				shift += gaps[i]
			} else if w.span > 0 && c.at >= w.place-w.span {
				again, end = w.span, until+1
				if i < len(gaps) {
					end = w.place + shift + gaps[i]
				}
			}
		}
		if shut {
			continue
		}
		c.at += shift
		line = append(line, c)
		for c.at += again; again > 0 && c.at < end; c.at += again {
			line = append(line, c)
		}
	}
	slices.SortStableFunc(line, func(a, b simCue) int { return int(a.at - b.at) })
	return line
}

// end is when a step is over whose waits have all ended. Every wait makes a line longer
// that is as long as its sound, its cues and the places of its waits.
func (s *simStep) end(gaps []time.Duration) time.Duration {
	if s.stands {
		return s.rest.most
	}
	end := s.sound
	for i := range s.waits {
		end = max(end, s.waits[i].place)
	}
	for i := range s.cues {
		end = max(end, s.cues[i].at+s.cues[i].over())
	}
	for _, g := range gaps {
		end += g
	}
	return end
}

// play goes through a step from the light at entry up to a time in it, and returns what
// is then seen.
func (s *simStep) play(entry []float64, gaps []time.Duration, until time.Duration) []float64 {
	line := s.line(gaps, until)
	now, from := slices.Clone(entry), slices.Clone(entry)
	var fade *simCue
	see := func(t time.Duration) {
		for d := range now {
			if fade == nil {
				break
			}
			over := fade.up
			if fade.to[d] < from[d] {
				over = fade.down
			}
			x := 1.0
			if over > 0 {
				x = math.Min((t-fade.at).Seconds()/over.Seconds(), 1)
			}
			now[d] = from[d] + x*(fade.to[d]-from[d])
		}
	}
	next := 0
	for n := 0; ; n++ {
		t := min(time.Duration(n)*time.Second/44, until)
		for next < len(line) && line[next].at <= t {
			if c := &line[next]; c.on == nil {
				see(c.at)
				copy(from, now)
				fade = c
			}
			next++
		}
		if see(t); t == until {
			break
		}
	}
	for i := range line {
		if c := &line[i]; c.on != nil && c.at <= until {
			x := c.share(until - c.at)
			for d := range now {
				if c.on[d] {
					now[d] += x * (c.to[d] - now[d])
				}
			}
		}
	}
	return now
}

// before is the light that the steps before one leave by the order, all fades settled.
func before(steps []simStep, step, drives int) []float64 {
	light := make([]float64, drives)
	for k := range steps[:step] {
		gaps := steps[k].longest()
		light = steps[k].play(light, gaps, steps[k].end(gaps)+time.Minute)
	}
	return light
}
