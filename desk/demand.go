package desk

import (
	"slices"
	"time"

	"lampblack/rig"
	"lampblack/score"
	"lampblack/show"
)

// demand is what the show asks of a desk. It is made once, and the same for all ways to
// use the desk.
type demand struct {
	states []state
	asks   []ask // by time
	moved  []moving
	// apart is the mean difference between two states, by compare.
	apart [][]float64
}

// state is a whole state of the rig that stands at some time.
type state struct {
	name   string    // the look, and whether it is a bump over another
	slots  [512]byte // of the desk's universe
	levels []float32 // what the units make of them
	flash  []float32 // by unit, Hz: what the show asks for
	sight  sight
	stands time.Duration // on stage, in all
	asked  int           // times
	hand   bool          // lights up: recalled by hand, never left out
}

// ask is one recall: a state comes in over a time.
type ask struct {
	at     time.Duration // when its change begins
	over   time.Duration
	land   landing
	lit    time.Duration // after at: when it has to be there, for one that ends on a moment
	state  int
	before int // state that it replaces, -1 at the beginning
	cue    int // index in Show.Cues
	back   bool
	moves  bool // a step of what moves by itself, and not the cue's own change
}

// landing says what of a change must meet its moment, where a desk cannot make
// the change as it was meant.
type landing int8

const (
	anyhow landing = iota // neither: it is to differ as little as it can
	begins                // its first light
	ends                  // its full light
)

// accent is the longest change that is heard and seen as one instant: where it
// begins on a moment and the desk snaps, it snaps there (this tool's choice).
const accent = 500 * time.Millisecond

// demands lists the states and recalls of the show. Recalls are sorted by when their
// change begins; of two at once the one of the later cue comes later and wins, as in
// the show.
func demands(s *show.Show, e *eye, universe int) *demand {
	d := &demand{}
	frame := s.NewFrame()
	c := collector{show: s, eye: e, demand: d, frame: frame, page: page(frame, universe), decoder: newDecoder(s.Rig, universe)}
	for i := range s.Cues {
		c.cue(i)
	}
	slices.SortStableFunc(d.asks, func(a, b ask) int { return int(min(max(a.at-b.at, -1), 1)) })
	c.settle()
	c.lightsUp()
	return d
}

// page returns the frame's slots of a universe, or nil.
func page(f *show.Frame, universe int) *rig.Universe {
	for i := range f.Universes {
		if f.Universes[i].Number == universe {
			return &f.Universes[i]
		}
	}
	return nil
}

// collector works the demand out.
type collector struct {
	*demand
	show  *show.Show
	eye   *eye
	frame *show.Frame
	page  *rig.Universe // of the frame; nil when the show has no such one

	*decoder
}

// cue adds the recalls of one cue: one, or for a bump two.
//
// A bump over a look is a whole state of its own, as a desk lays nothing over anything:
// what is seen at its peak is stored. It needs a second recall to go back, which goes
// to whatever look stands by then; where another cue has taken over meanwhile there is
// nothing to go back to.
func (c *collector) cue(i int) {
	cue := &c.show.Cues[i]
	look := c.show.Looks[cue.Look].Name
	if !cue.Bump() {
		a := ask{at: cue.Start, over: max(cue.Up, cue.Falls()), state: c.look(cue.Look), cue: i}
		switch {
		case cue.Lands == score.Peaks:
			a.land, a.lit = ends, cue.Up
		case cue.Lands == score.Completes:
			a.land, a.lit = ends, a.over
		case a.over <= accent:
			a.land = begins
		}
		c.asks = append(c.asks, a)
		c.moves(i)
		return
	}
	under := c.under(cue.Start)
	name := look
	if under >= 0 {
		name += " over " + c.show.Looks[c.show.Cues[under].Look].Name
	}
	c.show.At(c.frame, cue.Peak)
	up := ask{at: cue.Start, over: cue.Up, land: ends, lit: cue.Up, state: c.state(name), cue: i}
	if cue.Lands != score.Peaks && cue.Lands != score.Completes && cue.Up <= accent {
		up.land = begins
	}
	c.asks = append(c.asks, up)
	falls := cue.Peak + cue.Hold
	if next := c.under(cue.Complete); next >= 0 && c.show.Cues[next].Start <= falls {
		back := ask{at: falls, over: *cue.Returns, state: c.look(c.show.Cues[next].Look), cue: i, back: true}
		if cue.Lands == score.Completes {
			back.land, back.lit = ends, back.over
		}
		c.asks = append(c.asks, back)
	}
}

// under returns the last cue that stays and has started at t, or -1.
func (c *collector) under(t time.Duration) int {
	for i := c.show.CueAt(t); i >= 0; i-- {
		if !c.show.Cues[i].Bump() {
			return i
		}
	}
	return -1
}

// look returns the state of a look by itself.
func (c *collector) look(i int) int {
	l := &c.show.Looks[i]
	copy(c.frame.Levels, l.Levels)
	copy(c.frame.Flash, l.Flash)
	c.show.Encode(c.frame)
	return c.state(l.Name)
}

// state returns the index of the frame's state, which is new or known by its slots.
// Slots tell states apart, not light: two looks that send the same slots are one scene,
// whatever they are called. The first name stays.
func (c *collector) state(name string) int {
	s := state{name: name, levels: slices.Clone(c.frame.Levels), flash: slices.Clone(c.frame.Flash)}
	if c.page != nil {
		s.slots = c.page.Slots
		c.decode(s.levels, s.slots[:])
	}
	for i := range c.states {
		if c.states[i].slots == s.slots {
			return i
		}
	}
	s.sight = c.eye.see(s.levels)
	c.states = append(c.states, s)
	return len(c.states) - 1
}

// settle works out how long each state stands and what each recall replaces. A state
// stands from its recall to the next one. Half of a bump's way back counts for the
// bump, as a fade looks like either end for half of its time.
func (c *collector) settle() {
	before := -1
	for i := range c.asks {
		a := &c.asks[i]
		a.before, before = before, a.state
		end := c.show.Length
		if i+1 < len(c.asks) {
			end = c.asks[i+1].at
		}
		stands := max(end-a.at, 0)
		if a.back { // half of the way back still looks like the bump
			half := min(stands, a.over/2)
			c.states[a.before].stands += half
			stands -= half
		}
		c.states[a.state].stands += stands
		c.states[a.state].asked++
	}
}

// lightsUp adds the state that must be at hand whatever happens.
func (c *collector) lightsUp() {
	clear(c.frame.Flash)
	c.show.LightsUp(c.frame, 1)
	i := c.state("lights up")
	c.states[i].hand = true
}
