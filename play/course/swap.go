package course

import (
	"slices"
	"time"

	"lampblack/evening"
	"lampblack/show"
)

// Swapping is how long the light takes from one solving of a place to another.
const Swapping = time.Second

// Alike tells whether a place is another but for its looks: the same units, zones, steps and
// waits, so that a run can go on with it.
func Alike(p, o *show.Place) bool {
	if len(o.Zones) != len(p.Zones) || len(o.Rig.Drives) != len(p.Rig.Drives) || !slices.Equal(o.Rig.UnitNames(), p.Rig.UnitNames()) || !slices.Equal(o.Rig.Universes(), p.Rig.Universes()) {
		return false
	}
	for i := range p.Zones {
		a, b := p.Zones[i].Evening, o.Zones[i].Evening
		if o.Zones[i].Name != p.Zones[i].Name || !slices.Equal(b.Names(), a.Names()) {
			return false
		}
		for k := range b.Steps {
			if len(b.Steps[k].Show.Waits) != len(a.Steps[k].Show.Waits) {
				return false
			}
		}
	}
	return true
}

// Swap goes on with another solving of the same place, one that is [Alike]. Clocks and
// whatever waits are not touched.
func (p *Place) Swap(now time.Time, with *show.Place) {
	p.place = with
	for i, z := range p.Zones {
		z.swap(now, &with.Zones[i])
	}
	p.swapped, p.was = now, slices.Clone(p.seen)
}

func (z *Zone) swap(now time.Time, with *show.PlacedZone) {
	entered := z.entered
	byOrder := entered == z.Step().Show
	z.PlacedZone = with
	z.entered = z.Step().Show
	if !byOrder {
		z.entered = z.Evening.Enter(z.index, entered.Enters())
	}
	z.show, z.frozen = z.entered, tint{}
	z.stretch(z.clock.Read(now).Position)
	e := z.event(now, evening.Changed, 0)
	e.From, e.Version = e.At, string(z.show.Version())
	z.log.Append(e)
}

// Up is how far lights are up at a unit, 0 to 1.
func (p *Place) Up(unit int, now time.Time) float32 {
	up := float32(0)
	for _, z := range p.Zones {
		if state := z.log.State(); state.LightsUp && z.Lights(unit) {
			up = max(up, float32(min(state.On(now).Up.Seconds()/show.LightsUpTime.Seconds(), 1)))
		}
	}
	return up
}

// Note writes to the log of the first zone what happened to the whole place.
func (p *Place) Note(now time.Time, kind evening.Kind, text string) {
	p.Zones[0].happened(now, kind, text)
}
