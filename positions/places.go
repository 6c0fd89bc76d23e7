package positions

import (
	"math"
	"math/rand/v2"

	"lampblack/check/hang"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/score"
	"lampblack/si"
)

// What is taken of places where the files do not say (common practice or a choice, no source).
const (
	lowestStand  = 1.0 // m, of a lens on a stand
	highestStand = 3.0 // m
	floorHeight  = .15 // m, of a lens on the floor, over half its body
	feet         = .5  // m from a stand's pole to the ends of its feet
	fromWalls    = .3  // m
	aboveGround  = .3  // m, of a bar below the ceiling
	people       = .8  // m that performers have around them
	apart        = .35 // m between lenses on one bar or tree, beside their bodies
	aroundSeats  = .6  // m that the seating takes around its outermost seats
	leastThrow   = 1.0 // m; from nearer a lamp makes a spot
	sight        = .25 // m beside a line of sight
	usualBar     = 2.0 // m that a bar of which nobody says where hangs before the stage's edge
)

// Spot is where a unit is and what it aims at.
type Spot struct {
	Unit    int    // index in the plan's rig
	On      string // "bar", "stand", "tree" or "floor"
	Support string // its name, "" for a stand that the files do not know
	At, Aim room.Point
	Target  string // what the aim lies on
	Kept    bool   // it was there before
	place   int    // index in ground.places; -1 for a kept one
}

// place is one part of the room where lenses may be: from low to high, along each axis.
type place struct {
	kind, name string
	low, high  room.Point
}

// ground is the room as a place for units.
type ground struct {
	room    *room.Room
	rig     *rig.Rig
	t       *room.Transport // of the room alone
	places  []place
	burns   map[string]bool
	crowd   []room.Point           // people on stage, and where they go
	seating [4]float64             // x and y that seats lie between, with room around them
	sights  [][2]room.Point        // from seats to what they look at
	targets map[string]*room.Panel // by what looks ask of
	poses   map[string][]room.Pose // of these, where they are beside that
	wings   [2]si.Length           // between which the stage is looked at
}

func newGround(r *room.Room, rg *rig.Rig, sc *score.Score, t *room.Transport, wishes []*wishes) *ground {
	g := &ground{room: r, rig: rg, t: t, burns: hang.Burns(r), targets: map[string]*room.Panel{}, poses: map[string][]room.Pose{}}
	g.people(sc)
	for _, w := range wishes {
		for i := range w.parts {
			g.target(w, &w.parts[i])
		}
		for name, poses := range w.poses {
			g.poses[name] = thinned(append(g.poses[name], poses...))
		}
	}
	g.wings = [2]si.Length{si.Length(math.Inf(1)), si.Length(math.Inf(-1))}
	for i := range t.Panels {
		q := &t.Panels[i]
		if q.Back || q.Normal[1] > -.5 || q.Kind != room.KindSurface && q.Kind != room.KindObject {
			continue
		}
		for _, share := range []float64{0, 1} {
			x := q.Corner[0] + q.U[0]*si.Length(share*q.Width)
			g.wings = [2]si.Length{min(g.wings[0], x), max(g.wings[1], x)}
		}
	}
	g.look()
	g.support()
	return g
}

// target finds the panel of what a part asks of.
func (g *ground) target(w *wishes, p *score.Part) {
	name := p.Target()
	if name == "" || g.targets[name] != nil {
		return
	}
	for i := range g.t.Panels {
		if q := &g.t.Panels[i]; q.Name == name && !q.Back {
			g.targets[name] = q
			return
		}
	}
}

// support lists the places: what the files name, else stands and the floor.
func (g *ground) support() {
	r := g.room
	left, right, front, back := -r.Size[0]/2+fromWalls, r.Size[0]/2-fromWalls, -r.Front+fromWalls, r.Size[1]-r.Front-fromWalls
	top := r.Size[2] - aboveGround
	stands := false
	for i := range g.rig.Supports {
		e := &g.rig.Supports[i]
		s, high := &e.Value, e.Value.Height
		if high <= 0 && s.Kind == rig.Bar {
			high = min(3, top)
		}
		p := place{kind: string(s.Kind), name: e.Name}
		if s.Kind == rig.Bar {
			y := g.barAt(e.Name, s)
			p.low, p.high = room.Point{left, y, min(high, top)}, room.Point{right, y, min(high, top)}
		} else {
			stands = true
			if high <= 0 {
				high = highestStand
			}
			p.low, p.high = room.Point{left, front, min(lowestStand, high)}, room.Point{right, back, min(high, top)}
			if s.At != nil {
				p.low[0], p.low[1], p.high[0], p.high[1] = s.At[0], s.At[1], s.At[0], s.At[1]
			}
		}
		g.places = append(g.places, p)
	}
	if !stands {
		g.places = append(g.places, place{kind: "stand", low: room.Point{left, front, lowestStand}, high: room.Point{right, back, min(highestStand, top)}})
	}
	g.places = append(g.places, place{kind: "floor", low: room.Point{left, front, floorHeight}, high: room.Point{right, back, floorHeight}})
}

// barAt is how far up the stage a bar hangs: where its file says, as its units do, or where it usually is.
func (g *ground) barAt(name string, s *rig.Support) si.Length {
	if s.At != nil {
		return s.At[1]
	}
	sum, n := si.Length(0), si.Length(0)
	for i := range g.rig.Units {
		if u := &g.rig.Units[i]; u.On.Name == name && u.Hung != nil {
			sum, n = sum+u.At[1], n+1
		}
	}
	if n > 0 {
		return sum / n
	}
	return max(-usualBar, -g.room.Front/2)
}

// half is half of a unit's greatest size, in m; a small one where nobody said.
func half(t *rig.Type) float64 {
	if h := float64(max(t.Size[0], t.Size[1], t.Size[2])) / 2; h > 0 {
		return h
	}
	return .1
}

// draw picks a place at random, of those that a unit may have.
func (g *ground) draw(r *rand.Rand, u *rig.Unit) (Spot, bool) {
	var open []int
	for i := range g.places {
		if u.On.Name == "" || u.On.Name == g.places[i].name {
			open = append(open, i)
		}
	}
	if len(open) == 0 {
		return Spot{}, false
	}
	k := open[r.IntN(len(open))]
	if g.places[k].kind == "floor" && r.IntN(2) == 0 { // the floor takes fewer
		k = open[r.IntN(len(open))]
	}
	s := Spot{On: g.places[k].kind, Support: g.places[k].name, place: k}
	for i := range s.At {
		low, high := g.places[k].low[i], g.places[k].high[i]
		s.At[i] = low + (high-low)*si.Length(r.Float64())
	}
	return s, true
}

// clamp brings a place back into the part of the room that it is in, on whole steps.
func (g *ground) clamp(s *Spot, u *rig.Unit) {
	if s.place < 0 {
		return
	}
	p := &g.places[s.place]
	for i := range s.At {
		s.At[i] = min(max(rounded(s.At[i]), p.low[i]), p.high[i])
	}
	if s.On == "floor" {
		s.At[2] = max(s.At[2], rounded(max(u.Type.Size[1], u.Type.Size[2])/2+.05)) // its cells lie level
	}
}

// nuisance is what a place costs beside the light, small beside a goal that is missed: a stand is another thing
// to carry and to fall over, in the picture it is seen, and a lamp is aimed soonest at the middle of a thing.
func (g *ground) nuisance(s *Spot) float64 {
	if s.Kept {
		return 0
	}
	sum := 0.0
	if q := g.targets[s.Target]; q != nil && g.poses[s.Target] == nil {
		x, y := along(q, s.Aim)
		sum = .01 * math.Hypot(2*x/q.Width-1, 2*y/q.Height-1)
	}
	middle, reach := float64(g.wings[0]+g.wings[1])/2, float64(g.wings[1]-g.wings[0])/2
	switch {
	case s.On == "bar":
		return sum
	case s.At[1] <= 0 || !(reach > 0):
		return sum + .02
	}
	return sum + .02 + .15*max(0, 1-math.Abs(float64(s.At[0])-middle)/reach)
}

// grain is what a person can set with a tape on a ladder.
const grain = .05 // m

func rounded(l si.Length) si.Length { return si.Length(math.Round(float64(l)/grain)) * grain }
