package course

import (
	"slices"
	"time"

	"lampblack/calendar"
	"lampblack/evening"
	"lampblack/play/clock"
)

// Told is how a zone stands on another machine, for one that sends the same light.
type Told struct {
	Zone    string
	State   evening.State
	Lead    time.Duration // of the light before the clock
	Opening bool          // its sound is being opened: the light is that before all
	Over    bool

	// How the place stands by its hours, in the first zone: shut or not, and for how long.
	Hours calendar.State
	Shut  bool
	For   time.Duration
}

// Tell says how the zones stand, for another machine.
func (p *Place) Tell(now time.Time) (out []Told) {
	for _, z := range p.Zones {
		if z.log == nil {
			continue
		}
		c := z.clock.Read(now)
		t := Told{Zone: z.Name, State: z.log.State().On(now), Lead: z.lead, Opening: z.opens != nil, Over: z.over}
		t.State.In, t.State.Speed, t.State.Instant = c.Position, c.Speed, now
		if c.State == clock.Lost {
			t.State.Speed = 0
		}
		out = append(out, t)
	}
	if len(out) > 0 && p.hours != nil {
		out[0].Hours, out[0].Shut, out[0].For = p.stands, p.shut, now.Sub(p.since)
	}
	return out
}

// Follow takes over how the zones stand elsewhere: where they are until they are told again, by
// the clock of the computer. Nothing goes on by itself meanwhile.
func (p *Place) Follow(list []Told) {
	for _, z := range p.Zones {
		i := slices.IndexFunc(list, func(t Told) bool { return t.Zone == z.Name })
		if len(list) == 1 && len(p.Zones) == 1 { // a folder of another name may give it its title
			i = 0
		}
		switch {
		case i >= 0:
			z.follow(&list[i])
		case z.log == nil: // nobody has told of it: it is as before its beginning
			z.follow(&Told{})
		}
	}
	if len(list) > 0 {
		p.followHours(&list[0])
	}
}

// followHours takes over how the place stands elsewhere by its hours: one look lies over the light of
// the zones here too, and comes and goes with that there.
func (p *Place) followHours(t *Told) {
	if t.Shut != p.shut || t.Shut && t.Hours.Look != p.stands.Look {
		p.since, p.before = t.State.Instant.Add(-t.For), append(p.before[:0], p.seen...)
	}
	p.stands, p.shut = t.Hours, t.Shut
}

// follow takes over how the zone stands elsewhere. It is asked with every frame, and told anew
// now and then.
func (z *Zone) follow(t *Told) {
	if c, ok := z.clock.(*told); ok && c.Told == *t {
		return
	}
	step := min(max(t.State.Step-1, 0), len(z.Evening.Steps)-1)
	if z.log == nil || step != z.index || z.log.State().Enters != t.State.Enters {
		z.index = step
		z.entered = z.Step().Show
		if seen := z.entering(t.State.Enters); seen != nil {
			z.entered = z.Evening.Enter(step, seen)
		}
		z.show, z.gaps = z.entered, nil
	}
	z.gaps = t.State.Waited.Gaps(len(z.entered.Score.Waits))
	z.stretch(t.State.In)
	z.log = evening.NewLog(z.Name, t.State, nil)
	z.clock, z.lead, z.over, z.early = &told{*t}, t.Lead, t.Over, t.Opening
}

// told is the clock of another machine, as it was told last.
type told struct{ Told }

func (c *told) Run(time.Time, time.Duration) {}
func (c *told) Hold(time.Time)               {}
func (c *told) Name() string                 { return "the other machine" }
func (c *told) Close() error                 { return nil }

func (c *told) Read(now time.Time) clock.Reading {
	s := c.State.On(now)
	r := clock.Reading{Position: s.In, Speed: s.Speed, State: clock.Runs}
	if s.Speed == 0 {
		r.State = clock.Held
	}
	return r
}

// Starts are, by zone, the states that were told, for a run that goes on from them.
func Starts(list []Told) map[string]evening.State {
	out := map[string]evening.State{}
	for _, t := range list {
		if !t.Over {
			out[t.Zone] = t.State
		}
	}
	return out
}
