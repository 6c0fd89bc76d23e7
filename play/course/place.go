package course

import (
	"errors"
	"time"

	"lampblack/calendar"
	"lampblack/evening"
	"lampblack/show"
)

// Place is the zones of a place on their ways, side by side. Outside its hours the zones
// rest, triggers are asleep, and one look stands in all of them.
type Place struct {
	Zones []*Zone
	place *show.Place
	hours *calendar.Calendar

	// LostLook is the look that stands while the clock of the first zone is lost and stands;
	// "" is that its light does.
	LostLook string

	fallen fallen
	stands calendar.State // by the hours
	shut   bool
	since  time.Time // the change
	before []float32 // the light then
	seen   []float32 // the light of the last frame

	swapped time.Time // the change to another solving
	was     []float32 // the light then
}

// NewPlace returns a place that has not begun. hours may be nil: it is always open. options
// says how each zone runs.
func NewPlace(p *show.Place, hours *calendar.Calendar, options func(zone int) Options) *Place {
	o := &Place{place: p, hours: hours}
	for i := range p.Zones {
		o.Zones = append(o.Zones, New(&p.Zones[i], options(i)))
	}
	return o
}

// Show is the show of the place, as it is solved now.
func (p *Place) Show() *show.Show { return p.place.Show }

// Begin begins in all zones: as starts has them by name, or as start. A zone that cannot
// begin lets the others begin all the same.
func (p *Place) Begin(now time.Time, start evening.State, starts map[string]evening.State) error {
	var all error
	for _, z := range p.Zones {
		s, ok := starts[z.Name]
		if !ok {
			s = start
		}
		all = errors.Join(all, z.Begin(now, s))
	}
	if all == nil {
		p.keepHours(now)
	}
	return all
}

// Tick lets time go on to an instant. The place is over when all of its zones are.
func (p *Place) Tick(now time.Time) (over bool, err error) {
	if p.keepHours(now); p.shut {
		return false, nil
	}
	over = true
	for _, z := range p.Zones {
		o, e := z.Tick(now)
		over = over && o
		err = errors.Join(err, e)
	}
	return over, err
}

// Settle takes zones to the steps that a person has sent them to.
func (p *Place) Settle(now time.Time) (over bool, err error) {
	over = true
	for _, z := range p.Zones {
		if z.last != stay && z.opens == nil {
			_, e := z.Tick(now)
			err = errors.Join(err, e)
		}
		over = over && z.over
	}
	return over, err
}

// keepHours opens and shuts the place.
func (p *Place) keepHours(now time.Time) {
	if p.hours == nil {
		return
	}
	if !p.stands.Until.IsZero() && now.Before(p.stands.Until) {
		return
	}
	was := p.stands
	p.stands = p.hours.At(now)
	if p.stands.Is == was.Is && p.stands.Look == was.Look && !was.Until.IsZero() {
		return
	}
	shut := p.stands.Is != calendar.Open && (p.stands.Asleep || p.stands.Look != "")
	p.since, p.before = now, append(p.before[:0], p.seen...)
	for _, z := range p.Zones {
		switch {
		case p.stands.Is == calendar.Testing:
			z.happened(now, evening.Tests, p.stands.Why)
		case p.stands.Is == calendar.Open:
			z.happened(now, evening.Opens, p.stands.Why)
		case was.Is == calendar.Open:
			z.happened(now, evening.Closes, p.stands.Why)
		}
		if shut != p.shut { // it begins anew, resting
			z.last = rest
			if z.log.State().Frozen { // a hand that has gone home gives it back
				z.freeze(now, false)
			}
			_, _ = z.Tick(now) // a failure is told by the next
		}
	}
	p.shut = shut
}

// Next is the next instant at which something happens by itself in any zone.
func (p *Place) Next(now time.Time) (instant time.Time, ok bool) {
	take := func(t time.Time, known bool) {
		if known && (!ok || t.Before(instant)) {
			instant, ok = t, true
		}
	}
	if until := p.stands.Until; p.hours != nil && !until.IsZero() {
		take(until, true)
	}
	if p.shut {
		return instant, ok
	}
	for _, z := range p.Zones {
		take(z.Next(now))
	}
	return instant, ok
}

// Do carries out what a person wants of a zone; of all of them where it names none. Go and
// what takes a zone elsewhere is meant, where none is named, for those that wait for go: if
// there is but one zone, for that.
func (p *Place) Do(now time.Time, zone string, do Action, at time.Duration) {
	if p.alarmed(now) {
		return
	}
	for _, z := range p.Zones {
		if zone != "" && z.Name != zone {
			continue
		}
		all := len(p.Zones) == 1 || zone != "" || everyone(do)
		if all || z.waitsForGo(now) {
			z.Do(now, do, at)
		}
	}
}

// everyone tells whether an action is meant for all zones where none is named.
func everyone(do Action) bool {
	switch do {
	case Hold, LightsUp, LightsDown, Tap, Freeze, Unfreeze, StopAll:
		return true
	}
	return false
}

// waitsForGo tells whether a zone waits for a person.
func (z *Zone) waitsForGo(now time.Time) bool {
	if state := z.log.State(); state.Held || state.LightsUp {
		return true
	}
	w, ok := z.Waits(now)
	return ok && w.Until.Trigger == ""
}

// Trigger says that a trigger came, and tells how many zones it took on. One that no zone
// waited for is written to the log of those that have it in their orders.
func (p *Place) Trigger(now time.Time, name string) (zones int) {
	if p.shut {
		return 0
	}
	for _, z := range p.Zones {
		if z.Trigger(now, name) {
			zones++
			_, _ = z.Tick(now) // it goes on at once; a failure is told by the next
		}
	}
	if zones > 0 {
		return zones
	}
	for _, z := range p.Zones {
		if z.names(name) {
			z.happened(now, evening.Missed, name)
		}
	}
	return 0
}

// names tells whether the zone's order waits for the trigger anywhere.
func (z *Zone) names(trigger string) bool {
	for i := range z.Evening.Steps {
		s := &z.Evening.Steps[i]
		if s.Until.Trigger == trigger {
			return true
		}
		for k := range s.Show.Score.Waits {
			if s.Show.Score.Waits[k].Until.Trigger == trigger {
				return true
			}
		}
	}
	return false
}

// Shut tells whether the place is outside its hours, and how it then stands.
func (p *Place) Shut() (calendar.State, bool) { return p.stands, p.shut }

// lightsUp is how long lights take to come up.
const lightsUp = show.LightsUpTime

// shutting is how long the light takes from the zones' to that of a place which is shut, and
// back.
const shutting = 3 * time.Second

// Light fills the frame with the light of the place.
func (p *Place) Light(f *show.Composed, now time.Time) {
	for i, z := range p.Zones {
		z.Light(f.Zones[i], now)
	}
	p.place.Compose(f)
	if len(p.Zones) > 1 && p.up(now) {
		p.place.LightsUp(f.Frame, 1) // units that no zone lights as well
	}
	p.stand(f, now)
	p.fall(f, now)
	if since := now.Sub(p.swapped); since < Swapping && p.was != nil {
		p.place.From(f.Frame, p.was, float32(since.Seconds()/Swapping.Seconds()))
	}
	p.seen = append(p.seen[:0], f.Levels...)
}

// stand lays the look of a place that is shut over the light of its zones.
func (p *Place) stand(f *show.Composed, now time.Time) {
	if p.since.IsZero() { // no hours, here or elsewhere
		return
	}
	share := float32(min(now.Sub(p.since).Seconds()/shutting.Seconds(), 1))
	switch {
	case p.Zones[0].log.State().LightsUp: // a hand wins over the hours
	case p.shut:
		p.place.Stand(f.Frame, p.stands.Look, p.before, share)
	case share < 1 && p.before != nil:
		p.place.From(f.Frame, p.before, share)
	}
}

// fallen is a light that has fallen to another look since an instant, or goes back from it.
type fallen struct {
	on     bool
	since  time.Time
	before []float32
}

// fall lays the look for a lost clock over the light of the zones, and takes it away again when
// the show goes on, each over some seconds.
func (p *Place) fall(f *show.Composed, now time.Time) {
	if p.LostLook == "" {
		return
	}
	z := p.Zones[0]
	s := z.log.State()
	on := s.Lost && z.clock.Read(now).Speed == 0 && !s.LightsUp
	if on != p.fallen.on {
		p.fallen = fallen{on, now, append(p.fallen.before[:0], p.seen...)}
	}
	share := float32(min(now.Sub(p.fallen.since).Seconds()/shutting.Seconds(), 1))
	switch {
	case on:
		p.place.Stand(f.Frame, p.LostLook, p.fallen.before, share)
	case share < 1 && len(p.fallen.before) > 0 && !s.LightsUp:
		p.place.From(f.Frame, p.fallen.before, share)
	}
}

// Safe fills the frame with the light in which a run ends, and in which it stands in an alarm:
// lights up, ultraviolet and flashing off. It is the same however the zones stand, and before
// they have begun.
func (p *Place) Safe(f *show.Composed) { p.place.LightsUp(f.Frame, 1) }

// Hold stops all clocks.
func (p *Place) Hold(now time.Time) {
	for _, z := range p.Zones {
		z.clock.Hold(now)
	}
}

// End writes that the run is over.
func (p *Place) End(now time.Time, text string) {
	for _, z := range p.Zones {
		if z.log != nil {
			z.happened(now, evening.Ended, text)
		}
	}
}

// Close ends all clocks.
func (p *Place) Close() error {
	var all error
	for _, z := range p.Zones {
		all = errors.Join(all, z.Close())
	}
	return all
}

// Position is where the zone is in its step.
func (z *Zone) Position(now time.Time) time.Duration { return z.clock.Read(now).Position }
