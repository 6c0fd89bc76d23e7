package show

import (
	"math"
	"slices"
	"sort"
	"time"

	"lampblack/living"
	"lampblack/room"
	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// way is where one object or performer is, as a function of the piece's own time. It does
// not change once it is made.
type way struct {
	home  room.Pose
	legs  []leg
	bears *bearing // of what is carried: by whom
}

// leg is one crossing: from a pose to another, by way of points.
type leg struct {
	pos        source.Pos
	start, end time.Duration
	points     [][3]float64 // where it starts, through, and where it arrives
	runs       []float64    // metres from the first point, by point
	from, to   [3]float64   // directions that it faces
	pace       score.Pace
	bars       []time.Duration // within start and end
}

// bearing is that a thing goes with somebody.
type bearing struct {
	by     *way
	offset [3]float64 // from who carries it, as both stand at home
	yaw    float64    // of who carries it, at home
	faces  [3]float64
}

// setWays makes the ways of all that crosses, and of what is carried by it.
func (s *Show) setWays(faults *source.Faults) {
	s.ways = nil
	if len(s.Score.Crosses) == 0 {
		return
	}
	s.ways = map[string]*way{}
	for i := range s.Score.Crosses {
		e := &s.Score.Crosses[i]
		home, ok := s.Room.Home(e.Name)
		if !ok {
			faults.Add(e.Pos, source.OneOf(e.Name, s.players()), "the room has no object and no performer %q that crosses", e.Name)
			continue
		}
		if o := s.Room.Objects.Get(e.Name); o != nil && o.Carried.Name != "" {
			faults.Add(e.Pos, "let "+o.Carried.Name+" cross, or take out carried by in room.yaml", "%s is carried by %s, and crosses by itself", e.Name, o.Carried.Name)
			continue
		}
		w := &way{home: home}
		for k := range e.Value {
			s.addLeg(w, e.Name, &e.Value[k], faults)
		}
		if len(w.legs) > 0 {
			s.ways[e.Name] = w
		}
	}
	for i := range s.Room.Objects {
		o := &s.Room.Objects[i]
		if by := s.ways[o.Value.Carried.Name]; by != nil {
			home, _ := s.Room.Home(o.Name)
			s.ways[o.Name] = &way{home: home, bears: bearingOf(by, home)}
		}
	}
}

// bearingOf is that a thing which is at home there goes with somebody.
func bearingOf(by *way, home room.Pose) *bearing {
	return &bearing{by: by, offset: less(metres(home.At), metres(by.home.At)), yaw: yawOf(metres(by.home.Faces)), faces: metres(home.Faces)}
}

// addLeg adds one crossing behind those before it.
func (s *Show) addLeg(w *way, name string, c *score.Crossing, faults *source.Faults) {
	l := leg{pos: c.Pos, pace: c.Pace}
	l.start = s.setsOut(&c.Going)
	if n := len(w.legs); n > 0 && l.start == w.legs[n-1].start {
		faults.Add(c.Pos, "give one of them another beginning, or lead one way through both places", "%s sets out twice at %s", name, si.FormatTime(l.start))
		return
	}
	if s.Length > 0 && l.start > s.Length {
		faults.Note(c.Pos, "", "%s sets out at %s, and the piece is over at %s", name, si.FormatTime(l.start), si.FormatTime(s.Length))
	}
	if n := len(w.legs); n > 0 && l.start < w.legs[n-1].start {
		faults.Add(c.Pos, "write the ways in the order of their times", "%s sets out at %s, before the way that is written before it, at %s", name, si.FormatTime(l.start), si.FormatTime(w.legs[n-1].start))
		return
	}
	before := w.at(l.start)
	l.from, l.to = unit(metres(before.Faces)), unit(metres(before.Faces))
	if c.Faces != nil {
		l.to = unit([3]float64{float64(c.Faces[0]), float64(c.Faces[1]), float64(c.Faces[2])})
	}
	l.points = [][3]float64{metres(before.At)}
	good := true
	if c.From != nil {
		l.points[0], good = s.spot(name, c, c.From, faults)
	}
	ends := c.Through
	if c.To != nil {
		ends = append(slices.Clone(ends), *c.To)
	}
	for k := range ends {
		p, ok := s.spot(name, c, &ends[k], faults)
		l.points, good = append(l.points, p), good && ok
	}
	if !good {
		return
	}
	l.measure()
	l.end = s.arrival(&l, "the way of "+name, c.Pos, &c.Going, faults)
	w.legs = append(w.legs, l)
	s.checkLeg(w, name, c, faults)
}

// setsOut is when something begins, in the piece's own time.
func (s *Show) setsOut(g *score.Going) time.Duration {
	if g.At != nil {
		return *g.At
	}
	if cue := s.numbered(g.Cue.Name); cue != nil {
		return cue.Start
	}
	return 0
}

// spot is a place of the room.
func (s *Show) spot(name string, c *score.Crossing, spot *score.Spot, faults *source.Faults) ([3]float64, bool) {
	if spot.Mark.Name == "" {
		return metres(room.Point(spot.At)), true
	}
	if p := s.Room.Marks.Get(spot.Mark.Name); p != nil {
		return metres(*p), true
	}
	hint := source.OneOf(spot.Mark.Name, source.Names(s.Room.Marks))
	if len(s.Room.Marks) == 0 {
		hint = "marks: in room.yaml, by name, each a point"
	}
	faults.Add(spot.Mark.Pos, hint, "%s goes to %q, and the room has no such mark", name, spot.Mark.Name)
	return [3]float64{}, false
}

func (l *leg) measure() {
	l.runs = []float64{0}
	for k := 1; k < len(l.points); k++ {
		l.runs = append(l.runs, l.runs[k-1]+size(less(l.points[k], l.points[k-1])))
	}
}

// bends are the shares of its time at which the way turns at a point, and 1.
func (l *leg) bends() []float64 {
	var out []float64
	took := float64(l.end - l.start)
	for k := 1; k+1 < len(l.runs); k++ {
		low, high := 0., 1.
		for range 40 {
			mid := (low + high) / 2
			if l.share(l.start+time.Duration(mid*took))*l.length() < l.runs[k] {
				low = mid
			} else {
				high = mid
			}
		}
		out = append(out, high)
	}
	return append(out, 1)
}

// length is how long the way is, in metres.
func (l *leg) length() float64 { return l.runs[len(l.runs)-1] }

// arrival is when a leg is over, and sets its bars. Bars that are not heard surely are
// taken as the light does that goes by them (package living).
func (s *Show) arrival(l *leg, what string, pos source.Pos, c *score.Going, faults *source.Faults) time.Duration {
	if c.Takes == nil {
		return l.start
	}
	end := l.start + c.Takes.Time
	if c.Takes.Bars == 0 && l.pace != score.WithBars {
		return end
	}
	bars := living.EventsOf(s.Track, living.Often("bar"), max(s.Length, l.start+time.Hour))
	first := bars.Before(l.start) + 1
	if c.Takes.Bars > 0 {
		end = bars.Time(first + c.Takes.Bars - 1)
		for _, d := range bars.Doubts() {
			if d.From < end && d.To > l.start {
				faults.Note(pos, "give takes as a time, if it matters", "%s goes by bars that are not heard surely there; %s stand in", what, d.Instead)
				break
			}
		}
	}
	for k := first; ; k++ {
		t := bars.Time(k)
		if t >= end {
			break
		}
		l.bars = append(l.bars, t)
	}
	return end
}

// checkLeg tells of a way that leaves the room, or leads into a box.
func (s *Show) checkLeg(w *way, name string, c *score.Crossing, faults *source.Faults) {
	l := &w.legs[len(w.legs)-1]
	s.checkFree(w, l, name, c, faults)
	for i := range s.Room.Objects {
		o := &s.Room.Objects[i]
		if o.Value.Carried.Name == name {
			home, _ := s.Room.Home(o.Name)
			s.checkFree(&way{home: home, bears: bearingOf(w, home)}, l, o.Name, c, faults)
		}
	}
}

// checkFree tells where on a leg a thing leaves the room, or goes through what stands there.
func (s *Show) checkFree(w *way, l *leg, name string, c *score.Crossing, faults *source.Faults) {
	const steps = 64
	for k := range steps + 1 {
		pose := w.carry(l.pose(float64(k) / steps))
		out, inside := s.Room.Leaves(name, pose)
		if out == 0 && inside == "" {
			continue
		}
		at := metres(pose.At)
		what := "reaches " + si.Say(out, "m") + " out of the room"
		if out == 0 {
			what = "goes through " + inside
		}
		faults.Add(c.Pos, "lead it round with through, or move its mark", "the way of %s %s near [%.1f m, %.1f m, %.1f m]", name, what, at[0]+0, at[1]+0, at[2]+0)
		return
	}
}

// at is where it is.
func (w *way) at(t time.Duration) room.Pose {
	legs := w.all()
	i := sort.Search(len(legs), func(i int) bool { return legs[i].start > t }) - 1
	if i < 0 {
		return w.home
	}
	return w.carry(legs[i].pose(legs[i].share(t)))
}

// carry is where a thing is when who carries it is at a pose: as far from them as both stand at
// home, and turned with them. What goes by itself is at the pose.
func (w *way) carry(p room.Pose) room.Pose {
	b := w.bears
	if b == nil {
		return p
	}
	turn := yawOf(metres(p.Faces)) - b.yaw
	at, o := metres(p.At), about(b.offset, turn)
	return room.Pose{At: inRoom([3]float64{at[0] + o[0], at[1] + o[1], at[2] + o[2]}), Faces: inRoom(about(b.faces, turn))}
}

// share is how much of the way has been gone at t.
func (l *leg) share(t time.Duration) float64 {
	if t >= l.end {
		return 1
	}
	if t <= l.start {
		return 0
	}
	x := float64(t-l.start) / float64(l.end-l.start)
	switch {
	case l.pace == score.WithBars && len(l.bars) > 0:
		return l.byBars(t)
	case l.pace == score.Steady || l.pace == score.WithBars:
		return x
	}
	return x * x * (3 - 2*x)
}

// byBars is as far in every bar, the first and last of which may be cut.
func (l *leg) byBars(t time.Duration) float64 {
	i := sort.Search(len(l.bars), func(i int) bool { return l.bars[i] > t })
	from, to := l.start, l.end
	if i > 0 {
		from = l.bars[i-1]
	}
	if i < len(l.bars) {
		to = l.bars[i]
	}
	n := float64(len(l.bars) + 1)
	return (float64(i) + float64(t-from)/float64(max(to-from, 1))) / n
}

// pose is where it is and what it faces when a share of the way is gone.
func (l *leg) pose(share float64) room.Pose {
	run := share * l.length()
	k := sort.SearchFloat64s(l.runs, run)
	p := l.points[min(k, len(l.points)-1)]
	if k > 0 && k < len(l.runs) {
		if step := l.runs[k] - l.runs[k-1]; step > 0 {
			p = between(l.points[k-1], l.points[k], (run-l.runs[k-1])/step)
		}
	}
	if share >= 1 {
		p = l.points[len(l.points)-1]
	}
	return room.Pose{At: inRoom(p), Faces: inRoom(turned(l.from, l.to, share))}
}

// all are the legs by which a thing moves, its own or those of who carries it.
func (w *way) all() []leg {
	if w.bears != nil {
		return w.bears.by.legs
	}
	return w.legs
}

// turned goes from one direction to another by the shorter way round, about the upright where
// they are opposite.
func turned(from, to [3]float64, share float64) [3]float64 {
	cos := math.Max(-1, math.Min(1, from[0]*to[0]+from[1]*to[1]+from[2]*to[2]))
	angle := math.Acos(cos)
	switch {
	case angle < 1e-9:
		return to
	case angle > math.Pi-1e-3:
		if share >= 1 {
			return to
		}
		return about(from, angle*share)
	}
	a, b := math.Sin((1-share)*angle)/math.Sin(angle), math.Sin(share*angle)/math.Sin(angle)
	return [3]float64{a*from[0] + b*to[0], a*from[1] + b*to[1], a*from[2] + b*to[2]}
}

// about turns v about the upright.
func about(v [3]float64, angle float64) [3]float64 {
	sin, cos := math.Sincos(angle)
	return [3]float64{v[0]*cos - v[1]*sin, v[0]*sin + v[1]*cos, v[2]}
}

func yawOf(v [3]float64) float64 { return math.Atan2(v[1], v[0]) }

func metres(p room.Point) [3]float64 {
	return [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}
}

func inRoom(v [3]float64) room.Point {
	return room.Point{si.Length(v[0]), si.Length(v[1]), si.Length(v[2])}
}

func less(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func between(a, b [3]float64, share float64) [3]float64 {
	return [3]float64{a[0] + share*(b[0]-a[0]), a[1] + share*(b[1]-a[1]), a[2] + share*(b[2]-a[2])}
}

func size(v [3]float64) float64 { return math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2]) }

func unit(v [3]float64) [3]float64 {
	if l := size(v); l > 0 {
		return [3]float64{v[0] / l, v[1] / l, v[2] / l}
	}
	return v
}
