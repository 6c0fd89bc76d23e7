package main

import (
	"context"
	"time"

	"lampblack/play"
	"lampblack/play/clock"
	"lampblack/show"
)

// openZones lets a run open each piece of each zone on the channels that are the zone's.
func (f *clockFlags) openZones(ctx context.Context, tell func(what, text string), dir string, o *play.Options) {
	o.OpenZone = func(zone, step int) (clock.Clock, time.Duration, error) {
		z := &o.Place.Zones[zone]
		c, lead := f.openInZone(ctx, tell, dir, z, &z.Evening.Steps[step])
		return c, lead, nil
	}
}

// openInZone opens the sound of a piece on the zone's channels, or else the computer's clock.
func (f *clockFlags) openInZone(ctx context.Context, tell func(what, text string), dir string, z *show.PlacedZone, step *show.Step) (clock.Clock, time.Duration) {
	return f.openOn(ctx, tell, dir, step, z.Channels(), "the soundtrack of "+step.Name()+" is not played in "+z.Name)
}
