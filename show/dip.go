package show

import (
	"context"
	"math"
	"slices"
	"time"

	"lampblack/check/seen"
)

// Dip is a while in which a movement is made smaller than it is otherwise: where a bump or
// other light lies over it, or its beats come closer.
type Dip struct {
	From, To time.Duration // on the show's line; it goes down before and comes back after it
	Keeps    float64       // share of its movement that is let be, 0..1
}

const (
	// eased is how long a movement takes to become smaller, and to become as it was: slow
	// enough to be no change that anyone looks up for (a choice).
	eased = time.Second
	// around is how much longer than the second that is over a dip is, on both sides: a flash
	// that begins in it may end after it.
	around = 250 * time.Millisecond
	// mostDips is how many dips a cue has at most, and mostDipped how much of its time they take
	// at most: with more, all of it is made smaller.
	mostDips   = 8
	mostDipped = .4
)

// at is what a movement keeps at an instant: a raised cosine goes down to a dip and up from it.
func (d *Dip) at(t time.Duration) float32 {
	off := max(d.From-t, t-d.To, 0)
	if off >= eased {
		return 1
	}
	deep := .5 + .5*math.Cos(math.Pi*off.Seconds()/eased.Seconds())
	return float32(1 - (1-d.Keeps)*deep)
}

// keeps is what a cue's movement keeps at an instant: a function of time alone.
func (a *alive) keeps(at time.Duration) float32 {
	soft := a.soft
	for i := range a.dips {
		soft *= a.dips[i].at(at)
	}
	return soft
}

// dips tells whether a cue may be made smaller for a while only: where its time is that of the
// music, and always the same. What burns or wanders has a time of its own.
func (s *Show) dips(cue int) bool {
	if len(s.Score.Waits) > 0 {
		return false
	}
	for _, l := range s.writtenOf(cue) {
		if l.Like != nil || l.Wanders != nil {
			return false
		}
	}
	return true
}

// dipOne looks for dips that are enough. ok is false where there would be too many of them: all
// of the movement is to become smaller then.
func (s *Show) dipOne(ctx context.Context, cue int, end time.Duration) (k Softened, ok bool) {
	k = Softened{Keeps: 1, Slower: 1}
	from := max(s.Cues[cue].Start-before, 0)
	sampled := s.sampled()
	for range 2 * mostDips {
		s.enlivenAs(cue, k)
		over := s.softer.eyes().Judge(ctx, from, end, sampled)
		if ctx.Err() != nil || over.Rule == seen.NoRule {
			return k, true
		}
		if k.Over.Rule == seen.NoRule {
			k.Over = over
		}
		d := k.dip(over.From)
		if !k.few(s.Cues[cue].Start, end) || !s.deepen(ctx, cue, &k, d, end) {
			return k, false
		}
		from = max(d.From-2*eased-before, from)
	}
	return k, false
}

// dip is the dip about a second that is over: one that is near it, made longer, or another.
func (k *Softened) dip(second time.Duration) *Dip {
	fresh := Dip{From: second - around, To: second + time.Second + around, Keeps: 1}
	i := slices.IndexFunc(k.Dips, func(d Dip) bool { return d.From-2*eased < fresh.To && fresh.From < d.To+2*eased })
	if i < 0 {
		k.Dips = append(slices.Clone(k.Dips), fresh)
		return &k.Dips[len(k.Dips)-1]
	}
	k.Dips = slices.Clone(k.Dips)
	d := &k.Dips[i]
	d.From, d.To = min(d.From, fresh.From), max(d.To, fresh.To)
	return d
}

// later is what was taken from a movement, on a line where it is later.
func (k Softened) later(by time.Duration) Softened {
	k.Dips, k.Over.From = slices.Clone(k.Dips), k.Over.From+by
	for i := range k.Dips {
		k.Dips[i].From, k.Dips[i].To = k.Dips[i].From+by, k.Dips[i].To+by
	}
	return k
}

// few tells whether the dips are few and short beside the cue.
func (k *Softened) few(start, end time.Duration) bool {
	sum := time.Duration(0)
	for _, d := range k.Dips {
		sum += d.To - d.From + eased
	}
	return len(k.Dips) <= mostDips && sum.Seconds() <= mostDipped*(end-start).Seconds()
}

// deepen finds how much may stay in a dip. It tells whether that is any less than was.
func (s *Show) deepen(ctx context.Context, cue int, k *Softened, d *Dip, end time.Duration) bool {
	a, sampled, was := s.livesOf(cue), s.sampled(), d.Keeps
	s.enlivenAs(cue, *k)
	light := func(keeps float64) func(levels, rates []float32, at time.Duration) {
		return func(levels, rates []float32, at time.Duration) {
			d.Keeps = keeps
			sampled(levels, rates, at)
		}
	}
	from, to := max(d.From-eased-before, 0), min(d.To+eased+before, end)
	kept := s.softer.eyes().Greatest(ctx, seen.Movement{From: from, To: to, Still: light(0), Full: light(1)}).Factor
	if kept < leastSeen {
		kept = 0
	}
	d.Keeps = kept
	a.dips = k.Dips
	return kept < 1 && kept < was || ctx.Err() != nil
}
