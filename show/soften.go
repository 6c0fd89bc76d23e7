package show

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"lampblack/check/seen"
	"lampblack/score"
)

// Softened is what keeps a cue's movement inside the limits of flashing.
type Softened struct {
	Keeps  float64 // share of its movement that is let be, 0..1
	Slower int     // so many times slower than it was written; 1 as written
	Dips   []Dip   // where it keeps less for a while
	Over   seen.Judged
}

// Less tells whether anything was taken from the movement.
func (s *Softened) Less() bool { return s.Keeps < 1 || s.Slower > 1 || len(s.Dips) > 0 }

const (
	// judgedFor is how long of a light that stands for longer is looked at, and longLess what is
	// kept then of what that allows: what is drawn by lot may come to more later. The checks look
	// at all of it.
	judgedFor = 20 * time.Minute
	longLess  = .85
	// before is how long before a cue flashes count together with its own.
	before = 2 * time.Second
	// leastKept is the share of a movement below which it is rather made slower: less is
	// hardly seen (a choice).
	leastKept = .25
	// leastSeen is the share of a movement that is no movement any more.
	leastSeen = .02
	// mostSlower is how often it is made twice as slow.
	mostSlower = 4
)

// softenings keep what was worked out, for shows on one rig in one room: a draft tries many
// scores that have the same cues.
type softenings struct {
	eyes   func() *seen.Eyes
	mu     sync.Mutex
	known  map[string]Softened
	judged map[string]seen.Judged
}

func (s *Show) newSoftenings() *softenings {
	return &softenings{eyes: sync.OnceValue(func() *seen.Eyes { return seen.New(s.Transport, s.Rig) }), known: map[string]Softened{}, judged: map[string]seen.Judged{}}
}

// known is what was found under a key before, or is found now; nothing that was cut short is
// kept.
func known[T any](ctx context.Context, s *softenings, found map[string]T, key string, find func() T) T {
	s.mu.Lock()
	v, ok := found[key]
	s.mu.Unlock()
	if ok {
		return v
	}
	if v = find(); ctx.Err() == nil {
		s.mu.Lock()
		found[key] = v
		s.mu.Unlock()
	}
	return v
}

// soften takes as much of the movement of each cue away as would flash too often: by all
// units together, and as any eye sees it. It goes by the cues in their order, so that what
// was before counts as it is. What it finds holds for the show as written; whoever makes its
// plan anew, as waits last, takes it over, and what is live is watched at the wire.
func (s *Show) soften(ctx context.Context) {
	if s.Transport == nil || s.player != nil {
		return
	}
	s.softened = map[int]Softened{}
	var all []int // cues, by index
	for i, a := range s.plan.lives {
		if a != nil {
			all = append(all, i)
			a.soft = 0 // what comes later gives way to what was before
		}
	}
	for _, i := range all {
		c := &s.Cues[i]
		end := s.goneBy(i)
		long := s.Track == nil && end-c.Start > judgedFor
		if long {
			end = c.Start + judgedFor
		}
		k := known(ctx, s.softer, s.softer.known, s.softKey(i, end), func() Softened {
			if !long && s.dips(i) {
				if k, ok := s.dipOne(ctx, i, end); ok {
					return k
				}
			}
			k := s.softenOne(ctx, i, end)
			if long && k.Keeps < 1 {
				k.Keeps *= longLess
			}
			return k
		})
		if ctx.Err() != nil {
			return
		}
		s.enlivenAs(i, k)
		s.softened[c.Index] = k
	}
	s.softenTogether(ctx, all)
}

const (
	// together is how often what all cues come to is asked, and lessEach what they keep each time.
	together = 8
	lessEach = .75
	// goesOnFor is how much longer what was before a cue may still be half of a flash.
	goesOnFor = 2 * time.Second
)

// softenTogether asks what all of it comes to, and takes more from the cues about a second that
// has too many flashes: a change that was large before a cue began may be one of them with
// what the cue does.
func (s *Show) softenTogether(ctx context.Context, cues []int) {
	if len(cues) == 0 {
		return
	}
	light, end := s.sampled(), min(s.Length, s.lookedAt())
	for range together {
		over := known(ctx, s.softer, s.softer.judged, s.cuesKey(0, s.Length), func() seen.Judged { return s.softer.eyes().Judge(ctx, 0, end, light) })
		if ctx.Err() != nil || over.Rule == seen.NoRule || !s.softenAbout(cues, over) {
			return
		}
	}
}

// lookedAt is how much of the show is looked at: all of one that goes by a soundtrack.
func (s *Show) lookedAt() time.Duration {
	if s.Track != nil {
		return s.Length
	}
	last := time.Duration(0)
	for i := range s.Cues {
		last = max(last, s.Cues[i].Start)
	}
	return last + judgedFor
}

// softenAbout takes more from the cues that move about a second, and tells whether any did.
func (s *Show) softenAbout(cues []int, over seen.Judged) (any bool) {
	for _, i := range cues {
		c := &s.Cues[i]
		k := s.softened[c.Index]
		if c.Start > over.From+time.Second || s.goneBy(i)+goesOnFor < over.From || k.Keeps == 0 {
			continue
		}
		if k.Over.Rule == seen.NoRule {
			k.Over = over
		}
		if k.Keeps *= lessEach; k.Keeps < leastSeen {
			k.Keeps = 0
		}
		s.enlivenAs(i, k)
		s.softened[c.Index] = k
		any = true
	}
	return any
}

// softenOne keeps all of the movement if it may, as much as may be where that is a quarter or
// more, and makes it slower where it is not.
func (s *Show) softenOne(ctx context.Context, cue int, end time.Duration) Softened {
	best := Softened{Slower: 1}
	for slower := 1; slower <= mostSlower && ctx.Err() == nil; slower *= 2 {
		k := s.keeps(ctx, cue, slower, end)
		if slower == 1 || k.Keeps >= leastKept {
			over := best.Over
			best = k
			if slower > 1 {
				best.Over = over // of the movement as it was written
			}
		}
		if k.Keeps >= leastKept || !s.bySound(cue) {
			break
		}
	}
	return best
}

// keeps asks how much of a cue's movement may stay.
func (s *Show) keeps(ctx context.Context, cue, slower int, end time.Duration) Softened {
	s.enlivenAs(cue, Softened{Keeps: 1, Slower: slower})
	a := s.livesOf(cue)
	sampled := s.sampled()
	light := func(soft float32) func(levels, rates []float32, at time.Duration) {
		return func(levels, rates []float32, at time.Duration) {
			a.soft = soft
			sampled(levels, rates, at)
		}
	}
	k := s.softer.eyes().Greatest(ctx, seen.Movement{From: max(s.Cues[cue].Start-before, 0), To: end, Still: light(0), Full: light(1)})
	return Softened{Keeps: k.Factor, Slower: slower, Over: k.Over}
}

// sampled is the light of the show for who counts its flashes.
func (s *Show) sampled() func(levels, rates []float32, at time.Duration) {
	f := s.NewFrame()
	return func(levels, rates []float32, at time.Duration) {
		s.light(f, instant{at: at, living: at})
		copy(levels, f.Levels)
		copy(rates, f.Flash)
	}
}

// bySound tells whether a cue moves in turns or with beats, which may come slower.
func (s *Show) bySound(cue int) bool {
	return slices.ContainsFunc(s.writtenOf(cue), func(l *score.Lives) bool { return l.OnBeat != nil || l.InTurn != nil || l.Through != nil })
}

// goneBy is when nothing is left of a cue's light.
func (s *Show) goneBy(cue int) time.Duration {
	c := &s.Cues[cue]
	switch next := s.next(cue); {
	case c.Bump():
		return c.Complete
	case next != nil:
		return min(next.Complete, max(s.Length, c.Complete))
	}
	return max(s.Length, c.Complete)
}

// next is the cue that takes the place of one that stays: the next that stays; nil where none
// does.
func (s *Show) next(cue int) *Cue {
	for i := cue + 1; i < len(s.Cues); i++ {
		if !s.Cues[i].Bump() {
			return &s.Cues[i]
		}
	}
	return nil
}

// StaysUntil is when another cue begins to take the place of one that stays, by its index in
// Cues: the end of the show where none does.
func (s *Show) StaysUntil(cue int) time.Duration {
	if next := s.next(cue); next != nil {
		return next.Start
	}
	return max(s.Length, s.Cues[cue].Complete)
}

// softKey names all that the movement of a cue, and what it moves over, goes by.
func (s *Show) softKey(cue int, end time.Duration) string {
	return fmt.Sprint(cue, " ", end, " ", s.cuesKey(s.Cues[cue].Start-before, end))
}

// cuesKey names all that the light of a stretch goes by: what stands as it begins, and the
// cues in it.
func (s *Show) cuesKey(from, to time.Duration) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%p %v %x ", s.Track, s.Length, s.plan.entry.levels)
	for i := range s.Cues {
		c := &s.Cues[i]
		if c.Start > to || c.Complete < from && i+1 < len(s.Cues) && s.Cues[i+1].Complete < from {
			continue
		}
		fmt.Fprintf(&b, "%v %v %v %v %v %v %x|", c.Start, c.Up, c.Falls(), c.Hold, c.Returns, s.softened[c.Index], s.Looks[c.Look].Levels)
		for _, l := range s.writtenOf(i) {
			livesKey(&b, l)
		}
	}
	return b.String()
}

// livesKey writes what moves, by value.
func livesKey(b *strings.Builder, l *score.Lives) {
	if v := l.OnBeat; v != nil {
		fmt.Fprintf(b, "beat %v %v %v %v %v %v,", v.Every, v.Rise, v.Fall, v.As, v.Least(-1), v.From.Name)
	}
	if v := l.InTurn; v != nil {
		fmt.Fprintf(b, "turn %v %v %v %v %v %v,", v.Order, v.Every, v.Overlap, v.Back, v.Least(-1), v.From.Name)
	}
	if v := l.Through; v != nil {
		fmt.Fprintf(b, "wave %v %v %v %v %v %v %v,", v.Direction, v.Point, v.Speed, v.Length, v.Every, v.Least(-1), v.From.Name)
	}
	if v := l.Follows; v != nil {
		fmt.Fprintf(b, "sound %v %v %v %v %v,", v.Of, v.Rise, v.Fall, v.Least(-1), v.From.Name)
	}
	if v := l.Like; v != nil {
		fmt.Fprintf(b, "like %v %v %v,", v.Light, v.Least(-1), v.From.Name)
	}
	if v := l.Wanders; v != nil {
		fmt.Fprintf(b, "wander %v %v %v %v,", v.Every, v.Among, v.Least(-1), v.From.Name)
	}
}
