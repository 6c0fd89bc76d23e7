package draft

import (
	"cmp"
	"slices"
	"time"

	"lampblack/soundtrack"
)

// candidate is a cue that could be.
type candidate struct {
	at     time.Duration
	kind   soundtrack.Kind // Turn, Hush, Swell or Hit
	moment soundtrack.Moment
	part   int
	swell  *soundtrack.Moment // that leads into it
	hit    bool               // it is on a hit, which is at
	worth  int64
}

// key tells a candidate from all others, in every proposal.
type key struct {
	kind soundtrack.Kind
	at   time.Duration
}

func (c *candidate) key() key { return key{c.kind, c.at} }

// Worths, and the price that every cue has to earn: a hit is worth 1000 times
// its strength squared, so that one that everybody hears outweighs two that
// some do. Turns and silences are the story and come first.
const (
	// This tool's choice: only their ratios decide, and how they stand to the price.
	turnWorth  = 6000
	hushWorth  = 4000
	swellWorth = 1500
	hitWorth   = 1000
)

// The price of a cue follows the track: it is what the hit is worth that would
// be the last, if hits took a share of the cues that are agreed on. In busy
// music no hit stands out by itself, and still the best few are worth a cue;
// where many do, the price stays at its most.
const (
	hitShare   = .4
	leastPrice = 30
	mostPrice  = 250
)

// Distances within which one moment belongs to another.
const (
	sameMoment  = 80 * time.Millisecond
	swellBefore = 1500 * time.Millisecond
	onSwell     = 350 * time.Millisecond // a hit that a swell leads to
	onWish      = 300 * time.Millisecond // a hit that a person's round time means
)

// gather lists all that could be a cue, by time. Turns come first, since swells and
// hits that belong to one are not told again; of two at one time the one of more worth
// stands first.
func (d *drafting) gather() {
	d.turns()
	t := d.heard
	for _, m := range t.Moments {
		switch m.Kind {
		case soundtrack.Hush:
			d.hush(m)
		case soundtrack.Swell:
			d.swell(m)
		}
	}
	for _, m := range t.Hits() {
		d.hit(m)
	}
	slices.SortStableFunc(d.list, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(b.worth, a.worth))
	})
}

// turns makes a candidate of the beginning of every part. A swell that ends up to 1.5 s
// before it leads into it, and the change then lands at the swell's end, or on the hit
// there; the part's own beginning moves with it. A part that has the look of the one
// before it changes nothing, unless the light has to come back after a silence.
func (d *drafting) turns() {
	for i := range d.parts {
		p := &d.parts[i]
		c := candidate{at: p.from, kind: soundtrack.Turn, part: i, worth: turnWorth}
		if i > 0 && d.looks[i] == d.looks[i-1] && !d.wakes(p.from) {
			continue // nothing would change
		}
		if p.turn != nil {
			c.moment = *p.turn
		}
		c.moment.Time = p.from
		for k := range d.track.Moments {
			m := &d.track.Moments[k]
			if m.Kind == soundtrack.Swell && rises(d.track, m) && p.from >= m.Time && p.from-m.End <= swellBefore && i > 0 {
				c.swell, c.at = m, m.End
			}
		}
		switch {
		case c.swell != nil:
			c.on(d.track, onSwell)
		case p.wish != nil:
			c.on(d.track, onWish)
		default:
			c.on(d.track, sameMoment)
		}
		if p.from = c.at; i > 0 {
			d.parts[i-1].to = c.at
		}
		d.list = append(d.list, c)
	}
}

// on puts a candidate on the strongest hit within reach. The strongest, not the
// nearest: light on the weaker of two would be seen as late for the stronger.
func (c *candidate) on(t *soundtrack.Track, reach time.Duration) {
	best := 0.0
	about := c.at
	for _, m := range t.Moments {
		if m.Kind == soundtrack.Hit && (m.Time-about).Abs() <= reach && m.Strength > best {
			best, c.hit, c.at = m.Strength, true, m.Time
		}
	}
}

// rises tells a rise of loudness from a fall.
func rises(t *soundtrack.Track, m *soundtrack.Moment) bool {
	return t.Loudness.At(m.End, -120) > t.Loudness.At(m.Time, -120)
}

// wakes tells whether a silence that may take the light ends at t.
func (d *drafting) wakes(t time.Duration) bool {
	for _, m := range d.track.Of(soundtrack.Hush) {
		if d.darkens(&m) && (m.End-t).Abs() < time.Second {
			return true
		}
	}
	return false
}

// darkens tells whether a silence is neither the leader of the track, nor its
// end, nor a mere pause.
func (d *drafting) darkens(m *soundtrack.Moment) bool {
	return m.Time >= time.Second && m.End <= d.track.Duration-time.Second && m.End-m.Time >= time.Second
}

// hush adds a silence.
func (d *drafting) hush(m soundtrack.Moment) {
	if !d.darkens(&m) {
		return
	}
	d.list = append(d.list, candidate{at: m.Time, kind: soundtrack.Hush, moment: m, part: d.partAt(m.Time), worth: hushWorth})
}

// swell adds a rise that leads into no turn. Swells in a calm span, and falls of
// loudness, are none.
func (d *drafting) swell(m soundtrack.Moment) {
	if !rises(d.track, &m) || d.calm(m.Time, m.End+leastBack) {
		return
	}
	for _, c := range d.list {
		if c.swell != nil && c.swell.Time == m.Time {
			return
		}
	}
	c := candidate{at: m.End, kind: soundtrack.Swell, moment: m, swell: &m, part: d.partAt(m.End), worth: int64(swellWorth * m.Strength)}
	c.on(d.track, onSwell)
	d.list = append(d.list, c)
}

// hit adds an attack, unless it is the turn that is there already. The worth grows with
// the square of the strength, shrinks by up to 80 % under a voice (less, the stronger
// the hit: who speaks through a thunderclap is not heard anyway), and by a fifth either
// way with how much happens in the section. One that a person accepted is worth a turn.
func (d *drafting) hit(m soundtrack.Moment) {
	if d.calm(m.Time-slowest, m.Time+leastBack) {
		d.leave(m, "there is to be calm")
		return
	}
	for i := range d.list {
		c := &d.list[i]
		if c.swell != nil && c.hit && (c.at-m.Time).Abs() <= onSwell {
			if c.at != m.Time {
				d.leave(m, "the swell leads to a stronger one beside it")
			}
			return // one of the two is lit
		}
		if c.hit && c.at == m.Time {
			return
		}
	}
	p := d.partAt(m.Time)
	square := m.Strength * m.Strength
	worth := hitWorth * square * (1 - .8*d.voice(m.Time)*(1-square)) * (.8 + .4*d.parts[p].energy)
	if d.accepted(m) {
		worth = turnWorth
	}
	d.list = append(d.list, candidate{at: m.Time, kind: soundtrack.Hit, moment: m, part: p, worth: int64(worth)})
}

// calm tells whether the score forbids bumps anywhere between two times.
func (d *drafting) calm(from, to time.Duration) bool {
	for _, s := range d.score.Calm {
		if to >= s.From && from < s.To {
			return true
		}
	}
	return false
}

// A voice that is heard is told from music by level patterns alone. Below the
// first strength it is taken for none, from the second on for sure. Bumps over
// it cost more, the less they stand out; where there must be none, a person
// says calm.
const (
	noVoice   = .6
	sureVoice = .75
)

// voice returns how surely somebody speaks at t, 0 to 1.
func (d *drafting) voice(t time.Duration) float64 {
	most := 0.0
	for _, m := range d.track.Moments {
		if m.Kind == soundtrack.Voice && t >= m.Time && t < m.End {
			most = max(most, m.Strength)
		}
	}
	return min(1, max(0, (most-noVoice)/(sureVoice-noVoice)))
}
