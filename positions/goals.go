package positions

import (
	"slices"
	"time"

	"lampblack/check/dose"
	"lampblack/light"
	"lampblack/room"
	"lampblack/score"
	"lampblack/show"
	"lampblack/si"
)

// Weights of what looks ask for. Limits come before lux and lux before glow, as package show has them, but
// nearer to each other: what is a little over a limit here is a little less bright there.
const (
	limitWeight = 1000
	luxWeight   = 30
	glowWeight  = 10
	evenWeight  = .3 // over all pieces of a surface
)

// given is a drive of a unit that stands at a level; in a goal, the level at the unknown's 1.
type given struct {
	drive int // from the unit's first
	level float64
}

// unknown is the brightness of one unit for one part of a look; units that listen to the same slots share it.
type unknown struct {
	part   int
	units  []int
	drives []given
}

// held is what a unit gives whatever the goals.
type held struct {
	unit   int
	drives []given
}

// wishes are the goals of one look.
type wishes struct {
	name     string
	look     *score.Look
	parts    []score.Part
	unknowns []unknown
	fixed    []held                 // what no goal sets
	eyes     map[int]eye            // by part: who judges its glow
	poses    map[string][]room.Pose // by what it asks of: where that is meanwhile, if it moves
}

// eye is what a glow is judged by, as package show has it.
type eye struct{ adapted, enough float64 }

// wishesOf lists the looks that ask for anything that has a number. The levels at which a colour is brightest
// are those of the same looks asked for at full: where units hang has no part in that.
func wishesOf(s *show.Show) []*wishes {
	bright, _ := s.With(brightest(s.Score))
	var out []*wishes
	for i := range s.Score.Looks {
		e := &s.Score.Looks[i]
		w := &wishes{name: e.Name, look: &e.Value, parts: s.Score.Parts(e.Name), eyes: map[int]eye{}, poses: map[string][]room.Pose{}}
		if w.gather(s, bright.Looks[i].Levels); len(w.unknowns) > 0 {
			out = append(out, w)
		}
		for k := range w.parts {
			if name := w.parts[k].Target(); name != "" {
				w.poses[name] = thinned(s.Poses(w.name, name))
			}
		}
	}
	return out
}

// brightest is a score whose looks have no goals: what asks for lux is at full, what asks for glow is left.
func brightest(sc *score.Score) *score.Score {
	full := si.Ratio(1)
	o := *sc
	o.Looks = slices.Clone(sc.Looks)
	for i := range o.Looks {
		l := &o.Looks[i].Value
		l.Parts = slices.Clone(l.Parts)
		l.Eyes, l.Dark, l.Only = nil, nil, nil
		for k := range l.Parts {
			if p := &l.Parts[k]; p.Lux != nil {
				p.Lux, p.Level = nil, &full
			} else if p.Glow != nil {
				p.Glow = nil
			}
		}
	}
	return &o
}

// gather finds the unknowns: a drive belongs to the last part that speaks of it.
func (w *wishes) gather(s *show.Show, levels []float32) {
	owner := slices.Repeat([]int{-1}, len(s.Rig.Drives))
	units := make([][]int, len(w.parts))
	for i := range w.parts {
		units[i] = s.UnitsOf(&w.parts[i])
		for _, u := range units[i] {
			from, to := s.Rig.UnitDrives(u)
			for d := from; d < to; d++ {
				if s.Speaks(&w.parts[i], d) {
					owner[d] = i
				}
			}
		}
	}
	for u := range s.Rig.Units {
		h := held{unit: u}
		from, to := s.Rig.UnitDrives(u)
		for d := from; d < to; d++ {
			if i := owner[d]; levels[d] > 0 && (i < 0 || w.parts[i].Lux == nil && w.parts[i].Glow == nil) {
				h.drives = append(h.drives, given{d - from, float64(levels[d])})
			}
		}
		if h.drives != nil {
			w.fixed = append(w.fixed, h)
		}
	}
	for i := range w.parts {
		p := &w.parts[i]
		if p.Lux == nil && p.Glow == nil || p.Lux != nil && *p.Lux <= 0 {
			continue
		}
		for _, u := range units[i] {
			x := unknown{part: i, units: []int{u}}
			from, to := s.Rig.UnitDrives(u)
			for d := from; d < to; d++ {
				switch {
				case owner[d] != i:
				case p.Glow != nil:
					x.drives = append(x.drives, given{d - from, 1})
				case levels[d] > 0:
					x.drives = append(x.drives, given{d - from, float64(levels[d])})
				}
			}
			if x.drives != nil && !w.twin(s.Rig.Twin, u, i) {
				w.unknowns = append(w.unknowns, x)
			}
		}
	}
}

// twin adds a unit to the unknown of one that shares its slots, if there is such a one.
func (w *wishes) twin(of func(int) int, unit, part int) bool {
	for k := range w.unknowns {
		x := &w.unknowns[k]
		if x.part == part && of(unit) != unit && of(x.units[0]) == of(unit) {
			x.units = append(x.units, unit)
			return true
		}
	}
	return false
}

// row is a line before it is known which unit is where: by drive of a transport.
type row struct {
	line
	part int // whose own light alone counts; -1 for all
	by   []float64
}

// rows are those of a look in a transport of candidates. Bounds are taken so much narrower, as a share, that
// what is computed coarsely here still holds when it is computed finely.
func (w *wishes) rows(at *standing, stay time.Duration, child func(eye int) bool, narrow float64) (out []row) {
	t := at.home
	add := func(s sense, weight, bound float64, part int, by []float64, over float64) {
		if by == nil {
			return
		}
		scaled := make([]float64, len(by))
		for d, v := range by {
			scaled[d] = v / over
		}
		out = append(out, row{line{sense: s, weight: weight, bound: bound}, part, scaled})
	}
	for i := range w.parts {
		switch p := &w.parts[i]; {
		case !w.sought(i):
		case p.Lux != nil && len(w.poses[p.On.Name]) > 0: // at least so much wherever it is
			for _, t := range at.where(p.On.Name, w.poses[p.On.Name]) {
				add(atLeast, luxWeight, 1+narrow, i, t.MeanRow(p.On.Name, room.Photopic), *p.Lux)
			}
		case p.Lux != nil:
			add(exactly, luxWeight, 1, i, t.MeanRow(p.On.Name, room.Photopic), *p.Lux)
			pieces := t.PieceRows(p.On.Name, room.Photopic)
			for _, by := range pieces {
				add(exactly, evenWeight/float64(len(pieces)), 1, i, by, *p.Lux)
			}
		case p.Glow != nil:
			for _, t := range at.where(p.Glow.Object.Name, w.poses[p.Glow.Object.Name]) {
				w.glowRows(t, i, narrow, add)
			}
		}
	}
	for k := range w.look.Dark {
		d := &w.look.Dark[k]
		for _, by := range t.PieceRows(d.On.Name, room.Photopic) {
			add(atMost, limitWeight, 1-narrow, -1, by, max(float64(d.Most), 1e-4))
		}
	}
	w.onlyRows(at.home, narrow, add)
	for e := range t.Eyes {
		most := float64(light.UVAToStay(stay))
		if child(e) {
			most /= 2 // common practice
		}
		if w.look.Eyes != nil {
			most = min(most, max(float64(w.look.Eyes.Most), 1e-6))
		}
		by := t.MostRow(e, room.UVA)
		for d := range by {
			by[d] *= t.Spread[d].High
		}
		add(atMost, limitWeight, 1-narrow, -1, by, most)
	}
	return out
}

// sought tells whether any unit is left for a part's goal.
func (w *wishes) sought(part int) bool {
	return slices.ContainsFunc(w.unknowns, func(x unknown) bool { return x.part == part })
}

type adding = func(s sense, weight, bound float64, part int, by []float64, over float64)

func (w *wishes) glowRows(t *room.Transport, part int, narrow float64, add adding) {
	g := w.parts[part].Glow
	own, _, _ := t.GlowRows(g.Object.Name)
	if own == nil {
		return
	}
	e := w.eyes[part]
	seen, _, behind := t.SeenRows(g.Object.Name, e.adapted)
	want, enough := float64(g.Luminance), own
	if want == 0 {
		want, enough = max(e.enough, .005), seen
	}
	add(atLeast, glowWeight, 1+narrow, -1, enough, want)
	if g.Over > 0 {
		over := make([]float64, len(own))
		factor := g.Over * (1 + 2*narrow)
		for d := range over {
			over[d] = seen[d] - factor*behind[d]
		}
		mine, others := t.SeenStray(g.Object.Name, e.adapted)
		add(atLeast, glowWeight, (factor*others-mine)/want, -1, over, want)
	}
	if g.Most > 0 {
		add(atMost, limitWeight, 1-narrow, -1, own, float64(g.Most))
	}
	if g.Even > 0 {
		for _, piece := range t.GlowPieces(g.Object.Name) {
			even := make([]float64, len(own))
			for d := range even {
				even[d] = piece[d] - float64(g.Even)*(1+narrow)*own[d]
			}
			add(atLeast, glowWeight, 0, -1, even, want)
		}
	}
}

// unseen is what a thing may look like that is not to be seen, in cd/m2, where the look does not say: that of
// package show.
const unseen = .01

func (w *wishes) onlyRows(t *room.Transport, narrow float64, add adding) {
	o := w.look.Only
	if o == nil {
		return
	}
	most := float64(o.Most)
	if most <= 0 {
		most = unseen
	}
	seen := map[string]bool{}
	for _, ref := range o.Objects {
		seen[ref.Name] = true
	}
	for _, name := range t.Names() {
		if _, whole, _ := t.GlowRows(name); whole != nil && !seen[name] {
			add(atMost, limitWeight, 1-narrow, -1, whole, most)
		}
	}
}

// stayOf is how long ultraviolet may be on in the busiest day: all of its shows and rehearsals.
func stayOf(s *show.Show) time.Duration {
	most := time.Minute
	for _, d := range dose.Days(&s.Bill) {
		most = max(most, time.Duration(d.Shows)*s.Length+d.Rehearsal)
	}
	return most
}
