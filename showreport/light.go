package showreport

import (
	"context"
	"time"

	"lampblack/calendar"
	"lampblack/check/subject"
	"lampblack/evening"
	"lampblack/light"
	"lampblack/room"
	"lampblack/show"
)

// meter adds up light over the states of a night. Light is linear: what a drive gave, as full
// light times seconds, is all that hours and doses need.
type meter struct {
	place  *show.Place
	hours  *calendar.Calendar
	frame  *show.Frame
	given  []float64   // by drive: full light × s
	lit    []float64   // by unit: s with any light
	violet []float64   // by unit: s with black light
	rows   [][]float64 // by eye: W/m² of UV-A for each drive at full, upper end, as the eye could turn
	under  []float64   // by eye: s with more than a hundredth of a mW/m²

	of    *show.Show
	spans [][2]time.Duration
}

func newMeter(p *show.Place, hours *calendar.Calendar) *meter {
	m := &meter{place: p, hours: hours, frame: p.NewFrame(), given: make([]float64, len(p.Rig.Drives)), lit: make([]float64, len(p.Rig.Units)), violet: make([]float64, len(p.Rig.Units))}
	t := p.Transport
	for e := range t.Eyes {
		row := t.MostRow(e, room.UVA)
		for d := range row {
			row[d] *= t.Spread[d].High
		}
		m.rows = append(m.rows, row)
	}
	m.under = make([]float64, len(m.rows))
	return m
}

// sample is how far apart samples of light that moves are: a fade of two seconds is four.
const sample = 500 * time.Millisecond

// mostStretch bounds a time without any event that is believed: a place stands still at night,
// and no clock is that wrong.
const mostStretch = 26 * time.Hour

// add adds the light of a zone from its state to an instant.
func (m *meter) add(z *show.PlacedZone, s evening.State, to time.Time, shut bool) {
	d := to.Sub(s.Instant)
	if s.Step == 0 || s.Step > len(z.Evening.Steps) || d <= 0 || d > mostStretch {
		return
	}
	if shut && m.hours != nil {
		if look := m.place.Score.Looks.Index(m.hours.At(s.Instant.Add(d / 2)).Look); look >= 0 {
			copy(m.frame.Levels, m.place.Looks[look].Levels)
			m.count(z, d)
			return
		}
	}
	of := m.stepOf(z, &s, d)
	if s.LightsUp || s.Frozen || s.Speed <= 0 {
		m.at(z, of, s, d/2, d)
		return
	}
	// From here to there on the show's line, still where nothing moves.
	from, end := s.In, s.In+time.Duration(s.Speed*float64(d))
	off := func(in time.Duration) time.Duration { return time.Duration(float64(in-from) / s.Speed) }
	at := from
	for _, span := range m.spans {
		if span[1] <= at || span[0] >= end {
			continue
		}
		if span[0] > at {
			m.at(z, of, s, off((at+span[0])/2), off(span[0])-off(at))
			at = span[0]
		}
		for stop := min(span[1], end); at < stop; {
			next := min(at+sample, stop)
			m.at(z, of, s, off((at+next)/2), off(next)-off(at))
			at = next
		}
	}
	if at < end {
		m.at(z, of, s, off((at+end)/2), off(end)-off(at))
	}
}

// stepOf is the show of the step, with its waits as long as they have been.
func (m *meter) stepOf(z *show.PlacedZone, s *evening.State, d time.Duration) *show.Show {
	of := z.Evening.Steps[s.Step-1].Show
	if len(of.Waits) > 0 {
		of = of.Waited(s.Waited.Gaps(len(of.Score.Waits)), s.In+time.Duration(max(s.Speed, 0)*float64(d)))
	}
	if of != m.of {
		m.of, m.spans = of, subject.Of(of).Moving()
	}
	return of
}

// at counts the light of the state so much later, for a while.
func (m *meter) at(z *show.PlacedZone, of *show.Show, s evening.State, later, d time.Duration) {
	s = s.On(s.Instant.Add(later))
	of.Light(m.frame, s.In)
	if s.LightsUp || s.Frozen || s.Stands != "" {
		of.AtState(m.frame, s)
	}
	m.count(z, d)
}

// dark is the UV-A under which there is none to speak of, W/m²: a day of it is under a
// thousandth of a day's limit.
const dark = 1e-4

// count counts the frame for a while, of the units that the zone lights.
func (m *meter) count(z *show.PlacedZone, d time.Duration) {
	seconds := d.Seconds()
	for u := range m.place.Rig.Units {
		if !z.Lights(u) {
			continue
		}
		from, to := m.place.Rig.UnitDrives(u)
		any, black := false, false
		for i := from; i < to; i++ {
			if level := float64(m.frame.Levels[i]); level > 0 {
				m.given[i] += level * seconds
				any = true
				black = black || m.place.Rig.Emitter(i).Light.BlackLight()
			}
		}
		if any {
			m.lit[u] += seconds
		}
		if black {
			m.violet[u] += seconds
		}
	}
	for e, row := range m.rows {
		v := 0.0
		for i, level := range m.frame.Levels {
			if z.Lights(m.place.Rig.Drives[i].Unit) {
				v += float64(level) * row[i]
			}
		}
		if v > dark {
			m.under[e] += seconds
		}
	}
}

func (m *meter) lamps() []Burned {
	out := []Burned{}
	for u := range m.place.Rig.Units {
		l := Burned{Unit: m.place.Rig.Units[u].Name.Name, Lit: m.lit[u] / 3600, Violet: m.violet[u] / 3600}
		from, to := m.place.Rig.UnitDrives(u)
		for d := from; d < to; d++ {
			l.Full += m.given[d] / 3600 / float64(to-from)
		}
		out = append(out, l)
	}
	return out
}

// people are all eyes of the room, as if each had been there all night.
func (m *meter) people(ctx context.Context) []Person {
	out := []Person{}
	t := m.place.Transport
	run := &subject.Run{Subject: subject.Of(m.place.Show), Ctx: ctx, Show: m.place.Show}
	for e, place := range t.Eyes {
		p := Person{Name: t.Places[place].Name, Kind: string(t.Places[place].Kind), Limit: light.DailyUVA, Hours: m.under[e] / 3600}
		if run.IsChild(e) {
			p.Limit /= 2 // common practice, as package dose has it
		}
		for d, v := range m.given {
			p.Dose += v * m.rows[e][d]
		}
		out = append(out, p)
	}
	return out
}
