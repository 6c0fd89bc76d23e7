package course

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
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
	named := func(a, b show.PlacedZone) bool { return a.Name == b.Name }
	return slices.EqualFunc(p.Zones, o.Zones, named) && Shape(p) == Shape(o)
}

// Shape is what two places that are [Alike] have in common but for the name of a zone that is
// alone, as a sum.
func Shape(p *show.Place) string {
	h := sha256.New()
	fmt.Fprintf(h, "%d %q %d", len(p.Rig.Drives), p.Rig.UnitNames(), p.Rig.Universes())
	for i := range p.Zones {
		name := p.Zones[i].Name
		if len(p.Zones) == 1 { // that of the folder, which may have another on another machine
			name = ""
		}
		e := p.Zones[i].Evening
		fmt.Fprintf(h, " zone %q %q", name, e.Names())
		for k := range e.Steps {
			fmt.Fprintf(h, " %d", len(e.Steps[k].Show.Waits))
		}
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}

// Swap goes on with another solving of the same place, one that is [Alike]; text says for the log
// what is another. Clocks and whatever waits are not touched.
func (p *Place) Swap(now time.Time, with *show.Place, text string) {
	p.place = with
	for i, z := range p.Zones {
		z.swap(now, &with.Zones[i], text)
	}
	p.swapped, p.was = now, slices.Clone(p.seen)
}

func (z *Zone) swap(now time.Time, with *show.PlacedZone, text string) {
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
	e.From, e.Text, e.Version = e.At, text, string(z.show.Version())
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
