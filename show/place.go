package show

import (
	"slices"
	"time"

	"lampblack/evening"
	"lampblack/rig"
	"lampblack/soundtrack"
	"lampblack/source"
)

// Place is a rig in a room whose zones each have an order and a clock of their own. Its
// light is a pure function of how its zones stand. A show or an evening that is all
// there is is a place of one zone, which lights all units.
type Place struct {
	*Show
	Zones  []PlacedZone
	shared []bool // by unit; nil where no zones share one
}

// PlacedZone is a zone with the evening that it goes through.
type PlacedZone struct {
	*Zone   // its settings; those of a place of one zone are the zero value
	Name    string
	Evening *Evening
}

// Lights tells whether the zone lights a unit of the rig.
func (z *PlacedZone) Lights(unit int) bool { return z.units == nil || z.units[unit] }

// Alone is a place of one zone, named as the show, which goes through an evening; nil is
// an evening of the show itself.
func (s *Show) Alone(e *Evening) *Place {
	if e == nil {
		e = &Evening{Steps: []Step{{OrderStep: &OrderStep{}, Show: s}}}
	}
	return &Place{Show: s, Zones: []PlacedZone{{Zone: &Zone{}, Name: s.Bill.Title, Evening: e}}}
}

// Place makes the place of zones. tracks has what was heard of the soundtracks of pieces,
// as for [Show.Evening].
func (s *Show) Place(z *Zones, tracks map[string]*soundtrack.Track) (*Place, source.Faults) {
	var faults source.Faults
	p := &Place{Show: s}
	if slices.Contains(z.shared, true) {
		p.shared = z.shared
	}
	for _, e := range z.Zones {
		if e.Value == nil || e.Value.order == nil || e.Value.units == nil {
			continue // it has its fault
		}
		evening, more := s.Evening(e.Value.order, tracks)
		faults = append(faults, more...)
		if len(evening.Steps) > 0 {
			p.Zones = append(p.Zones, PlacedZone{Zone: e.Value, Name: e.Name, Evening: evening})
		}
	}
	p.strangers(&faults)
	faults.Sort()
	return p, faults
}

// strangers finds looks that a zone uses and that light units of another.
func (p *Place) strangers(faults *source.Faults) {
	for i := range p.Zones {
		z := &p.Zones[i]
		told := map[int]bool{}
		for k := range z.Evening.Steps {
			s := z.Evening.Steps[k].Show
			for c := range s.Cues {
				l := s.Cues[c].Look
				if told[l] {
					continue
				}
				told[l] = true
				for u := range p.Rig.Units {
					if !z.Lights(u) && s.Looks[l].lights(p.Rig, u) {
						faults.Note(s.Cues[c].Pos, "write a look of the zone's own units, or give it the unit", "look %s lights %s, which zone %s does not light: it stays as its own zone has it", s.Looks[l].Name, p.Rig.Units[u].Name, z.Name)
						break
					}
				}
			}
		}
	}
}

// lights tells whether the look gives light from a unit.
func (l *Look) lights(r *rig.Rig, unit int) bool {
	from, to := r.UnitDrives(unit)
	for _, level := range l.Levels[from:to] {
		if level > 0 {
			return true
		}
	}
	return false
}

// Composed is a frame of a place, with the memory that it takes to make one.
type Composed struct {
	*Frame
	Zones   []*Frame // by zone: fill these, then Compose
	between *Frame   // of shared units
	dark    *Frame
}

// NewComposed returns a frame that Compose can fill.
func (p *Place) NewComposed() *Composed {
	c := &Composed{Frame: p.NewFrame(), between: p.NewFrame(), dark: p.NewFrame()}
	p.encoder.Encode(c.dark.Universes, c.dark.Levels, c.dark.Flash, nil, nil)
	for range p.Zones {
		c.Zones = append(c.Zones, p.NewFrame())
	}
	return c
}

// Compose puts the frame of the place together from those of its zones: each unit as the
// zone has it that lights it, shared units by the most that any asks. A unit that no zone
// lights is dark.
func (p *Place) Compose(c *Composed) {
	if len(p.Zones) == 1 && p.Zones[0].units == nil {
		c.Zones[0].copyTo(c.Frame)
		return
	}
	c.dark.copyTo(c.Frame)
	for i, f := range c.Zones {
		for u := range p.Rig.Units {
			if p.Zones[i].Lights(u) {
				p.take(c.Frame, f, u)
			}
		}
	}
	if p.shared == nil {
		return
	}
	copy(c.between.Levels, c.Levels)
	copy(c.between.Flash, c.Flash)
	p.encoder.Encode(c.between.Universes, c.between.Levels, c.between.Flash, nil, nil)
	for u, shared := range p.shared {
		if shared {
			p.slots(c.Frame, c.between, u)
		}
	}
}

func (f *Frame) copyTo(dst *Frame) {
	dst.At = f.At
	copy(dst.Levels, f.Levels)
	copy(dst.Flash, f.Flash)
	copy(dst.Universes, f.Universes)
}

// take takes a unit from a frame: of what was taken before the most.
func (p *Place) take(dst, f *Frame, unit int) {
	from, to := p.Rig.UnitDrives(unit)
	for d := from; d < to; d++ {
		dst.Levels[d] = max(dst.Levels[d], f.Levels[d])
	}
	dst.Flash[unit] = max(dst.Flash[unit], f.Flash[unit])
	p.slots(dst, f, unit)
}

// At fills the frame with the light of a place whose zones stand so. shows has what each
// zone plays, as entered and waited for ([Evening.Enter], [Show.Waited]); nil is what its
// order says, with every wait at its longest.
func (p *Place) At(c *Composed, states []evening.State, shows []*Show) {
	for i := range p.Zones {
		s := p.Zones[i].Evening.Steps[max(states[i].Step-1, 0)].Show
		if shows != nil && shows[i] != nil {
			s = shows[i]
		}
		s.AtState(c.Zones[i], states[i])
	}
	p.Compose(c)
}

// Longest is how long a run through the zone's order lasts at most.
func (z *PlacedZone) Longest() time.Duration {
	d := z.Evening.Length()
	if stay := time.Duration(z.Stay); stay > 0 && z.Repeats {
		d = min(d, z.Evening.Steps[0].Show.Length+stay)
	}
	return d
}

// Stand takes the light of a frame from what was before, by drive, a share of the way to a
// look; without a name, to darkness. It is for looks that stand in the whole place.
func (p *Place) Stand(f *Frame, look string, before []float32, share float32) {
	var to []float32
	if i := p.Score.Looks.Index(look); i >= 0 {
		to = p.Looks[i].Levels
	}
	for d := range f.Levels {
		f.Levels[d] = 0
		if to != nil {
			f.Levels[d] = to[d]
		}
	}
	clear(f.Flash)
	p.From(f, before, share)
}

// From takes a frame from what was before, by drive, a share of the way to what it is.
func (p *Place) From(f *Frame, before []float32, share float32) {
	for d := range f.Levels {
		if d < len(before) {
			f.Levels[d] = toward(before[d], f.Levels[d], share)
		}
	}
	p.encoder.Encode(f.Universes, f.Levels, f.Flash, nil, nil)
}

// Range is between what each drive gives over the whole show: the looks that it fades
// between, the knots on the way, bumps. A unit that flashes by itself goes down to nothing.
// It holds at every instant, whatever a go or a jump cuts short.
func (s *Show) Range() (low, high []float32) { return s.between(s.plan.entry.levels, 0) }

// between is the range from a light at entry and the fades from one on.
func (s *Show) between(entry []float32, first int) (low, high []float32) {
	low, high = slices.Clone(entry), slices.Clone(entry)
	take := func(levels []float32, drive func(int) bool) {
		for d, v := range levels {
			if drive == nil || drive(d) {
				low[d], high[d] = min(low[d], v), max(high[d], v)
			}
		}
	}
	flashes := func(rates []float32) {
		for u, rate := range rates {
			if rate > 0 {
				from, to := s.Rig.UnitDrives(u)
				clear(low[from:to])
			}
		}
	}
	flashes(s.plan.entry.flash)
	for i := range s.plan.fades {
		f := &s.plan.fades[i]
		if i >= first {
			take(f.from, nil)
		}
		take(f.to, nil)
		f.lives.reach(low, high)
		flashes(f.flash)
		if f.course != nil && i >= first {
			for _, k := range f.course.knots {
				take(k, nil)
			}
		}
	}
	if h := s.hushed; h != nil && s.Hears() {
		take(h.levels, nil)
		h.lives.reach(low, high)
		flashes(h.flash)
	}
	for i := range s.plan.bumps.bumps {
		b := &s.plan.bumps.bumps[i]
		take(b.to, func(d int) bool { return b.touches[d] })
		b.lives.reach(low, high)
		flashes(b.flash)
	}
	return low, high
}

// Range is between what each drive gives in the zone, whatever happens in it; drives of
// units that it does not light are at nothing. The darkness out of which a zone that repeats
// comes when it is switched on is left out.
func (z *PlacedZone) Range() (low, high []float32) {
	for i := range z.Evening.Steps {
		s := z.Evening.Steps[i].Show
		l, h := s.Range()
		if f := s.plan.fades; z.Repeats && i == 0 && len(f) > 0 {
			l, h = s.between(f[0].to, 1)
		}
		if low == nil {
			low, high = l, h
		}
		for d := range low {
			low[d], high[d] = min(low[d], l[d]), max(high[d], h[d])
		}
		for u := range s.Rig.Units {
			if !z.Lights(u) {
				from, to := s.Rig.UnitDrives(u)
				clear(low[from:to])
				clear(high[from:to])
			}
		}
	}
	return low, high
}

// Zone is the evening of a zone as it is seen in the place: its own units as its order has
// them, all others at fixed levels, by drive, if that is more.
func (p *Place) Zone(zone int, others []float32) *Evening {
	z := &p.Zones[zone]
	e := &Evening{Steps: slices.Clone(z.Evening.Steps)}
	for i := range e.Steps {
		s := &e.Steps[i]
		m := masked{place: p, zone: z, show: s.Show, others: others}
		s.Show = s.Show.By(m)
		s.Show.Looks = m.looks()
	}
	return e
}

// looks are those of the show as they are seen in the place.
func (m masked) looks() []Look {
	out := slices.Clone(m.show.Looks)
	for i := range out {
		l := &out[i]
		l.Levels, l.Flash, l.stands = slices.Clone(l.Levels), slices.Clone(l.Flash), nil
		m.mask(l.Levels, l.Flash)
	}
	return out
}

// Steady is a show that stands at levels, by drive, for a while.
func (p *Place) Steady(levels []float32, length time.Duration) *Show {
	s := *p.Show
	s.Cues, s.Waits, s.Length = nil, nil, length
	return s.By(masked{place: p, show: p.Show, others: levels, steady: true})
}

// masked plays a zone as it is seen in the place.
type masked struct {
	place  *Place
	zone   *PlacedZone
	show   *Show
	others []float32
	steady bool // the others are all there is
}

// Light fills the frame with the zone's light and that of the others.
func (m masked) Light(dst *Frame, t time.Duration) {
	if m.steady {
		copy(dst.Levels, m.others)
		clear(dst.Flash)
		return
	}
	m.show.Light(dst, t)
	m.mask(dst.Levels, dst.Flash)
}

// mask leaves the units that the zone lights, and gives the others their fixed levels.
func (m masked) mask(levels, flash []float32) {
	for u := range m.show.Rig.Units {
		from, to := m.show.Rig.UnitDrives(u)
		if !m.zone.Lights(u) {
			clear(levels[from:to])
			flash[u] = 0
		}
		for d := from; d < to; d++ {
			levels[d] = max(levels[d], m.others[d])
		}
	}
}

// Frame adds the slots.
func (m masked) Frame(dst *Frame, t time.Duration) {
	m.Light(dst, t)
	dst.stand(nil)
	m.show.encoder.Encode(dst.Universes, dst.Levels, dst.Flash, nil, nil)
}

// LightsUp is that of the whole place.
func (m masked) LightsUp(dst *Frame, share float32) { m.show.LightsUp(dst, share) }

// Names lists the names of the zones.
func (p *Place) Names() []string {
	var out []string
	for i := range p.Zones {
		out = append(out, p.Zones[i].Name)
	}
	return out
}

// Index returns the zone of a name, or -1.
func (p *Place) Index(name string) int { return slices.Index(p.Names(), name) }
