package show

import (
	"cmp"
	"maps"
	"slices"
	"sort"
	"time"

	"lampblack/room"
	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// curtain is how far one thing is open, as a function of the piece's own time.
type curtain struct {
	name   string
	shares []float64 // at which it is known, above 0
	draws  []leg     // along a line from 0 to 1
}

// open is how far it is open at t; what is not on stage is away.
func (s *Show) open(c *curtain, t time.Duration) float64 {
	if !s.onStage(c.name, t) {
		return 1
	}
	i := sort.Search(len(c.draws), func(i int) bool { return c.draws[i].start > t }) - 1
	if i < 0 {
		return 0
	}
	return float64(c.draws[i].pose(c.draws[i].share(t)).At[0])
}

// opened is how far all is open at t of the piece's own time.
func (s *Show) opened(t time.Duration) map[string]float64 {
	out := map[string]float64{}
	for i := range s.curtains {
		out[s.curtains[i].name] = s.open(&s.curtains[i], t)
	}
	return out
}

// turns are the times of the piece at which anything stands at a share that is known, or begins or ends
// to move, in order and each once.
func (s *Show) turns() (out []time.Duration) {
	for i := range s.curtains {
		out = append(out, s.turnsOf(&s.curtains[i])...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// turnsOf are those of one curtain.
func (s *Show) turnsOf(c *curtain) (out []time.Duration) {
	if on, said := s.spansOf(c.name); said {
		for _, span := range on {
			out = append(out, span.From, span.To)
		}
	}
	for i := range c.draws {
		l := &c.draws[i]
		out = append(out, l.start, l.end)
		from, to := l.points[0][0], l.points[1][0]
		for _, share := range c.shares {
			if share > min(from, to) && share < max(from, to) {
				out = append(out, l.when((share-from)/(to-from)))
			}
		}
	}
	return out
}

// when is the time at which a share of a leg has been gone.
func (l *leg) when(share float64) time.Duration {
	took := l.end - l.start
	i := sort.Search(4096, func(i int) bool { return l.share(l.start+took*time.Duration(i)/4096) >= share })
	return l.start + took*time.Duration(i)/4096
}

// mostBlended bounds how many curtains are followed that move at one time; the others are taken
// as they come next.
const mostBlended = 3

// seen is the room at t of the piece's own time, with what is named where it is then, and
// everybody else at home.
func (s *Show) seen(t time.Duration, names ...string) *room.Transport {
	all, weights := s.blend(t)
	if len(all) == 0 {
		return s.with(s.Transport, t, names)
	}
	var of []*room.Transport
	for _, setting := range all {
		of = append(of, s.with(s.settings.in(setting), t, names))
	}
	return room.Mixed(of, weights)
}

// with is a transport with what is named where it is at t.
func (s *Show) with(in *room.Transport, t time.Duration, names []string) *room.Transport {
	var posed []*room.Posed
	for _, name := range names {
		if p := s.posedAt(in, name, t); p != nil {
			posed = append(posed, p)
		}
	}
	return in.With(posed...)
}

// blend is between which settings the room is at t, and how much it is each; nil where nothing opens.
func (s *Show) blend(t time.Duration) (all []room.Setting, weights []float64) {
	if !s.divided() {
		return nil, nil
	}
	at := maps.Clone(s.settings.open)
	for name := range at {
		at[name] = 0
	}
	all, weights = []room.Setting{at}, []float64{1}
	for i := range s.curtains {
		c := &s.curtains[i]
		below, share := c.between(s.open(c, t))
		if len(all) == 1<<mostBlended {
			share = float64(int(share + .5))
		}
		n := len(all)
		for k := range n {
			all[k][c.name] = below
			if share == 1 { // one that moves beside too many others
				all[k][c.name]++
			} else if share > 0 {
				next := maps.Clone(all[k])
				next[c.name]++
				all, weights = append(all, next), append(weights, weights[k]*share)
				weights[k] *= 1 - share
			}
		}
	}
	return all, weights
}

// between is the last known share that is not above an opening (0 is closed), and how far it is to
// the next.
func (c *curtain) between(open float64) (below int, share float64) {
	const there = .002 // of the way between two, so that the turns of a curtain are at known ones
	from := 0.
	for k, to := range c.shares {
		if share = (open - from) / (to - from); share < there {
			return k, 0
		} else if share < 1-there {
			return k, share
		}
		from = to
	}
	return len(c.shares), 0
}

// setCurtains makes the curtains of all that opens, comes or goes and stands in the light.
func (s *Show) setCurtains(faults *source.Faults) {
	s.curtains = nil
	for i := range s.Score.Opens {
		e := &s.Score.Opens[i]
		f := s.Room.Surfaces.Get(e.Name)
		switch {
		case f == nil:
			faults.Add(e.Pos, source.OneOf(e.Name, source.Names(s.Room.Surfaces)), "the room has no surface %q that opens", e.Name)
			continue
		case f.Opens == "":
			faults.Add(e.Pos, "opens: to the sides, to the left, to the right or upward, of "+e.Name+" in room.yaml", "how %s opens is not said", e.Name)
			continue
		}
		c := curtain{name: e.Name, shares: s.Room.Divided(e.Name)}
		for k := range e.Value {
			s.addDraw(&c, &e.Value[k], faults)
		}
		s.curtains = append(s.curtains, c)
	}
	for name := range s.stage {
		if stands(s.Room, name) && !slices.ContainsFunc(s.curtains, func(c curtain) bool { return c.name == name }) {
			s.curtains = append(s.curtains, curtain{name: name, shares: s.Room.Divided(name)})
		}
	}
	sortCurtains(s.curtains)
}

// addDraw adds one opening or closing behind those before it.
func (s *Show) addDraw(c *curtain, d *score.Draw, faults *source.Faults) {
	l := leg{pace: d.Pace, start: s.setsOut(&d.Going)}
	from := 0.
	if n := len(c.draws); n > 0 {
		last := &c.draws[n-1]
		if l.start <= last.start {
			faults.Add(d.Pos, "write the openings in the order of their times, each with a beginning of its own", "%s opens or closes at %s, and the opening that is written before it begins at %s", c.name, si.FormatTime(l.start), si.FormatTime(last.start))
			return
		}
		from = float64(last.pose(last.share(l.start)).At[0])
	}
	if s.Length > 0 && l.start > s.Length {
		faults.Note(d.Pos, "", "%s opens or closes at %s, and the piece is over at %s", c.name, si.FormatTime(l.start), si.FormatTime(s.Length))
	}
	l.points = [][3]float64{{from}, {float64(d.To)}}
	l.from, l.to = [3]float64{0, -1, 0}, [3]float64{0, -1, 0}
	l.measure()
	l.end = s.arrival(&l, "the opening of "+c.name, d.Pos, &d.Going, faults)
	c.draws = append(c.draws, l)
}

// sortCurtains puts curtains in the order of their names, so that nothing hangs on that of a map.
func sortCurtains(all []curtain) {
	slices.SortFunc(all, func(a, b curtain) int { return cmp.Compare(a.name, b.name) })
}
