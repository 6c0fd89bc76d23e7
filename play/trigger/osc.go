package trigger

import (
	"math"
	"net/netip"
	"time"

	"lampblack/wire/osc"
)

// osc takes an OSC packet. The time of a bundle is not waited for: what starts a show is
// not sent ahead.
func (f *feed) osc(b []byte, _ netip.AddrPort, now time.Time) {
	p, err := osc.Parse(b)
	if err != nil {
		f.refuse()
		return
	}
	f.oscPacket(p, now)
}

func (f *feed) oscPacket(p osc.Packet, now time.Time) {
	switch p := p.(type) {
	case *osc.Bundle:
		for _, e := range p.Elements {
			f.oscPacket(e, now)
		}
	case *osc.Message:
		for k, t := range f.from {
			if osc.Match(p.Address, t.Place) {
				f.oscMessage(k, p, now)
			}
		}
	}
}

// oscMessage takes a message to a trigger: a number or a truth says how the contact
// stands, as buttons and faders do that say when they are let go; anything else, or
// nothing, presses it.
func (f *feed) oscMessage(k int, m *osc.Message, now time.Time) {
	level, ok := 0.0, false
	if len(m.Args) > 0 {
		level, ok = number(m.Args[0])
	}
	switch {
	case !ok:
		f.press(k, now)
	case math.IsNaN(level):
		f.refuse()
	default:
		if f.levels[k] == Unknown {
			f.rest(k, now)
		}
		f.stand(k, f.from[k].Crosses(level, f.levels[k] == Closed), now)
	}
}

// number is an argument as a level.
func number(a any) (float64, bool) {
	switch v := a.(type) {
	case int32:
		return float64(v), true
	case int64:
		return float64(v), true
	case float32:
		return float64(v), true
	case float64:
		return v, true
	case bool:
		if v {
			return 1, true
		}
		return 0, true
	}
	return 0, false
}
