package rehearse

import (
	"time"

	"lampblack/calendar"
	"lampblack/check/subject"
	"lampblack/room"
	"lampblack/show"
)

// meter adds up light over time. Light is linear: what a drive gave, as full light times
// seconds, is all that lamp hours and doses need.
type meter struct {
	place *show.Place
	frame *show.Frame
	rows  [][]float64 // by eye: W/m² of UV-A for each drive at full, as the eye could turn
	kind  []room.Kind // by eye
	lit   []float64   // by unit: seconds with any light

	of    *show.Show // the moving spans that are known
	spans [][2]time.Duration
}

func newMeter(p *show.Place) *meter {
	m := &meter{place: p, frame: p.NewFrame(), lit: make([]float64, len(p.Rig.Units))}
	t := p.Transport
	for e, place := range t.Eyes {
		m.rows = append(m.rows, t.MostRow(e, room.UVA))
		m.kind = append(m.kind, t.Places[place].Kind)
	}
	return m
}

// Samples of light that moves are half a second apart, so that a fade of two seconds is four
// of them; what stands is one.
const sample = 500 * time.Millisecond

// take takes the light of a zone for a while from now on.
func (m *meter) take(z *zone, shut bool, stands calendar.State, now time.Time, d time.Duration) {
	if shut {
		look := m.place.Score.Looks.Index(stands.Look)
		if look < 0 {
			return
		}
		copy(m.frame.Levels, m.place.Looks[look].Levels)
		m.add(z, d)
		return
	}
	s := z.way.Show()
	if s != m.of {
		m.of, m.spans = s, subject.Of(s).Moving()
	}
	at, to := z.way.Position(now), z.way.Position(now)+d
	for _, span := range m.spans {
		if span[1] <= at || span[0] >= to {
			continue
		}
		if span[0] > at {
			m.still(z, s, at, span[0])
			at = span[0]
		}
		for end := min(span[1], to); at < end; at += sample {
			step := min(sample, end-at)
			s.Light(m.frame, at+step/2)
			m.add(z, step)
		}
		at = min(span[1], to)
	}
	m.still(z, s, at, to)
}

func (m *meter) still(z *zone, s *show.Show, from, to time.Duration) {
	if to > from {
		s.Light(m.frame, from+(to-from)/2)
		m.add(z, to-from)
	}
}

// add adds the frame for a while, of the units that the zone lights.
func (m *meter) add(z *zone, d time.Duration) {
	seconds := d.Seconds()
	for u := range m.place.Rig.Units {
		if !z.Lights(u) {
			continue
		}
		from, to := m.place.Rig.UnitDrives(u)
		any := false
		for i := from; i < to; i++ {
			if level := float64(m.frame.Levels[i]); level > 0 {
				z.used.Lit[i] += level * seconds
				any = true
			}
		}
		if any {
			m.lit[u] += seconds
		}
	}
}

// given is the UV-A that every eye of the room could have had so far, in J/m².
func (m *meter) given(zones []*zone) []float64 {
	out := make([]float64, len(m.rows))
	for e, row := range m.rows {
		for _, z := range zones {
			for d, s := range z.used.Lit {
				if s > 0 {
					out[e] += s * row[d]
				}
			}
		}
	}
	return out
}

// visitors are the doses of eyes at which visitors may be: seats, or all where the room has
// none.
func (m *meter) visitors(dose []float64) []float64 {
	var out []float64
	for e, d := range dose {
		if m.kind[e] == room.KindSeat {
			out = append(out, d)
		}
	}
	if out == nil {
		return dose
	}
	return out
}
