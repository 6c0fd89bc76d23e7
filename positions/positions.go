package positions

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
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

// sort tells units that are to be placed from those that stay and those of which nothing is asked.
func (p *planner) sort() {
	units := p.files.Rig.Units
	p.looksOf = make([][]int, len(units))
	asked := make([]bool, len(units))
	for i, w := range p.wishes {
		has := func(u int) {
			if !slices.Contains(p.looksOf[u], i) {
				p.looksOf[u] = append(p.looksOf[u], i)
			}
		}
		for _, f := range w.fixed {
			has(f.unit)
		}
		for k := range w.unknowns {
			for _, u := range w.unknowns[k].units {
				asked[u] = true
				has(u)
			}
		}
	}
	for u := range units {
		at, aim := units[u].Says()
		switch {
		case units[u].Type == nil || units[u].Mode == nil:
		case asked[u] && (p.o.Move || !at || !aim):
			p.free = append(p.free, u)
		case !at || !aim:
			p.idle = append(p.idle, u)
		}
	}
	if p.o.Move {
		for _, u := range p.free {
			units := p.files.Rig.Units
			units[u].Hung, units[u].Aimed = nil, nil
		}
	}
}

// step tells how far it is.
func (p *planner) step() { p.tell(p.done + (1-p.done)*.02) }

func (p *planner) tell(share float64) {
	p.done = max(p.done, min(share, 1))
	if p.o.Progress != nil {
		p.o.Progress(p.done)
	}
}

// alike is a key that units have in common which may take each other's place.
func (p *planner) alike(unit int) string {
	u := &p.files.Rig.Units[unit]
	at, aim := u.Says()
	if at || aim || u.Turn != 0 || u.Mask != 0 {
		return u.Name.Name
	}
	return strings.Join([]string{u.TypeName.Name, u.ModeName.Name, u.On.Name, strings.Join(u.Systems, ","), strings.Join(p.targetsOf(unit), ",")}, "\x00")
}

// targetsOf names what the looks ask of a unit.
func (p *planner) targetsOf(unit int) (out []string) {
	for _, w := range p.wishes {
		for k := range w.unknowns {
			x := &w.unknowns[k]
			if name := targetOf(&w.parts[x.part]); slices.Contains(x.units, unit) && !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	}
	return out
}

// start lists the candidates that the search begins with: units that stay, and for each kind of the others so
// many that all of them are carried in one go.
func (p *planner) start() (spots []Spot, of [][]int) {
	of = make([][]int, len(p.files.Rig.Units))
	kinds := map[string][]int{}
	var order []string
	for u := range p.files.Rig.Units {
		unit := &p.files.Rig.Units[u]
		if slices.Contains(p.free, u) {
			key := p.alike(u)
			if kinds[key] == nil {
				order = append(order, key)
			}
			kinds[key] = append(kinds[key], u)
			continue
		}
		if unit.Type != nil && unit.Mode != nil && !slices.Contains(p.idle, u) && len(p.looksOf[u]) > 0 {
			of[u] = []int{len(spots)}
			spots = append(spots, Spot{Unit: u, On: onOf(p.files.Rig, unit), Support: unit.On.Name, At: unit.At, Aim: unit.Aim, Kept: true, place: -1})
		}
	}
	for _, key := range order {
		units := kinds[key]
		many := max(leastSpots, mostSpots*len(units)/len(p.free))
		if len(order) > 1 {
			many = max(leastSpots, (many+mostSpots/len(order))/2)
		}
		var list []int
		for _, s := range p.ground.candidates(p.random, &p.files.Rig.Units[units[0]], p.targetsOf(units[0]), many) {
			s.Unit = units[0]
			list = append(list, len(spots))
			spots = append(spots, s)
		}
		for _, u := range units {
			of[u] = list
		}
	}
	return spots, of
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
