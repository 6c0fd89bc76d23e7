package show

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"sort"
	"sync"
	"time"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/room/measure"
	"lampblack/score"
)

// Curtains that open, flats and boxes that come and go: the room is solved for each setting in
// which it is to be known, when it is first asked for. Where nothing of that kind is, all of this
// comes to Show.Transport.
//
//	score.Opens, score.Stage ──▶ openings ──▶ room.Divide ──▶ Transport  all of it open, or away
//	curtains, at t           ──▶ settings.of ──▶ one transport a setting, room.Mixed on the way

// coarsestOpening is how far apart, in shares of its opening, a curtain is known that moves.
const coarsestOpening = .25

// openings lists at which shares what opens, comes or goes in any score is to be known.
func openings(r *room.Room, scores []*score.Score) map[string][]float64 {
	out := map[string][]float64{}
	moves := map[string]bool{}
	add := func(name string, share float64) {
		if !slices.Contains(out[name], share) {
			out[name] = append(out[name], share)
		}
	}
	for _, s := range scores {
		for i := range s.Stage {
			if name := s.Stage[i].Name; s.Stage[i].Value != nil && stands(r, name) {
				add(name, 1)
			}
		}
		for i := range s.Opens {
			e := &s.Opens[i]
			if f := r.Surfaces.Get(e.Name); f == nil || f.Opens == "" {
				continue // it has its fault
			}
			add(e.Name, 1)
			for _, d := range e.Value {
				if d.To > 0 {
					add(e.Name, float64(d.To))
				}
				moves[e.Name] = moves[e.Name] || d.Takes != nil
			}
		}
	}
	for name, shares := range out {
		slices.Sort(shares)
		if moves[name] {
			shares = finer(shares)
		}
		out[name] = shares
	}
	return out
}

// finer puts shares between those that are too far apart.
func finer(shares []float64) (out []float64) {
	from := 0.
	for _, to := range shares {
		for n, k := int((to-from)/coarsestOpening+.999), 1; k < n; k++ {
			out = append(out, from+(to-from)*float64(k)/float64(n))
		}
		out, from = append(out, to), to
	}
	return out
}

// stands tells whether something stands in the light when it is there.
func stands(r *room.Room, name string) bool {
	return r.Surfaces.Get(name) != nil || r.Boxes.Get(name) != nil
}

// settings are the transports of a rig in a room, by how what opens stands. All shows in that
// room share them. It is used by many goroutines.
type settings struct {
	open  room.Setting // all of it open, or away
	base  *room.Transport
	solve func(room.Setting) *room.Transport

	mu    sync.Mutex
	known map[string]*oneSetting
	posed map[*room.Transport]*posed
}

type oneSetting struct {
	once sync.Once
	is   *room.Transport
}

// newSettings has the room solved as solve does it. Files knows the room by its text.
func (f *Files) newSettings(ctx context.Context, base *room.Transport, rg *rig.Rig, measured []measure.Factor) *settings {
	ctx = context.WithoutCancel(ctx)
	own := *f
	return &settings{open: own.allOpen(), base: base, known: map[string]*oneSetting{}, posed: map[*room.Transport]*posed{},
		solve: func(s room.Setting) *room.Transport {
			t, _ := own.carryIn(ctx, s) // what is wrong with the rig in this room was told
			return measure.Correct(t, rg, measured)
		}}
}

// allOpen is the setting in which all is open, or away.
func (f *Files) allOpen() room.Setting {
	out := room.Setting{}
	for name := range f.divided() {
		out[name] = len(f.Room.Divided(name))
	}
	return out
}

// in is the transport of a setting.
func (s *settings) in(setting room.Setting) *room.Transport {
	if maps.Equal(setting, s.open) {
		return s.base
	}
	one := made(&s.mu, s.known, setting.String())
	one.once.Do(func() { one.is = s.solve(setting) })
	return one.is
}

// posedIn holds what moving things receive in a transport of its own.
func (s *settings) posedIn(t *room.Transport) *posed {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.posed[t] == nil {
		s.posed[t] = newPosed(t)
	}
	return s.posed[t]
}

// divided tells whether anything opens, comes or goes in this room, in this piece or another. What a
// piece does not speak of stands in it as the room has it.
func (s *Show) divided() bool { return s.settings != nil && len(s.settings.open) > 0 }

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

// turnsOf are the times at which it stands at a share that is known, or begins or ends to move.
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

// Standing is a stretch of the show's line in which what opens stands still, or goes from one
// setting to the next.
type Standing struct {
	From, To time.Duration
	Ends     []*room.Transport // the room at its ends; one where it stands
}

// Standings lists how the room stands, one stretch after another from the beginning to the end of
// the show, each with everybody at home. There is one where nothing opens, comes or goes.
func (s *Show) Standings() []Standing {
	times := []time.Duration{0, s.Length}
	for i := range s.curtains {
		for _, t := range s.turnsOf(&s.curtains[i]) {
			times = append(times, s.OnLine(t))
		}
	}
	times = slices.DeleteFunc(times, func(t time.Duration) bool { return t < 0 || t > s.Length })
	slices.Sort(times)
	times = slices.Compact(times)
	if !s.divided() || len(times) < 2 {
		return []Standing{{0, s.Length, []*room.Transport{s.Transport}}}
	}
	var out []Standing
	for k := 1; k < len(times); k++ {
		a, b := s.seen(s.InTrack(times[k-1])), s.seen(s.InTrack(times[k]-1))
		one := Standing{times[k-1], times[k], []*room.Transport{a}}
		if s.moving(s.InTrack(times[k-1]), s.InTrack(times[k]-1)+1) {
			one.Ends = append(one.Ends, b)
		}
		out = append(out, one)
	}
	return out
}

// mostly is the setting in which the room stands longest of some spans of the piece's own time; a
// look is solved for that.
func (s *Show) mostly(in []Span) *room.Transport {
	if !s.divided() || in == nil {
		return s.Transport
	}
	long := map[string]time.Duration{}
	settings := map[string]room.Setting{}
	for _, at := range s.rests(in) {
		key := at.setting.String()
		long[key] += at.long
		settings[key] = at.setting
	}
	best := ""
	for key := range long {
		if best == "" || long[key] > long[best] || long[key] == long[best] && key < best {
			best = key
		}
	}
	if best == "" {
		return s.Transport
	}
	return s.settings.in(settings[best])
}

// rest is a setting, and how long it stands.
type rest struct {
	setting room.Setting
	long    time.Duration
}

// rests lists the settings that stand in some spans; of a span in which all moves it is that which
// is nearest at its end.
func (s *Show) rests(in []Span) (out []rest) {
	if !s.divided() {
		return nil
	}
	var turns []time.Duration
	for i := range s.curtains {
		turns = append(turns, s.turnsOf(&s.curtains[i])...)
	}
	slices.Sort(turns)
	for _, span := range in {
		times := []time.Duration{span.From}
		for _, t := range turns {
			if t > span.From && t < span.To {
				times = append(times, t)
			}
		}
		times = append(slices.Compact(times), span.To)
		found := false
		for k := 1; k < len(times); k++ {
			if all, _ := s.blend(times[k-1]); len(all) == 1 && !s.moving(times[k-1], times[k]) {
				out, found = append(out, rest{all[0], min(times[k], s.Length+time.Hour) - times[k-1]}), true
			}
		}
		if !found {
			all, weights := s.blend(max(span.To-1, span.From))
			out = append(out, rest{all[slices.Index(weights, slices.Max(weights))], max(span.To-span.From, 1)})
		}
	}
	return out
}

// moving tells whether anything opens further or closes between two instants, between which it
// does all the time or not at all.
func (s *Show) moving(from, to time.Duration) bool {
	return slices.ContainsFunc(s.curtains, func(c curtain) bool { return s.open(&c, from) != s.open(&c, max(to-1, from)) })
}

// everySetting lists in which settings the room is in some spans, those on the way too.
func (s *Show) everySetting(in []Span) []*room.Transport {
	if !s.divided() || in == nil {
		return []*room.Transport{s.Transport}
	}
	var out []*room.Transport
	for _, span := range in {
		times := []time.Duration{span.From, max(span.To-1, span.From)}
		for i := range s.curtains {
			for _, t := range s.turnsOf(&s.curtains[i]) {
				if t > span.From && t < span.To {
					times = append(times, t)
				}
			}
		}
		slices.Sort(times)
		for _, t := range times {
			all, _ := s.blend(t)
			for _, one := range all {
				if t := s.settings.in(one); !slices.Contains(out, t) {
					out = append(out, t)
				}
			}
		}
	}
	return out
}

// sortCurtains puts curtains in the order of their names, so that nothing hangs on that of a map.
func sortCurtains(all []curtain) {
	slices.SortFunc(all, func(a, b curtain) int { return cmp.Compare(a.name, b.name) })
}
