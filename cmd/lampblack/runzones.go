package main

import (
	"context"
	"time"

	"lampblack/play"
	"lampblack/play/clock"
	"lampblack/play/course"
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

// openInZone opens the soundtrack of a piece, or the computer's clock.
func (f *clockFlags) openInZone(ctx context.Context, tell func(what, text string), dir string, z *show.PlacedZone, step *show.Step) (clock.Clock, time.Duration) {
	ref := step.Sound()
	if f.silent || ref.Name == "" {
		return clock.Own(course.Loops(step.Show)), 0
	}
	device := f.speakers.open(tell)
	if device == nil {
		return clock.Own(course.Loops(step.Show)), 0
	}
	sound, err := f.openOn(ctx, device, dir, z, step)
	if err != nil {
		tell("warning", "the soundtrack of "+step.Name()+" is not played in "+z.Name+": "+err.Error())
		return clock.Own(course.Loops(step.Show)), 0
	}
	return sound, -step.Show.Bill.Timing.Offset()
}

// openOn opens a soundtrack on the zone's channels.
func (f *clockFlags) openOn(ctx context.Context, device *play.Speakers, dir string, z *show.PlacedZone, step *show.Step) (*play.Sound, error) {
	path, err := soundPath(ctx, dir, step.Show, step.Sound())
	if err != nil {
		return nil, err
	}
	return device.Open(ctx, path, device.Fit(z.Channels()), play.SoundOptions{Loops: course.Loops(step.Show), Shape: shapeOf(step.Loudness())})
}
