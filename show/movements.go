package show

import (
	"math"
	"time"

	"lampblack/living"
	"lampblack/score"
)

// What is usual where a file says nothing (choices, no source).
const (
	usualFall   = 300 * time.Millisecond
	usualFollow = 50 * time.Millisecond
	usualDrift  = 40 * time.Second
	usualSpeed  = 2.0 // m/s
	usualWave   = 2.0 // m
	usualLeast  = 0.3 // of what drifts
)

// movements lists the ways in which a part's units move.
func (s *Show) movements(l *score.Lives, units []aliveUnit, among [][]float32, a *alive) []movement {
	var out []movement
	if b := l.OnBeat; b != nil {
		out = append(out, s.swing(&b.Swing, 0, s.onBeat(b, a)))
	}
	if b := l.InTurn; b != nil {
		out = append(out, s.swing(&b.Swing, 0, s.inTurn(b, units, a)))
	}
	if b := l.Through; b != nil {
		out = append(out, s.swing(&b.Swing, 0, s.through(b, units, a)))
	}
	if b := l.Follows; b != nil {
		out = append(out, s.swing(&b.Swing, 0, s.follows(b, a)))
	}
	if b := l.Like; b != nil {
		seeds := s.seeds()
		m := s.swing(&b.Swing, 0, func(u int, at instant) float32 { return b.Light.Level(seeds[u], at.living) })
		m.slow = true
		out = append(out, m)
	}
	if b := l.Wanders; b != nil {
		out = append(out, s.wanders(b, among))
	}
	return out
}

// swing is a movement between a part's light and what it goes down to, or comes from.
func (s *Show) swing(w *score.Swing, usual float32, weight func(int, instant) float32) movement {
	m := movement{weight: weight, least: w.Least(usual)}
	if i := s.Score.Looks.Index(w.From.Name); i >= 0 && w.From.Name != "" {
		m.from = s.Looks[i].Levels
	}
	return m
}

// seeds are a number for each unit of the rig.
func (s *Show) seeds() []uint64 {
	out := make([]uint64, len(s.Rig.Units))
	for u := range out {
		out[u] = s.seed(u)
	}
	return out
}

// events is when things happen, where nothing is said as often as usual.
func (s *Show) events(e *living.Every, usual string, a *alive) *coming {
	every := living.Often(usual)
	if e != nil {
		every = *e
	}
	all := living.EventsOf(s.Track, every, s.Length)
	a.doubts = append(a.doubts, all.Doubts()...)
	c := &coming{slowed: &slowed{all, a.slower}, every: every, heard: s.Track == nil && !every.Timed()}
	a.hears = a.hears || c.heard
	return c
}

// coming is when something happens: as it was written, or as it is heard where there is no
// soundtrack. What is heard is not made slower: how often it comes is not known beforehand,
// and who sends the light counts its flashes.
type coming struct {
	*slowed
	every living.Every
	heard bool // if there is an ear
}

// by is what light goes by at an instant, and the instant on its line. Those of the music
// stand still while it is held, and those by the clock, or by what is heard, go on.
func (c *coming) by(at instant) (living.Beats, time.Duration) {
	switch {
	case c.heard && at.ear != nil:
		return at.ear.Beats(c.every), at.ear.Now()
	case c.every.Timed():
		return c.slowed, at.living
	}
	return c.slowed, at.at
}

// slowed are events, of which each so many are one.
type slowed struct {
	living.Beats
	slower int
}

// Before is the last of them at or before an instant, -1 before the first.
func (b *slowed) Before(t time.Duration) int {
	if k := b.Beats.Before(t); k >= 0 {
		return k / b.slower
	}
	return -1
}

// Time is when one of them is.
func (b *slowed) Time(i int) time.Duration { return b.Beats.Time(i * b.slower) }

func (s *Show) onBeat(b *score.OnBeat, a *alive) func(int, instant) float32 {
	events := s.events(b.Every, "beat", a)
	rise, fall := b.Rise, b.Fall
	switch {
	case b.As != "":
		rise, fall = living.Shape(s.Track, b.As)
	case fall == 0:
		fall = usualFall
	}
	return func(_ int, at instant) float32 {
		beats, t := events.by(at)
		return living.Pulse(beats, t, rise, fall)
	}
}

func (s *Show) follows(b *score.Follows, a *alive) func(int, instant) float32 {
	of, rise, fall := b.Of, usualFollow, usualFall
	if of == "" {
		of = living.All
	}
	if b.Rise != nil {
		rise = *b.Rise
	}
	if b.Fall != nil {
		fall = *b.Fall
	}
	f := living.NewFollow(s.Track, of, rise, fall)
	heard := s.Track == nil
	a.hears = a.hears || heard
	return func(_ int, at instant) float32 {
		if heard && at.ear != nil {
			return at.ear.Loud(of, rise, fall).At(at.ear.Now())
		}
		return f.At(at.at)
	}
}

func (s *Show) wanders(b *score.Wanders, among [][]float32) movement {
	every, usual := b.Every, float32(usualLeast)
	if every == 0 {
		every = usualDrift
	}
	seeds := s.seeds()
	if among != nil {
		usual = 1
	}
	m := s.swing(&b.Swing, usual, func(u int, at instant) float32 { return living.Drift(seeds[u], every, at.living) })
	m.slow = true
	if among != nil {
		m.among = &drift{seeds, every, among}
	}
	return m
}

// inTurn lets one unit, or those that hang abreast, come after another. In one pass each
// has its turn; a turn rises over its overlap with the one before, and falls over that
// with the next.
func (s *Show) inTurn(b *score.InTurn, units []aliveUnit, a *alive) func(int, instant) float32 {
	events := s.events(b.Every, "bar", a)
	order := b.Order
	if order == "" {
		order = score.LeftToRight
	}
	rank, n := s.ranks(units, order)
	overlap := float64(b.Overlap)
	return func(u int, at instant) float32 {
		beats, t := events.by(at)
		k := beats.Before(t)
		w := float32(0)
		for pass := max(k-1, 0); pass <= k; pass++ {
			start := beats.Time(pass)
			turn := float64(length(beats, pass)) / float64(n)
			place := rank[u]
			if b.Back && pass%2 == 1 {
				place = n - 1 - place
			}
			w = max(w, trapezoid(float64(t-start)-float64(place)*turn, turn, overlap*turn))
		}
		return w
	}
}

// length is how long an event lasts until the next; the last is as long as the one before
// it.
func length(e living.Beats, i int) time.Duration {
	if next := e.Time(i + 1); next < living.Never {
		return next - e.Time(i)
	}
	if i > 0 {
		return e.Time(i) - e.Time(i-1)
	}
	return 2 * time.Second
}

// trapezoid rises over edge from 0 on, stands until turn, and falls over edge.
func trapezoid(since, turn, edge float64) float32 {
	switch {
	case since < 0 || since >= turn+edge:
		return 0
	case since < edge:
		return float32(since / edge)
	case since <= turn:
		return 1
	}
	return float32(1 - (since-turn)/edge)
}

// mostWaves is how many waves at once are looked at.
const mostWaves = 16

// through lets a wave go through the room, by where the light of each unit falls. Its
// crest is a raised cosine of the length of the wave, at its event where the room begins.
func (s *Show) through(b *score.Through, units []aliveUnit, a *alive) func(int, instant) float32 {
	events := s.events(b.Every, "bar", a)
	speed, whole := float64(b.Speed), float64(b.Length)
	if speed == 0 {
		speed = usualSpeed
	}
	if whole == 0 {
		whole = usualWave
	}
	speed /= float64(a.slower)
	way := s.way(b, units)
	half := whole / speed / 2 // s
	last := 0.0
	for _, q := range way {
		last = max(last, q)
	}
	return func(u int, at instant) float32 {
		beats, t := events.by(at)
		w := float32(0)
		ahead := way[u] / speed
		k := beats.Before(t + time.Duration(half*float64(time.Second)))
		for i := k; i >= 0 && i > k-mostWaves; i-- {
			age := (t - beats.Time(i)).Seconds() - ahead
			if age > half {
				if (t - beats.Time(i)).Seconds() > last/speed+half {
					break
				}
				continue
			}
			if age > -half {
				w = max(w, float32(.5+.5*math.Cos(math.Pi*age/half)))
			}
		}
		return w
	}
}
