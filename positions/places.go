package positions

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

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
	sights  [][2]room.Point        // from seats to what they look at
	targets map[string]*room.Panel // by what looks ask of
	wings   [2]si.Length           // between which the stage is looked at
}

func newGround(r *room.Room, rg *rig.Rig, t *room.Transport, wishes []*wishes) *ground {
	g := &ground{room: r, rig: rg, t: t, burns: hang.Burns(r), targets: map[string]*room.Panel{}}
	for i := range r.People {
		g.crowd = append(g.crowd, r.People[i].At)
	}
	for i := range r.Marks {
		g.crowd = append(g.crowd, r.Marks[i].Value)
	}
	for _, w := range wishes {
		for i := range w.parts {
			g.target(w, &w.parts[i])
		}
	}
	g.wings = [2]si.Length{si.Length(math.Inf(1)), si.Length(math.Inf(-1))}
	for _, q := range g.targets {
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
	name := targetOf(p)
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

func targetOf(p *score.Part) string {
	switch {
	case p.Glow != nil:
		return p.Glow.Object.Name
	case p.Lux != nil:
		return p.On.Name
	}
	return ""
}

// look lists the lines of sight that nothing may stand in: from each seat to things and people on stage.
func (g *ground) look() {
	var seen []room.Point
	for i := range g.room.Objects {
		seen = append(seen, g.room.Objects[i].Value.Centre)
	}
	for i := range g.room.People {
		seen = append(seen, g.room.People[i].At)
	}
	for i := range g.room.Surfaces {
		if s := &g.room.Surfaces[i].Value; s.Width < 1.5 && g.targets[g.room.Surfaces[i].Name] != nil {
			seen = append(seen, s.Centre)
		}
	}
	for i := range g.room.Seats {
		for _, to := range seen {
			g.sights = append(g.sights, [2]room.Point{g.room.Seats[i].At, to})
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
		s.At[2] = max(s.At[2], rounded(si.Length(half(u.Type)+.05)))
	}
}

// nuisance is what a place costs beside the light, small beside a goal that is missed: a stand is another thing
// to carry and to fall over, and in the picture it is seen.
func (g *ground) nuisance(s *Spot) float64 {
	if s.Kept || s.On == "bar" {
		return 0
	}
	if s.At[1] > 0 && s.At[0] > g.wings[0] && s.At[0] < g.wings[1] {
		return .1
	}
	return .01
}

// grain is what a person can set with a tape on a ladder.
const grain = .05 // m

func rounded(l si.Length) si.Length { return si.Length(math.Round(float64(l)/grain)) * grain }

// may tells whether a unit may be at a place, by what the room says of people and things. In fact the checks
// have the last word; their own rules are taken where they have any.
func (g *ground) may(s *Spot, u *rig.Unit) bool {
	x, y, z := float64(s.At[0]), float64(s.At[1]), float64(s.At[2])
	body := half(u.Type)
	around := body
	if s.On == "stand" || s.On == "tree" {
		around = max(body, feet)
		if e := g.rig.Supports.Get(s.Support); e != nil {
			around = max(body, float64(e.Base)/2)
		}
	}
	overhead := s.On == "bar" && z-body >= hang.Headroom
	if !overhead && hang.Below(g.room, x, y, around+.05) != "" {
		return false
	}
	if s.On != "bar" {
		for _, p := range g.crowd {
			if math.Hypot(float64(p[0])-x, float64(p[1])-y) < people {
				return false
			}
		}
		for _, line := range g.sights {
			if blocks(line, x, y, z+body) {
				return false
			}
		}
	}
	return g.clear(s, u, body)
}

// blocks tells whether what stands at a point, so high, is in a line of sight.
func blocks(line [2]room.Point, x, y, top float64) bool {
	ax, ay, az := float64(line[0][0]), float64(line[0][1]), float64(line[0][2])
	dx, dy, dz := float64(line[1][0])-ax, float64(line[1][1])-ay, float64(line[1][2])-az
	l := dx*dx + dy*dy
	if l == 0 {
		return false
	}
	t := ((x-ax)*dx + (y-ay)*dy) / l
	if t < 0 || t > 1 {
		return false
	}
	return math.Hypot(ax+t*dx-x, ay+t*dy-y) < sight && az+t*dz < top+.05
}

// clear tells whether the unit's body is clear of all that stands in the room, by the maker's distance from
// what burns.
func (g *ground) clear(s *Spot, u *rig.Unit, body float64) bool {
	for i := range g.t.Panels {
		q := &g.t.Panels[i]
		far := hang.From(q, s.At)
		least := body + .02
		switch {
		case q.Kind == room.KindWall:
			least = body // it may be fixed close to one
			if q.Name == room.FloorName {
				continue
			}
		case g.burns[q.Name]:
			least = max(least, float64(u.Type.Clear)+body+.01)
		}
		if q.Kind == room.KindWall && u.Type.Clear == 0 {
			continue
		}
		if float64(q.Normal[2]) > .9 && float64(q.Corner[2]) < .05 { // what lies on the floor is stood on
			continue
		}
		if far < least {
			return false
		}
	}
	return !g.inside(s.At)
}

func (g *ground) inside(p room.Point) bool {
	for i := range g.room.Boxes {
		b := &g.room.Boxes[i].Value
		in := true
		for k := range p {
			in = in && math.Abs(float64(p[k]-b.Centre[k])) <= float64(b.Size[k])/2
		}
		if in {
			return true
		}
	}
	for i := range g.room.Pillars {
		q := &g.room.Pillars[i].Value
		if math.Hypot(float64(p[0]-q.Foot[0]), float64(p[1]-q.Foot[1])) <= float64(q.Across)/2+.05 && p[2] <= q.Foot[2]+q.Height {
			return true
		}
	}
	return false
}

// sees tells whether a unit may aim so: what it lights is not nearer than its maker wants.
func (g *ground) sees(s *Spot, u *rig.Unit) bool {
	var way room.Point
	far := 0.0
	for i := range way {
		way[i] = s.Aim[i] - s.At[i]
		far += float64(way[i] * way[i])
	}
	if far < .04 {
		return false
	}
	l, ok := g.t.Trace(s.At, way)
	least := float64(u.Type.Lit)
	if !s.Kept {
		least = max(least, leastThrow)
	}
	return ok && l.Distance >= least && math.Sqrt(far) >= least
}

// meet tells whether two units are in each other's way.
func (g *ground) meet(a, b *Spot, ta, tb *rig.Type) bool {
	dx, dy, dz := float64(a.At[0]-b.At[0]), float64(a.At[1]-b.At[1]), float64(a.At[2]-b.At[2])
	flat := math.Hypot(dx, dy)
	bodies := half(ta) + half(tb)
	switch {
	case a.On == "bar" && b.On == "bar" || a.On == "tree" && a.Support == b.Support:
		return math.Hypot(flat, dz) < bodies+.1
	case a.On == "stand" && b.On == "stand":
		return a.Support != "" && a.Support == b.Support || flat < 2*feet
	case a.Kept && b.Kept:
		return false
	}
	return math.Hypot(flat, dz) < bodies+.1 || flat < bodies+.2 && a.On != "bar" && b.On != "bar"
}

// aims are points to aim at, of what a unit's looks ask for: the middle, and of what is large points between
// that and its edges.
func (g *ground) aims(names []string) (out []room.Point, of []string) {
	for _, name := range names {
		q := g.targets[name]
		if q == nil {
			continue
		}
		across, up := []float64{.5}, []float64{.5}
		if q.Width > 1.2 {
			across = []float64{.5, .25, .75}
		}
		if q.Height > 1.2 {
			up = []float64{.5, .3, .7}
		}
		for _, a := range across {
			for _, b := range up {
				out, of = append(out, on(q, a, b)), append(of, name)
			}
		}
	}
	return out, of
}

// on is a point of a panel, by shares of its width and height.
func on(q *room.Panel, across, up float64) (p room.Point) {
	for i := range p {
		p[i] = rounded(q.Corner[i] + q.U[i]*si.Length(across*q.Width) + q.V[i]*si.Length(up*q.Height))
	}
	return p
}

// faces tells whether a point is before the face of a panel.
func faces(q *room.Panel, p room.Point) bool {
	sum := si.Length(0)
	for i := range p {
		sum += (p[i] - q.Corner[i]) * q.Normal[i]
	}
	return sum > .05
}

// promise is how much light a lamp at a place would bring to a point of a panel, as if nothing stood between.
func promise(q *room.Panel, at, point room.Point) float64 {
	square, along := 0.0, 0.0
	for i := range at {
		d := float64(at[i] - point[i])
		square += d * d
		along += d * float64(q.Normal[i])
	}
	return along / math.Pow(max(square, .3), 1.5)
}

// candidates draws so many places and aims for a unit, of which half promise most and half are any.
func (g *ground) candidates(r *rand.Rand, u *rig.Unit, names []string, many int) []Spot {
	aims, of := g.aims(names)
	if len(aims) == 0 {
		return nil
	}
	type scored struct {
		Spot
		worth float64
	}
	var all []scored
	for try := 0; try < 60*many && len(all) < 4*many; try++ {
		s, ok := g.draw(r, u)
		if !ok {
			return nil
		}
		if u.Hung != nil {
			s = Spot{On: onOf(g.rig, u), Support: u.On.Name, At: u.At, place: -1}
		}
		g.clamp(&s, u)
		k := r.IntN(len(aims))
		if s.Aim, s.Target = aims[k], of[k]; u.Aimed != nil {
			s.Aim, s.Target = u.Aim, ""
		}
		q := g.targets[of[k]]
		if !faces(q, s.At) || u.Hung == nil && !g.may(&s, u) || !g.sees(&s, u) {
			continue
		}
		all = append(all, scored{s, promise(q, s.At, s.Aim)})
		if u.Hung != nil && len(all) > len(aims)*3 {
			break
		}
	}
	best := slices.Clone(all)
	slices.SortStableFunc(best, func(a, b scored) int { return cmp.Compare(b.worth, a.worth) })
	var out []Spot
	for i := 0; len(out) < many && i < len(all); i++ {
		for _, s := range []Spot{best[i].Spot, all[i].Spot} {
			if len(out) < many && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// onOf is what a unit of the files is on.
func onOf(r *rig.Rig, u *rig.Unit) string {
	if s := r.Supports.Get(u.On.Name); s != nil {
		return string(s.Kind)
	}
	switch z := float64(u.At[2]); {
	case z < .6:
		return "floor"
	case z > hang.Headroom+.3:
		return "bar"
	}
	return "stand"
}
