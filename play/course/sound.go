package course

import (
	"math"
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/si"
)

// Lower takes the sound of the step over a time to so much below its own; time and light go
// on. 0 dB is as it was, what lies below [si.Lowest] is off. It holds for this step alone, so
// that a piece that was faded out leaves the next one as it is.
func (z *Zone) Lower(now time.Time, by si.Decibels, over time.Duration) {
	if z.opens != nil || z.over || !z.lower(by, over) {
		z.say(now, "no sound plays here that could be faded")
		return
	}
	e := z.event(now, evening.Sound, 0)
	e.From, e.Lowered = e.At, below(by)
	if e.Text = by.String() + " over " + si.Say(over.Seconds(), "s"); e.Lowered >= evening.Off {
		e.Text = "off over " + si.Say(over.Seconds(), "s")
	}
	z.log.Append(e)
}

// below is a level as a log has it.
func below(by si.Decibels) float64 {
	if !(by >= si.Lowest) {
		return evening.Off
	}
	return max(math.Round(-10*float64(by))/10, 0)
}

// lower lowers the clock, and tells whether it is a sound.
func (z *Zone) lower(by si.Decibels, over time.Duration) bool {
	h, ok := z.clock.(clock.Heard)
	if !ok {
		return false
	}
	amplitude := 0.0
	if below(by) < evening.Off {
		amplitude = si.Decibels(-below(by)).Amplitude()
	}
	h.Lower(amplitude, min(max(over, 0), time.Minute))
	return true
}

// Lower lowers the sound of a zone; of all that have any where none is named.
func (p *Place) Lower(now time.Time, zone string, by si.Decibels, over time.Duration) {
	for _, z := range p.Zones {
		_, heard := z.clock.(clock.Heard)
		if z.Name == zone || zone == "" && (heard || len(p.Zones) == 1) {
			z.Lower(now, by, over)
		}
	}
}

// Held tells whether time stands in all zones, so that nothing of the show is heard.
func (p *Place) Held() bool {
	for _, z := range p.Zones {
		if s := z.log.State(); !s.Held && !s.LightsUp && !z.over && !z.Step().Stands() {
			return false
		}
	}
	return true
}

// Say has a word for the person at the keys.
func (p *Place) Say(now time.Time, text string) { p.Zones[0].say(now, text) }
