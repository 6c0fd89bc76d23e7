package hand

import (
	"fmt"
	"math"
	"time"

	"lampblack/room"
	"lampblack/score"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// Mix is a state worked out for the rig: what is laid over frames. It does not change.
type Mix struct {
	State State
	show  *show.Show

	look   *show.Look // brought up; nil for the show's light
	held   *show.Look // of what is held; nil where nothing is
	speaks []bool     // by drive: whether held has the say
	factor []float32  // by drive, of the trims; nil without
	out    []bool     // by unit; nil where none is
	focus  []float32  // by drive, for focusing; nil where the show is seen
	pulse  int        // unit, -1
	most   []float32  // by drive: the ceiling of black light, 1 elsewhere
	units  []bool     // by unit: whether its light may be another than the show's
}

// prepare works a state out. It takes some milliseconds where colours are to be mixed,
// and is for another goroutine than the run's.
func prepare(s *show.Show, state State, most ceilings) (*Mix, error) {
	m := &Mix{State: state, show: s, pulse: -1, most: most.eyes, units: make([]bool, len(s.Rig.Units))}
	if state.Look != "" {
		i := s.Score.Looks.Index(state.Look)
		if i < 0 {
			return nil, fmt.Errorf("there is no look %q: %s", state.Look, source.OneOf(state.Look, source.Names(s.Score.Looks)))
		}
		m.look = &s.Looks[i]
		m.all()
	}
	if err := m.hold(); err != nil {
		return nil, err
	}
	m.trim()
	for _, o := range state.Outs {
		if u := s.Rig.Index(o.Unit); u >= 0 {
			if m.out == nil {
				m.out = make([]bool, len(s.Rig.Units))
			}
			m.out[u], m.units[u] = true, true
		}
	}
	m.focuses(most)
	return m, nil
}

func (m *Mix) all() {
	for u := range m.units {
		m.units[u] = true
	}
}

// hold works out what is held.
func (m *Mix) hold() error {
	if len(m.State.Held) == 0 {
		return nil
	}
	parts := Parts(m.show, m.State.Held)
	l, faults := m.show.ByHand("by hand", parts)
	if err := faults.Err(); err != nil {
		return err
	}
	m.held = &l
	m.speaks = make([]bool, len(m.show.Rig.Drives))
	for i := range parts {
		for _, ref := range parts[i].Units {
			u := m.show.Rig.Index(ref.Name)
			m.units[u] = true
			from, to := m.show.Rig.UnitDrives(u)
			for d := from; d < to; d++ {
				m.speaks[d] = m.speaks[d] || m.show.Speaks(&parts[i], d)
			}
		}
	}
	return nil
}

// Parts is what is held as parts of a look. Units that the rig has no longer are left out.
func Parts(s *show.Show, held []Held) []score.Part {
	var parts []score.Part
	for _, h := range held {
		p := score.Part{}
		var dark []string
		for _, name := range h.Units {
			u := s.Rig.Index(name)
			if u < 0 || !gives(s, name, h.Dark) {
				continue
			}
			p.Units = append(p.Units, source.Ref{Name: name})
			for _, e := range s.Rig.Units[u].Type.Emitters {
				if e.Value.Light.BlackLight() {
					dark = append(dark, e.Name)
				}
			}
		}
		level := si.Ratio(h.Level)
		switch {
		case len(p.Units) == 0:
			continue
		case h.Dark:
			for _, name := range dark {
				if p.Emitters.Index(name) < 0 {
					p.Emitters = append(p.Emitters, source.Entry[si.Ratio]{Name: name, Value: level})
				}
			}
		default:
			p.Level = &level
			if h.Colour != "" {
				p.Colour = &score.Colour{Text: h.Colour}
			}
		}
		parts = append(parts, p)
	}
	return parts
}

// trim works out the trims: of a unit that several touch, their product.
func (m *Mix) trim() {
	for _, t := range m.State.Trims {
		if m.factor == nil {
			m.factor = make([]float32, len(m.show.Rig.Drives))
			for d := range m.factor {
				m.factor[d] = 1
			}
		}
		units := m.show.Rig.System(t.System)
		if t.Unit != "" {
			units = nil
			if u := m.show.Rig.Index(t.Unit); u >= 0 {
				units = []int{u}
			}
		}
		for _, u := range units {
			m.units[u] = true
			from, to := m.show.Rig.UnitDrives(u)
			for d := from; d < to; d++ {
				m.factor[d] *= float32(t.Factor)
			}
		}
	}
}

// focuses works out how lamps stand for focusing.
func (m *Mix) focuses(most ceilings) {
	r := m.show.Rig
	u := r.Index(m.State.Focus.Unit)
	switch m.State.Focus.Does {
	case AllOff:
		m.focus = make([]float32, len(r.Drives))
	case WorkLight:
		f := m.show.NewFrame()
		m.show.LightsUp(f, 1)
		m.focus = f.Levels
	case Alone:
		m.focus = make([]float32, len(r.Drives))
		if u >= 0 {
			full(m, u, m.focus, most)
		}
	case Pulse:
		if u >= 0 {
			m.focus = make([]float32, len(r.Drives))
			full(m, u, m.focus, most)
			m.pulse, m.units[u] = u, true
		}
		return
	default:
		return
	}
	m.all()
}

// full is a unit as bright as it is safe for who stands before it: black light only to its
// ceiling at one metre.
func full(m *Mix, unit int, levels []float32, most ceilings) {
	from, to := m.show.Rig.UnitDrives(unit)
	for d := from; d < to; d++ {
		levels[d] = 1
		if m.show.Rig.Emitter(d).Light.BlackLight() {
			levels[d] = most.near[d]
		}
	}
}

// Once in so long a unit that is to be found goes up and down: far below the rates that
// disturb (flashes count from three a second: WCAG 2.2, 2.3.1).
const pulsing = 2500 * time.Millisecond

// dip is the least of a unit that pulses, as a share of its most.
const dip = .15

// over fills light, levels by drive and flash rates by unit, with what the mix makes of the
// show's.
func (m *Mix) over(levels, flash, show, showFlash []float32, now time.Time) {
	copy(levels, show)
	copy(flash, showFlash)
	if m.look != nil {
		copy(levels, m.look.Given())
		for u, rate := range m.look.Flash {
			flash[u] = min(rate, steadiest)
		}
	}
	for d, speaks := range m.speaks {
		if speaks {
			levels[d] = m.held.Given()[d]
			flash[m.show.Rig.Drives[d].Unit] = 0
		}
	}
	for d := range m.factor { // over what is held as over looks, so that keeping changes no light
		levels[d] = min(levels[d]*m.factor[d], 1)
	}
	for d, most := range m.most {
		if levels[d] > most {
			levels[d] = max(most, show[d])
		}
	}
	for u, out := range m.out {
		if out {
			from, to := m.show.Rig.UnitDrives(u)
			clear(levels[from:to])
			flash[u] = 0
		}
	}
	m.lay(levels, flash, now)
}

// lay lays over light how lamps stand for focusing.
func (m *Mix) lay(levels, flash []float32, now time.Time) {
	switch {
	case m.focus == nil:
	case m.pulse < 0:
		copy(levels, m.focus)
		clear(flash)
	default:
		from, to := m.show.Rig.UnitDrives(m.pulse)
		turn := 2 * math.Pi * float64(now.UnixNano()%int64(pulsing)) / float64(pulsing)
		for d := from; d < to; d++ {
			levels[d] = m.focus[d] * float32(dip+(1-dip)*(1-math.Cos(turn))/2)
		}
		flash[m.pulse] = 0
	}
}

// steadiest is the fastest that a look which a hand brings up may flash, in Hz: general
// flashes are held to three in any second (WCAG 2.2, 2.3.1).
const steadiest = 3

// stands is the look that a unit stands in, when it is all of what the unit gives.
func (m *Mix) stands(unit int) *show.Look {
	from, to := m.show.Rig.UnitDrives(unit)
	if m.focus != nil || m.out != nil && m.out[unit] || from == to {
		return nil
	}
	held, l := 0, m.look
	for d := from; d < to; d++ {
		if m.speaks != nil && m.speaks[d] {
			held++
		}
		if m.factor != nil && m.factor[d] != 1 {
			return nil
		}
	}
	if held == to-from {
		l = m.held
	} else if held > 0 {
		return nil
	}
	for d := from; d < to; d++ {
		if l != nil && l.Given()[d] > m.most[d] {
			return nil
		}
	}
	return l
}

// ceilings are the most of black light that a hand may ask for, by drive; 1 elsewhere.
type ceilings struct {
	eyes []float32 // for the people whom the room has
	near []float32 // and for somebody a metre before the lamp
}

// lampUVA is what the lamps of a hand may bring to an eye, in W/m²: for more than a
// thousand seconds (IEC 62471:2006, 4.3.2).
const lampUVA = 10.0

// ceilingsOf works out how far up black light may go by hand: all of it together so that no
// eye of the room gets more than lampUVA, each unit alone so that none does a metre before it.
// Outputs are taken at the upper end of what is known.
func ceilingsOf(s *show.Show) ceilings {
	c := ceilings{make([]float32, len(s.Rig.Drives)), make([]float32, len(s.Rig.Drives))}
	dark := make([]bool, len(s.Rig.Drives))
	near := make([]float64, len(s.Rig.Units))
	for d := range dark {
		c.eyes[d], c.near[d] = 1, 1
		l := &s.Rig.Emitter(d).Light
		if dark[d] = l.BlackLight(); dark[d] {
			u := s.Rig.Drives[d].Unit
			near[u] += atOneMetre(s, d)
		}
	}
	worst := 0.0
	if t := s.Transport; t != nil {
		for i := range t.Eyes {
			sum := 0.0
			row := t.MostRow(i, room.UVA)
			for d := range row {
				if dark[d] {
					sum += row[d] * t.Spread[d].High
				}
			}
			worst = max(worst, sum)
		}
	}
	for d := range dark {
		if dark[d] {
			c.near[d] = float32(min(lampUVA/max(near[s.Rig.Drives[d].Unit], lampUVA), 1))
			c.eyes[d] = float32(min(lampUVA/max(worst, lampUVA), 1))
			if worst == 0 { // nobody said where people are
				c.eyes[d] = c.near[d]
			}
		}
	}
	return c
}

// atOneMetre is the irradiance a metre before the lamp on its axis, in W/m², of a drive at
// full: its radiant intensity there, at the upper end of its output.
func atOneMetre(s *show.Show, drive int) float64 {
	d := &s.Rig.Drives[drive]
	u := &s.Rig.Units[d.Unit]
	e := s.Rig.Emitter(drive)
	share := float64(len(d.Cells)) / float64(u.Type.CellCount())
	if len(d.Cells) == 0 {
		share = 1
	}
	return e.Light.Watts * e.Light.High * share * u.Type.Peak(e)
}
