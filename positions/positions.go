package positions

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
)

// Options say how to look for positions. The zero value places what has no place, and takes the time it takes.
type Options struct {
	Move     bool          // units that have a place may be moved as well
	For      time.Duration // at most so long; 0 is no bound
	Seed     uint64
	Progress func(share float64) // is told how far it is; may be nil
}

// Plan is what was found.
type Plan struct {
	Rig     *rig.Rig    // with every unit where it is suggested
	Spots   []Spot      // in the rig's order, of units that were placed or turned
	Misses  []show.Miss // what looks ask for and still do not get
	Idle    []int       // units without a place, of which no look asks anything that has a number
	Nowhere []int       // units for which there is no place left that is allowed
	Bright  []int       // units whose lens the audience sees, as no other place serves
	Cut     bool        // the search was cut off, by time or by hand: better may be there
	Coarse  bool        // and the verdict is of light that was computed coarsely
	Tried   int         // so many units more were tried at the most, where goals are missed
	More    int         // so many more units like Like would do; 0 where none are wanted, or none were found to
	Like    int
	Show    *show.Show // of the verdict
	Ground  Rules
}

// Rules are what places were allowed by, in words.
type Rules []string

// What the search goes by. Coarse light is off by a few hundredths; narrow is by how much goals are made
// harder for that.
var (
	coarse = room.Fineness{Patches: 500, Elements: 80, Bands: 5}
	middle = room.Fineness{Patches: 1500, Elements: 250, Bands: 8}
)

const (
	narrow     = .04
	mostSpots  = 240 // candidates in one go
	leastSpots = 24  // for one kind of unit
)

// ErrNothing is that nothing is there to be placed.
var ErrNothing = errors.New("no unit wants a place")

// planner is one run of Find.
type planner struct {
	files   show.Files
	o       Options
	random  *rand.Rand
	wishes  []*wishes
	looksOf [][]int // by unit: looks that it has a part in
	ground  *ground
	free    []int // units that are placed or turned
	idle    []int
	spots   []Spot // by unit, as far as is known
	narrow  float64
	stay    time.Duration
	bright  bool // lenses in the audience's eyes are put up with
	done    float64
	began   time.Time
	once    time.Duration // what carrying the rig coarsely and solving its looks took
	child   func(eye int) bool
}

// Find looks for places and aims. When ctx ends, or time is up, the best so far is returned, if there is any.
// The same files, options and seed have the same answer, unless time cuts it off.
func Find(ctx context.Context, f show.Files, o Options) (*Plan, error) {
	p := &planner{}
	plan, err := p.find(ctx, f, o)
	if err == nil && len(plan.Misses) > 0 && !plan.Cut {
		p.more(ctx, plan)
	}
	return plan, err
}

// find is Find without the question of how many more would do.
func find(ctx context.Context, f show.Files, o Options) (*Plan, error) {
	return (&planner{}).find(ctx, f, o)
}

func (p *planner) find(ctx context.Context, f show.Files, o Options) (*Plan, error) {
	*p = planner{files: f, o: o, random: rand.New(rand.NewPCG(o.Seed, 1)), narrow: narrow, began: time.Now()}
	if err := p.prepare(ctx); err != nil {
		return nil, err
	}
	search, cancel := ctx, context.CancelFunc(func() {})
	if o.For > 0 {
		search, cancel = context.WithTimeout(ctx, o.For*7/10) // the rest is for the verdict
	}
	defer cancel()
	err := p.search(search)
	if p.spots == nil {
		return nil, err
	}
	return p.conclude(ctx, search)
}

// prepare reads what looks ask for, and what the room allows.
func (p *planner) prepare(ctx context.Context) error {
	t, _ := p.files.Carry(ctx, p.files.Rig, coarse)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	s, faults := p.files.Hung(ctx, p.files.Rig, t, nil)
	if err := faults.Err(); err != nil {
		return err
	}
	p.wishes, p.stay = wishesOf(s), stayOf(s)
	p.child = func(e int) bool { return childAt(p.files.Room, e) }
	p.ground = newGround(p.files.Room, p.files.Rig, p.files.Score, t, p.wishes)
	for i := range p.wishes {
		w := p.wishes[i]
		for part := range w.parts {
			if g := w.parts[part].Glow; g != nil {
				if glow, ok := t.Glow(g.Object.Name, make([]float32, len(t.Light))); ok {
					w.eyes[part] = eye{glow.Adapted, float64(glow.Least.High)}
				}
			}
		}
	}
	p.once = time.Since(p.began)
	p.sort()
	switch {
	case len(p.wishes) == 0:
		return fmt.Errorf("%w: no look asks for lux or glow of units that can give it", ErrNothing)
	case len(p.free) == 0:
		return ErrNothing
	}
	return nil
}

// childAt tells whether an eye of the transport, seats first, is a child's.
func childAt(r *room.Room, eye int) bool {
	if eye < len(r.Seats) {
		return r.Seats[eye].Child
	}
	return eye-len(r.Seats) < len(r.People) && r.People[eye-len(r.Seats)].Child
}

// step tells how far it is.
func (p *planner) step() { p.tell(p.done + (1-p.done)*.02) }

func (p *planner) tell(share float64) {
	p.done = max(p.done, min(share, 1))
	if p.o.Progress != nil {
		p.o.Progress(p.done)
	}
}

// search fills spots.
func (p *planner) search(ctx context.Context) error {
	spots, of := p.start()
	c, err := p.carry(ctx, spots, of, coarse)
	if err != nil {
		return err
	}
	p.tell(.2)
	at := slices.Repeat([]int{-1}, len(of))
	for u := range of {
		if !slices.Contains(p.free, u) && len(of[u]) > 0 {
			at[u] = of[u][0]
		}
	}
	s := c.newState(at)
	c.greedy(ctx, s)
	if ctx.Err() == nil && slices.ContainsFunc(p.free, func(u int) bool { return s.at[u] < 0 && len(of[u]) > 0 }) {
		p.bright = true // no other place serves
		c.greedy(ctx, s)
	}
	p.keep(c, s)
	c.judge(ctx, s)
	c.exchange(ctx, s, 6)
	c.judge(ctx, s)
	c.exchange(ctx, s, 3)
	p.keep(c, s)
	p.tell(.4)
	for i, reach := range []float64{.8, .4, .2, .1} {
		if err := p.refine(ctx, reach, coarse); err != nil {
			return err
		}
		p.tell(.4 + .1*float64(i+1))
	}
	return nil
}

// keep notes where the units are.
func (p *planner) keep(c *carried, s *state) {
	p.spots = make([]Spot, len(s.at))
	for u, at := range s.at {
		p.spots[u] = Spot{Unit: -1}
		if at >= 0 {
			p.spots[u] = c.spots[at]
			p.spots[u].Unit = u
		}
	}
}
