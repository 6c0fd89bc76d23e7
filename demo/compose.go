package demo

import (
	"cmp"
	"slices"
	"time"
)

// sound is one sound of the piece: what plays it, from which sample on.
type sound struct {
	at     int64
	name   string
	plays  instrument
	db     float64 // gain on the instrument, whose peak is full scale
	accent bool
	slow   bool    // has no attack that could be heard as one
	pan    float64 // -1 left … 1 right
	room   float64 // share that is sent to the reverberation
}

// composer puts the piece together from front to back.
type composer struct {
	plan Plan
	now  int64 // the sample that the next section begins on
	bar  int   // bars so far
	cuts []cut
}

// cut is a place where all sound stops at once, reverberation too, until on.
type cut struct{ at, on int64 }

// moment returns the time of a sample.
func moment(sample int64) time.Duration {
	return time.Duration(sample/Rate)*time.Second + time.Duration(sample%Rate)*time.Second/Rate
}

// samples is the sample nearest to a time in seconds.
func samples(s float64) int64 { return int64(float64(s*Rate) + 0.5) }

// section opens a section that lasts until the sample and moves on to it. It
// returns where the section begins. Sounds may be added before its beginning and ring on
// behind its end.
func (c *composer) section(name, label string, until int64) int64 {
	from := c.now
	c.plan.Sections = append(c.plan.Sections, Section{moment(from), moment(until), name, label})
	c.now = until
	return from
}

// still opens a section without pulse.
func (c *composer) still(name, label string, lasts float64) int64 {
	return c.section(name, label, c.now+samples(lasts))
}

// pulsed opens a section with a pulse and notes its beats.
func (c *composer) pulsed(name, label string, p pulse) pulse {
	c.section(name, label, p.end())
	for bar := range p.bars() {
		c.bar++
		for beat := range p.count {
			c.plan.Beats = append(c.plan.Beats, Beat{moment(p.at(bar, float64(beat))), c.bar, beat + 1})
		}
	}
	return p
}

func (c *composer) add(s sound) { c.plan.sounds = append(c.plan.sounds, s) }

// bed adds a sound without attack.
func (c *composer) bed(at int64, name string, pan float64, plays instrument) {
	c.add(sound{at: at, name: name, plays: plays, slow: true, pan: pan, room: .15})
}

// span notes a piece of the track.
func span(list *[]Span, from, to int64, name string) {
	*list = append(*list, Span{moment(from), moment(to), name})
}

// finish sorts what was composed and derives the attacks from it: sounds that
// begin on one sample are one attack, named after the loudest.
func (c *composer) finish() Plan {
	p := &c.plan
	slices.SortStableFunc(p.sounds, func(a, b sound) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(b.db, a.db))
	})
	last, struck := int64(-1), []Attack(nil)
	for _, s := range p.sounds {
		switch {
		// Beds are no attacks; their swells stand in a list of their own.
		case s.slow:
		case s.at == last:
			a := &struck[len(struck)-1]
			if s.accent && !a.Accent {
				a.Accent, a.Name = true, s.name
				a.Rise, a.Decay = s.plays.shape()
			}
		default:
			rise, decay := s.plays.shape()
			struck = append(struck, Attack{moment(s.at), s.name, s.db, s.accent, rise, decay})
			last = s.at
		}
	}
	p.Attacks = append(p.Attacks, struck...)
	slices.SortStableFunc(p.Attacks, func(a, b Attack) int { return cmp.Compare(a.Time, b.Time) })
	p.cuts = c.cuts
	p.frames = c.now
	p.Duration = moment(c.now)
	return *p
}
