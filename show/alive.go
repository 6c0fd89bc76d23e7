package show

import (
	"hash/fnv"
	"slices"
	"time"

	"lampblack/living"
	"lampblack/rig"
	"lampblack/score"
)

// Light that lives. A look's levels are the most of it; what moves takes the light of a
// unit from there down to a share, or over to another look, and back:
//
//	x = from + w·(most − from),  0 ≤ w ≤ 1
//
// one movement after another, each with the weight w of the unit at the instant. All of
// it lies between levels that the look, or another, has solved, so whatever bounds those
// (ultraviolet at eyes, power) bounds it as well. The movement is laid over the plan's
// light by the share of the look in it, so it rides on fades and bumps:
//
//	levels(t) = plan(t) + Σ looks share · soft · (x(t) − most)
//
// Soft is how much of a movement is let be, so that it stays below the limits of flashing: it
// goes down and comes back slowly where less may be for a while.

// instant is what light that lives is a function of.
type instant struct {
	at     time.Duration // on the show's line
	living time.Duration // never stops, whatever is held
	ear    *living.Ear   // what is heard meanwhile; nil where nothing is, and slow time stands in
}

// alive is the light of one cue that lives.
type alive struct {
	most  []float32 // by drive: the look's own levels
	soft  float32
	dips  []Dip         // in which it is less
	late  time.Duration // so much later it is on the line than it was made for
	parts []alivePart

	slower int            // so many times slower than it was written
	hears  bool           // it goes by what is heard as it comes, if there is an ear
	doubts []living.Doubt // of the beats that it goes by
}

// alivePart is the units of a part, or of all of a cue, that move in one way.
type alivePart struct {
	units []aliveUnit
	moves []movement
	slow  bool // all of them are
}

// aliveUnit is the drives of a unit that are the part's own.
type aliveUnit struct {
	unit   int
	drives []int
}

// movement is one way of moving.
type movement struct {
	weight func(unit int, at instant) float32 // of a unit of the rig, 0..1
	least  float32                            // share of the light that is left at weight 0
	from   []float32                          // by drive: what there is at weight 0, in its place
	among  *drift                             // colours that take the place of the part's own
	slow   bool                               // it goes by itself, with neither beat nor sound
}

// drift is a way among colours.
type drift struct {
	seeds  []uint64 // by unit of the rig
	every  time.Duration
	levels [][]float32 // by colour, then drive
}

// mostMoves is how many ways of moving one part has: one of each kind, and one of each of its
// cue's.
const mostMoves = 12

// presence is how much of a look that lives there is, by drive, as a fade begins.
type presence struct {
	*alive
	share []float32
}

// add lays the movement over levels by the share that the look has in a drive's light.
func (a *alive) add(levels []float32, at instant, share shareOf) {
	var weights [mostMoves]float32
	var colours [living.MostPoints]float32
	at.at -= a.late
	soft := a.keeps(at.at)
	for p := range a.parts {
		part := &a.parts[p]
		for k := range part.units {
			u := &part.units[k]
			var among *drift
			for m := range part.moves {
				move := &part.moves[m]
				weights[m] = move.weight(u.unit, at)
				if move.among != nil {
					among = move.among
					living.Among(among.seeds[u.unit], len(among.levels), among.every, at.living, colours[:len(among.levels)])
				}
			}
			for _, d := range u.drives {
				most := a.most[d]
				x := most
				if among != nil {
					x = among.at(d, colours[:])
				}
				for m := range part.moves {
					x = part.moves[m].take(x, d, weights[m])
				}
				levels[d] += share.of(d) * soft * (x - most)
			}
		}
	}
}

// take is the light of a drive by a movement's weight.
func (m *movement) take(x float32, d int, weight float32) float32 {
	from := m.least * x
	if m.from != nil {
		from = m.from[d]
	}
	return from + weight*(x-from)
}

func (c *drift) at(d int, weights []float32) float32 {
	x := float32(0)
	for i := range c.levels {
		x += weights[i] * c.levels[i][d]
	}
	return x
}

// shareOf is how much of a look there is in a drive's light: all, or what a fade that goes
// on, or a bump, has of it.
type shareOf struct {
	fade     *fade     // nil for all
	up, down float32   // how far what rises and what falls has come
	goes     bool      // the look is on its way out
	had      []float32 // by drive, as the fade began; nil for all
	bump     float32   // of a bump's look
}

func (s *shareOf) of(d int) float32 {
	if s.fade == nil {
		return s.bump
	}
	x := s.up
	if s.fade.falls(d) {
		x = s.down
	}
	if s.goes {
		x = 1 - x
	}
	if s.had != nil {
		x *= s.had[d]
	}
	return x
}

// falls tells whether a drive keeps the time of what falls.
func (f *fade) falls(d int) bool {
	if f.course != nil {
		return f.course.falls[d]
	}
	return f.to[d] < f.from[d]
}

// stir lays what lives over the light of the plan at t, without bumps, and tells the
// frame which units move.
func (p *plan) stir(f *Frame, at instant) {
	i := p.current(at.at)
	if i < 0 {
		return
	}
	now := &p.fades[i]
	if now.lives == nil && now.under == nil {
		return
	}
	since := at.at - now.start
	share := shareOf{fade: now, up: share(since, now.up), down: share(since, now.down)}
	if now.lives != nil {
		now.lives.add(f.Levels, at, share)
		f.stir(now.lives, at)
	}
	if min(share.up, share.down) < 1 {
		for k := range now.under {
			u := &now.under[k]
			share.goes, share.had = true, u.share
			u.add(f.Levels, at, share)
			f.stir(u.alive, at)
		}
	}
	f.bound()
}

// bound keeps levels from 0 to 1: movements add up with rounding, and over fades that run
// other than straight.
func (f *Frame) bound() {
	for d, x := range f.Levels {
		f.Levels[d] = min(max(x, 0), 1)
	}
}

// frames is the rate by which slots of slow light take turns: that of DMX512-A with all slots
// sent, which is usual. At another, two frames now and then are alike.
const frames = 44

// stir notes that the units of what lives move. Where all stands otherwise and what moves is
// slow, they drift: which of two frames it is goes by the time that is never held.
func (f *Frame) stir(a *alive, at instant) {
	drifts := rig.Drifts[at.living*frames/time.Second%2]
	for p := range a.parts {
		for k := range a.parts[p].units {
			still := &f.still[a.parts[p].units[k].unit]
			if *still != nil && *still != rig.Loose && a.parts[p].slow {
				*still = drifts
			} else {
				*still = rig.Loose
			}
		}
	}
}

// remains is what lives in the light of a plan at an instant, as the next fade begins.
func (p *plan) remains(t time.Duration, drives int) []presence {
	i := p.current(t)
	if i < 0 {
		return nil
	}
	now := &p.fades[i]
	since := t - now.start
	share := shareOf{fade: now, up: share(since, now.up), down: share(since, now.down)}
	var out []presence
	keep := func(a *alive) {
		had, any := make([]float32, drives), false
		for d := range had {
			had[d] = share.of(d)
			any = any || had[d] > 0
		}
		if any {
			out = append(out, presence{a, had})
		}
	}
	if now.lives != nil {
		keep(now.lives)
	}
	for _, u := range now.under {
		share.goes, share.had = true, u.share
		keep(u.alive)
	}
	return out
}

// Lives lists when light moves by itself, in order and apart.
func (s *Show) Lives() [][2]time.Duration {
	var out [][2]time.Duration
	add := func(from, to time.Duration) {
		if n := len(out); n > 0 && from <= out[n-1][1] {
			out[n-1][1] = max(out[n-1][1], to)
		} else if to > from {
			out = append(out, [2]time.Duration{from, to})
		}
	}
	for i := range s.plan.fades {
		f := &s.plan.fades[i]
		end := max(s.Length, f.start)
		if i+1 < len(s.plan.fades) {
			end = s.plan.fades[i+1].start
		}
		switch {
		case f.lives != nil:
			add(f.start, end)
		case f.under != nil:
			add(f.start, min(f.start+max(f.up, f.down), end))
		}
	}
	return out
}

// Moves tells whether light of a cue, by its index in Cues, moves by itself.
func (s *Show) Moves(cue int) bool {
	return s.livesOf(cue) != nil
}

// Follows tells whether light of a cue, by its index in Cues, goes by the loudness or the colour
// of the sound.
func (s *Show) Follows(cue int) bool {
	return slices.ContainsFunc(s.writtenOf(cue), func(l *score.Lives) bool { return l.Follows != nil })
}

// writtenOf is what is written of how a cue's light moves: by itself, and by the parts of its
// look.
func (s *Show) writtenOf(cue int) []*score.Lives {
	c := &s.Cues[cue]
	out := []*score.Lives{&c.Lives}
	parts := s.Score.Parts(s.Looks[c.Look].Name)
	for i := range parts {
		out = append(out, &parts[i].Lives)
	}
	return out
}

// livesOf is what lives of a cue; nil where all of it stands.
func (s *Show) livesOf(cue int) *alive { return s.plan.lives[cue] }

// enlivenAs makes what lives of a cue anew, where it is not only more or less of it. Fades that
// begin while it is still there know it by its place, so it is changed where it stands.
func (s *Show) enlivenAs(cue int, k Softened) {
	a := s.livesOf(cue)
	if a.slower != k.Slower {
		*a = *s.enliven(&s.Cues[cue], k)
	}
	a.soft, a.dips = float32(k.Keeps), k.Dips
}

// later is what lives, on a line where it is later.
func (a *alive) later(by time.Duration) *alive {
	if a == nil {
		return nil
	}
	o := *a
	o.late += by
	return &o
}

// softenedAs is what was found for a cue, or all of its movement.
func (s *Show) softenedAs(c *Cue) Softened {
	if k, ok := s.softened[c.Index]; ok {
		return k
	}
	return Softened{Keeps: 1, Slower: 1}
}

// Softened says what was taken from the movement of a cue, by its index in Cues, so that it
// does not flash too often.
func (s *Show) Softened(cue int) (k Softened, moves bool) {
	return s.softenedAs(&s.Cues[cue]), s.livesOf(cue) != nil
}

// ByItself fills the frame's levels with the light of a cue that stays, once it is complete and
// as if nothing else were, with what moves by itself in it at t.
func (s *Show) ByItself(f *Frame, cue int, t time.Duration) *Frame {
	copy(f.Levels, s.Looks[s.Cues[cue].Look].Levels)
	if a := s.livesOf(cue); a != nil {
		a.add(f.Levels, instant{at: t, living: t}, shareOf{bump: 1})
		f.stir(a, instant{at: t, living: t})
	}
	return f
}

// enliven makes what lives of a cue: by the parts of its look, and by the cue itself.
func (s *Show) enliven(c *Cue, k Softened) *alive {
	look := &s.Looks[c.Look]
	if !c.Any() && !look.lives {
		return nil
	}
	parts := s.Score.Parts(look.Name)
	a := &alive{most: look.Levels, soft: float32(k.Keeps), dips: k.Dips, slower: k.Slower}
	var all []movement // of the cue, for whatever may move
	if c.Any() {
		all = s.movements(&c.Lives, s.movable(func(d int) bool { return look.owner[d] >= 0 && parts[look.owner[d]].Use == "" }), nil, a)
	}
	for i := range parts {
		p := &parts[i]
		part := alivePart{units: s.movable(func(d int) bool { return look.owner[d] == i })}
		if len(part.units) == 0 {
			continue
		}
		if p.Any() {
			part.moves = s.movements(&p.Lives, part.units, look.among[i], a)
		}
		if p.Use == "" {
			part.moves = append(part.moves, all...)
		}
		if part.moves != nil {
			part.slow = !slices.ContainsFunc(part.moves, func(m movement) bool { return !m.slow })
			a.parts = append(a.parts, part)
		}
	}
	if len(a.parts) == 0 {
		return nil
	}
	return a
}

// movable lists units with those of their drives of which own tells. Work light and safety
// light stand.
func (s *Show) movable(own func(drive int) bool) []aliveUnit {
	var out []aliveUnit
	for u := range s.Rig.Units {
		from, to := s.Rig.UnitDrives(u)
		var drives []int
		for d := from; d < to && s.Rig.Units[u].Use == ""; d++ {
			if own(d) {
				drives = append(drives, d)
			}
		}
		if drives != nil {
			out = append(out, aliveUnit{u, drives})
		}
	}
	return out
}

// reach widens what each drive lies between by what the movement can make of it.
func (a *alive) reach(low, high []float32) {
	if a == nil {
		return
	}
	for p := range a.parts {
		part := &a.parts[p]
		for k := range part.units {
			for _, d := range part.units[k].drives {
				least, most := a.most[d], a.most[d]
				for m := range part.moves {
					if c := part.moves[m].among; c != nil {
						for i := range c.levels {
							least, most = min(least, c.levels[i][d]), max(most, c.levels[i][d])
						}
					}
				}
				for m := range part.moves {
					l, h := part.moves[m].take(least, d, 0), part.moves[m].take(most, d, 0)
					least, most = min(least, l), max(most, h)
				}
				low[d], high[d] = min(low[d], least), max(high[d], most)
			}
		}
	}
}

// Stirred are the units, by index, that move by themselves while a cue that stays comes in.
func (s *Show) Stirred(cue int) map[int]bool {
	out := map[int]bool{}
	for i := range s.plan.fades {
		f := &s.plan.fades[i]
		if f.cue != cue {
			continue
		}
		f.lives.units(out)
		for _, u := range f.under {
			u.units(out)
		}
	}
	return out
}

func (a *alive) units(out map[int]bool) {
	if a == nil {
		return
	}
	for p := range a.parts {
		for k := range a.parts[p].units {
			out[a.parts[p].units[k].unit] = true
		}
	}
}

// Doubts lists where beats that a cue moves with were not sure enough, and what stands in,
// while the cue does.
func (s *Show) Doubts(cue int) []living.Doubt {
	a := s.livesOf(cue)
	if a == nil {
		return nil
	}
	var out []living.Doubt
	from, to := s.Cues[cue].Start, s.goneBy(cue)
	for _, d := range a.doubts {
		d.From, d.To = max(d.From+a.late, from), min(d.To+a.late, to)
		if d.From < d.To && !slices.Contains(out, d) {
			out = append(out, d)
		}
	}
	return out
}

// seed is a number of a unit's own for what should not go alike in two of them. It is the
// same in each look, so that a candle burns on from cue to cue.
func (s *Show) seed(unit int) uint64 {
	h := fnv.New64a()
	h.Write([]byte(s.Rig.Units[unit].Name.Name))
	return h.Sum64()
}
