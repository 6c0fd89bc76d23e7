package show

import (
	"time"

	"lampblack/si"
)

// SpeedOfSound is that in air of 20 °C, in m/s (343.2; ISO 9613-1, from memory).
const SpeedOfSound = 343.2

// Light shall lead sound by 0 to 40 ms at the ear. Light that comes late is
// noticed from 20 ms on, light that comes early far later (ITU-R BT.1359-1
// gives 45 ms and 125 ms for pictures); the window is a design target.
const (
	LeastLead = 0
	MostLead  = 40 * time.Millisecond
	bestLead  = (LeastLead + MostLead) / 2
)

// Budget says when sound and light that belong to one instant of the track
// are at a seat, counted from the moment that the instant is played and sent.
type Budget struct {
	Sound, Light Delay
}

// Lead returns by how much light is ahead of sound, as an interval; negative
// where it is behind.
func (b Budget) Lead() Delay {
	return Delay{Low: b.Sound.Low - b.Light.High, High: b.Sound.High - b.Light.Low}
}

// Within tells whether light leads by 0 to 40 ms whatever the delays are
// inside their intervals.
func (b Budget) Within() bool {
	lead := b.Lead()
	return lead.Low >= LeastLead && lead.High <= MostLead
}

// Travel returns the time that sound takes.
func Travel(distance si.Length) time.Duration {
	return time.Duration(float64(distance) / SpeedOfSound * float64(time.Second)).Round(10 * time.Microsecond)
}

// Budget adds up the delays on the way to a seat that is so far from the
// speaker, when light commands leave the offset later than the track's own
// time; a negative offset sends them early.
func (t Timing) Budget(distance si.Length, offset time.Duration) Budget {
	air := Travel(distance)
	return Budget{
		Sound: Delay{Low: t.Sound.Low + air, High: t.Sound.High + air},
		Light: Delay{Low: t.Light.Low + offset, High: t.Light.High + offset},
	}
}

// Offset returns how much later than the track's own time light commands should leave
// (earlier when it is negative), so that the middle of the interval in which light
// leads sound is 20 ms at the centre seat. At 20 ms, the middle of 0 to 40, the delays
// may be 20 ms off either way before light comes late or leads by too much.
func (t Timing) Offset() time.Duration {
	lead := t.Budget(t.Speaker, 0).Lead()
	return ((lead.Low+lead.High)/2 - bestLead).Round(time.Millisecond)
}

// Arrival is when sound and light of one cue are at the two seats that the
// timing knows, in the track's time.
type Arrival struct {
	Cue    int // index in Show.Cues
	Moment time.Duration
	Centre Budget
	Back   Budget
}

// Arrivals says where every cue that lands on a moment of the soundtrack is
// seen and heard, with light commands sent offset later than the track's time.
// Times of the budgets count from the track's zero.
func (s *Show) Arrivals(offset time.Duration) []Arrival {
	var out []Arrival
	for i := range s.Cues {
		c := &s.Cues[i]
		if c.On == nil {
			continue
		}
		out = append(out, Arrival{
			Cue: i, Moment: c.Moment,
			Centre: s.Bill.Timing.Budget(s.Bill.Timing.Speaker, offset).from(c.Moment),
			Back:   s.Bill.Timing.Budget(s.Bill.Timing.Back, offset).from(c.Moment),
		})
	}
	return out
}

func (b Budget) from(t time.Duration) Budget {
	b.Sound.Low, b.Sound.High = b.Sound.Low+t, b.Sound.High+t
	b.Light.Low, b.Light.High = b.Light.Low+t, b.Light.High+t
	return b
}
