package show

import (
	"sort"
	"time"

	"lampblack/living"
	"lampblack/rig"
)

// plan is the cue list made ready for At.
type plan struct {
	fades []fade     // by start: looks that stay
	bumps bumpIndex  // looks that fall back
	dark  *rig.Still // before the first fade
	entry entry      // and the light there: none, or what an evening left

	lives   []*alive // by cue, what moves by itself in it; nil where all stands
	listens bool     // some of that goes by what is heard as it comes
}

// entry is the light that stands before the first fade: that which an evening's
// step before leaves, by its order and not by what happened. The zero value is
// darkness.
type entry struct {
	levels []float32 // by drive
	flash  []float32 // by unit
}

// fade brings a look over what stood at its start. Both states are whole, so
// no fade needs to know of the one before it.
type fade struct {
	start, up, down time.Duration
	from, to        []float32  // by drive
	course          *course    // nil when the fade runs straight in light
	bounds          rig.Bounds // of what its slots give
	still           *rig.Still // the slots once it is over
	flash           []float32  // by unit
	cue             int        // index in Show.Cues
	lives           *alive     // what moves by itself in to; nil where all stands
	under           []presence // and in from
}

// bump lays a look over the units that it names. What the look does not name stays as
// it is below.
type bump struct {
	start, up, hold, returns time.Duration
	to                       []float32
	still                    *rig.Still
	touches                  []bool // by drive
	units                    []int  // that it touches
	flash                    []float32
	lives                    *alive
}

// compile makes the plan. The state at the start of every fade is computed by
// evaluating the plan as far as it goes. This is where history ends: each fade holds
// both of its states whole, so that At needs only the one that is current.
func (s *Show) compile() {
	drives := len(s.Rig.Drives)
	var bumps []bump
	frame, decoder := s.NewFrame(), rig.NewDecoder(s.Rig, s.universes)
	if s.plan.entry.levels == nil {
		s.plan.entry.levels = make([]float32, drives)
	}
	s.plan.dark = s.encoder.Still(s.plan.entry.levels)
	for i := range s.Looks {
		if l := &s.Looks[i]; l.stands == nil { // the same on every line of the show, and dear
			l.stands = s.encoder.Still(l.Levels)
		}
	}
	for i := range s.Cues {
		c := &s.Cues[i]
		l := &s.Looks[c.Look]
		lives, lent := s.lent[c.Index]
		if !lent || s.player != nil {
			lives = s.enliven(c, s.softenedAs(c))
		}
		s.plan.lives = append(s.plan.lives, lives)
		s.plan.listens = s.plan.listens || lives != nil && lives.hears
		if c.Bump() {
			bumps = append(bumps, bump{start: c.Start, up: c.Up, hold: c.Hold, returns: *c.Returns, to: l.Levels, still: l.stands, touches: l.touches, units: s.touched(l), flash: l.Flash, lives: lives})
			continue
		}
		f := fade{cue: i, start: c.Start, up: c.Up, down: c.Falls(), to: l.Levels, still: l.stands, flash: l.Flash, lives: lives}
		f.under = s.plan.remains(c.Start, drives)
		f.from = make([]float32, drives)
		s.plan.base(f.from, c.Start)
		if max(f.up, f.down) > 0 {
			f.bounds = s.bounds(frame, decoder, c.Start, f.still)
		}
		if l.path != nil && max(f.up, f.down) > 0 {
			f.course = l.path(f.from)
		}
		s.plan.fades = append(s.plan.fades, f)
	}
	s.plan.bumps = newBumpIndex(bumps)
	s.listen()
}

// bounds says between what the slots of a fade lie: those that stand at its start
// without bumps, and those that it ends with. Rounding to slots would otherwise let a
// fade begin or end with a step back.
func (s *Show) bounds(f *Frame, d *rig.Decoder, start time.Duration, end *rig.Still) rig.Bounds {
	s.plan.base(f.Levels, start)
	f.stand(s.plan.standing(start))
	s.encoder.Encode(f.Universes, f.Levels, f.Flash, f.still, s.plan.bounds(start))
	b := rig.Bounds{Low: make([]float32, len(f.Levels)), High: make([]float32, len(f.Levels))}
	d.Decode(b.Low, f.Universes)
	for i, from := range b.Low {
		b.Low[i], b.High[i] = min(from, end.Light[i]), max(from, end.Light[i])
	}
	return b
}

// touched lists the units of which the look names a part.
func (s *Show) touched(l *Look) []int {
	var out []int
	for u := range s.Rig.Units {
		if from, to := s.Rig.UnitDrives(u); from < to && l.touches[from] {
			out = append(out, u)
		}
	}
	return out
}

// standing returns the slots that stand at t, without bumps; nil while a fade
// goes on.
func (p *plan) standing(t time.Duration) *rig.Still {
	i := p.current(t)
	if i < 0 {
		return p.dark
	}
	if f := &p.fades[i]; t-f.start >= max(f.up, f.down) {
		return f.still
	}
	return nil
}

// bounds returns the bounds of the fade that goes on at t.
func (p *plan) bounds(t time.Duration) *rig.Bounds {
	if i := p.current(t); i >= 0 {
		return &p.fades[i].bounds
	}
	return nil
}

// stand notes that all units stand, or with nil that none does.
func (f *Frame) stand(s *rig.Still) {
	for u := range f.still {
		f.still[u] = s
	}
}

// current returns the index of the last fade that has started at t, or -1.
func (p *plan) current(t time.Duration) int {
	return sort.Search(len(p.fades), func(i int) bool { return p.fades[i].start > t }) - 1
}

// base fills levels with the state at t without bumps. Drives that rise keep the time
// of up, those that fall the time of down, so a crossfade may have two lengths.
func (p *plan) base(levels []float32, t time.Duration) {
	i := p.current(t)
	if i < 0 {
		copy(levels, p.entry.levels)
		return
	}
	f := &p.fades[i]
	since := t - f.start
	up, down := share(since, f.up), share(since, f.down)
	if f.course != nil && min(up, down) < 1 {
		f.course.at(levels, up, down)
		return
	}
	for d, from := range f.from {
		to := f.to[d]
		x := up
		if to < from {
			x = down
		}
		levels[d] = toward(from, to, x)
	}
}

// toward goes a share of the way, and at 1 arrives to the last bit.
func toward(from, to, x float32) float32 {
	if x == 1 {
		return to
	}
	return from + x*(to-from)
}

// share returns since/whole, held to 0..1; nothing takes no time.
func share(since, whole time.Duration) float32 {
	if since >= whole {
		return 1
	}
	return max(float32(float64(since)/float64(whole)), 0)
}

// at fills levels with the state when what rises has come so far and what
// falls so far, 0 to 1.
func (c *course) at(levels []float32, up, down float32) {
	a, b, y := c.around(up)
	e, f, z := c.around(down)
	for d, falls := range c.falls {
		if falls {
			levels[d] = toward(e[d], f[d], z)
		} else {
			levels[d] = toward(a[d], b[d], y)
		}
	}
}

// around returns the knots before and after a share of the way, and how far it
// lies between them.
func (c *course) around(x float32) (before, after []float32, y float32) {
	at := x * float32(len(c.knots)-1)
	i := min(int(at), len(c.knots)-2)
	return c.knots[i], c.knots[i+1], at - float32(i)
}

// weight returns how far the bump has come at t: 0 before and after, 1 while
// it holds.
func (b *bump) weight(t time.Duration) float32 {
	since := t - b.start
	switch {
	case since < 0:
		return 0
	case since < b.up:
		return share(since, b.up)
	case since <= b.up+b.hold:
		return 1
	}
	return 1 - share(since-b.up-b.hold, b.returns)
}

// At fills dst, made by NewFrame, with the state at t and returns it. It
// allocates nothing.
func (s *Show) At(dst *Frame, t time.Duration) *Frame {
	s.at(dst, instant{at: t, living: t})
	return dst
}

// at is At where what lives has a time of its own: of what goes on while the show is held.
func (s *Show) at(dst *Frame, now instant) {
	if s.player != nil {
		dst.At = now.at
		s.player.Frame(dst, now.at)
		return
	}
	s.light(dst, now)
	s.encoder.Encode(dst.Universes, dst.Levels, dst.Flash, dst.still, s.plan.bounds(now.at))
}

// Light is At without the slots: Levels and Flash alone. It is for what looks
// at many instants of light; the slots keep what they were.
//
// Bumps are laid over in the order of their starts: each takes the drives that its look
// names a share of the way from what is there to its own, so a later bump covers an
// earlier one while it holds. Flash rates do not blend; of several the fastest counts.
func (s *Show) Light(dst *Frame, t time.Duration) *Frame {
	return s.LightAs(dst, t, t, nil)
}

// LightAs is Light where what lives has a time of its own, that of what goes on while the
// show is held, and goes by what an ear hears where there is no soundtrack; nil is none.
func (s *Show) LightAs(dst *Frame, t, goesOn time.Duration, ear *living.Ear) *Frame {
	if s.player != nil {
		dst.At = t
		s.player.Light(dst, t)
		return dst
	}
	s.light(dst, instant{t, goesOn, ear})
	return dst
}

// light fills the frame's levels and flash rates by the plan.
func (s *Show) light(dst *Frame, now instant) {
	p, t := &s.plan, now.at
	dst.At = t
	p.base(dst.Levels, t)
	dst.stand(p.standing(t))
	clear(dst.Flash)
	if i := p.current(t); i >= 0 {
		copy(dst.Flash, p.fades[i].flash)
	} else {
		copy(dst.Flash, p.entry.flash)
	}
	p.stir(dst, now)
	s.hush(dst, now)
	for i := p.bumps.next(0, t); i < len(p.bumps.bumps) && p.bumps.bumps[i].start <= t; i = p.bumps.next(i+1, t) {
		b := &p.bumps.bumps[i]
		w := b.weight(t)
		if w == 0 {
			continue
		}
		for d, on := range b.touches {
			if on {
				dst.Levels[d] += w * (b.to[d] - dst.Levels[d])
			}
		}
		for _, u := range b.units {
			dst.still[u] = rig.Loose
			if w == 1 {
				dst.still[u] = b.still
			}
		}
		if b.lives != nil {
			b.lives.add(dst.Levels, now, shareOf{bump: w})
			dst.stir(b.lives, now)
		}
		for u, rate := range b.flash {
			dst.Flash[u] = max(dst.Flash[u], rate)
		}
	}
}

// NewFrame returns a frame that At can fill.
func (s *Show) NewFrame() *Frame {
	f := &Frame{
		Levels:    make([]float32, len(s.Rig.Drives)),
		Flash:     make([]float32, len(s.Rig.Units)),
		still:     make([]*rig.Still, len(s.Rig.Units)),
		Universes: make([]rig.Universe, len(s.universes)),
	}
	for i, n := range s.universes {
		f.Universes[i].Number = n
	}
	return f
}
