package course

import (
	"time"

	"lampblack/evening"
)

// Alarm lets an alarm stand in all zones: the lights are up at once, whatever went on, and time
// and sound stand. by says which input said so. Nothing but [Place.AlarmOver] ends it.
func (p *Place) Alarm(now time.Time, by string) {
	for _, z := range p.Zones {
		z.clock.Hold(now)
		z.asked = asked{}
		if z.last == onward || z.last == backward {
			z.last = stay // a go that had just come
		}
		if z.opens != nil { // what is opened waits for go
			z.opens.start.Held = true
		}
		z.happened(now, evening.AlarmSet, by)
	}
}

// AlarmOver ends the alarm. The lights stay up and all is held: what go will do is said. text
// says who reset it.
func (p *Place) AlarmOver(now time.Time, text string) {
	for _, z := range p.Zones {
		z.happened(now, evening.AlarmReset, text)
		z.say(now, "the alarm is reset: the lights stay up and time stands. Lights down first, then "+z.goes(z.clock.Read(now).Position))
	}
}

// Alarmed tells whether an alarm stands. A run that takes up one in which it stood begins so.
func (p *Place) Alarmed() bool { return p.Zones[0].log != nil && p.Zones[0].log.State().Alarm != "" }

// Standing is what is said of any order but to reset it while an alarm stands.
const Standing = "an alarm stands, and nothing moves the light until it is reset"

// alarmed says so, and tells whether it does.
func (p *Place) alarmed(now time.Time) bool {
	if !p.Alarmed() {
		return false
	}
	p.Say(now, Standing)
	return true
}

// up tells whether the lights are all the way up in all zones.
func (p *Place) up(now time.Time) bool {
	for _, z := range p.Zones {
		if s := z.log.State(); !s.LightsUp || s.On(now).Up < lightsUp {
			return false
		}
	}
	return true
}
