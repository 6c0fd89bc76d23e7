package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/play"
	"lampblack/play/chase"
	"lampblack/play/clock"
	"lampblack/play/course"
	"lampblack/play/line"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// clockFlags say what a run goes by.
type clockFlags struct {
	silent       bool
	beat, follow string
	at           string

	shelf    *play.Shelf // of an evening's soundtracks; nil for a show of one piece
	speakers *speakers
}

func (f *clockFlags) flags(c *cobra.Command) {
	c.Flags().BoolVar(&f.silent, "silent", false, "do not play the soundtrack; run on the computer's clock")
	c.Flags().StringVar(&f.at, "at", "", "begin by itself when clocks show this, as 20:00 or 20:00:30; go begins sooner, and after a hold nothing begins by itself")
	c.Flags().StringVar(&f.beat, "beat", "", "follow a live player: \"tap\", or the MIDI port whose clock is followed, as /dev/snd/midiC1D0")
	c.Flags().StringVar(&f.follow, "follow", "", "follow another machine's timecode: \"mtc PORT\", or \"ltc FILE\" with 48 kHz 16-bit mono samples (- is standard input); then maybe \"rate 25\", \"start 10:00:00:00\"; timecode in show.yaml says what is done when it is gone")
}

// openClock opens what the run goes by: a live player's beat, another machine's
// timecode, the sound that is heard, or the computer's own clock.
func (f *clockFlags) openClock(ctx context.Context, tell func(what, text string), dir string, s *show.Show, o *play.Options) (err error) {
	switch {
	case f.beat != "" && f.follow != "":
		return errors.New("--beat and --follow exclude one another")
	case f.at != "" && f.beat+f.follow != "":
		return errors.New("--at is for shows that begin by themselves: a player or another machine begins when they do")
	case f.at != "" && o.Start.Held:
		return errors.New("--held waits for go, and --at for a time: give one of them")
	case f.beat != "":
		o.Clock, err = f.openBeat(s)
	case f.follow != "":
		o.Clock, err = f.openFollowed(&s.Bill.Timecode)
		o.LostLook = s.Bill.Timecode.Look.Name
	default:
		o.Clock, o.Lead = f.openOwn(ctx, tell, dir, &s.Alone(nil).Zones[0].Evening.Steps[0])
	}
	if err == nil && f.at != "" && o.Start.Step == 0 { // a run that is taken up goes on
		return f.wait(o)
	}
	return err
}

// wait lets the clock begin at the time of day that was asked for.
func (f *clockFlags) wait(o *play.Options) error {
	t, err := si.ParseTimeOfDay(f.at)
	if err != nil {
		return hinted{err, "--at takes one as 20:00 or 20:00:30"}
	}
	o.Clock = clock.NewTimed(o.Clock, clock.At(time.Now(), t))
	return nil
}

// openOwn opens the sound of a piece on the show's channels, or else the computer's clock.
func (f *clockFlags) openOwn(ctx context.Context, tell func(what, text string), dir string, step *show.Step) (clock.Clock, time.Duration) {
	return f.openOn(ctx, tell, dir, step, step.Show.Bill.Sound.To(), "the soundtrack is not played")
}

// openOn opens the sound of a piece on some channels, whose light leads by what the way to the
// centre seat takes, or else the computer's clock. missed is what is told, with why, of a
// sound that cannot be played on the device.
func (f *clockFlags) openOn(ctx context.Context, tell func(what, text string), dir string, step *show.Step, to line.Channels, missed string) (clock.Clock, time.Duration) {
	loops, ref := course.Loops(step.Show), step.Sound()
	if f.silent || ref.Name == "" {
		return clock.Own(loops), 0
	}
	device := f.speakers.open(tell)
	if device == nil {
		return clock.Own(loops), 0
	}
	path, err := soundPath(ctx, dir, step.Show, ref)
	if err == nil {
		var sound *play.Sound
		sound, err = device.Open(ctx, path, device.Fit(to), play.SoundOptions{Loops: loops, Shelf: f.shelf, Shape: shapeOf(step.Loudness())})
		if err == nil {
			return sound, -step.Show.Bill.Timing.Offset()
		}
	}
	tell("warning", missed+": "+err.Error())
	return clock.Own(loops), 0
}

// openPieces lets a run open each piece of an evening, the soundtrack of which was decoded
// while the step before went on.
func (f *clockFlags) openPieces(ctx context.Context, tell func(what, text string), dir string, o *play.Options) {
	f.shelf = &play.Shelf{}
	o.Open = func(i int) (clock.Clock, time.Duration, error) {
		step := &o.Evening.Steps[i]
		c, lead := f.openOwn(ctx, tell, dir, step)
		if _, heard := c.(*play.Sound); heard {
			f.ahead(ctx, dir, o.Evening, i+1)
		}
		return c, lead, nil
	}
	if from := max(o.Start.Step-1, 0); !f.silent && nextSound(o.Evening, from) >= 0 {
		f.speakers.open(tell)
		f.ahead(ctx, dir, o.Evening, from)
	}
}

// ahead has the next soundtrack decoded that comes from a step on. What is wrong with it
// is told when its piece begins.
func (f *clockFlags) ahead(ctx context.Context, dir string, e *show.Evening, from int) {
	i := nextSound(e, from)
	if i < 0 || f.silent {
		return
	}
	on := f.speakers.there()
	if path, err := soundPath(ctx, dir, e.Steps[i].Show, e.Steps[i].Sound()); err == nil && on != nil {
		f.shelf.Ahead(path, on)
	}
}

// nextSound is the index of the first step from one on that plays a soundtrack, or -1.
func nextSound(e *show.Evening, from int) int {
	for i := from; i < len(e.Steps); i++ {
		if step := &e.Steps[i]; step.Sound().Name != "" {
			return i
		}
	}
	return -1
}

// close lets the decoded soundtracks go.
func (f *clockFlags) close() {
	if f.shelf != nil {
		f.shelf.Close()
	}
	f.speakers.close()
}

// soundPath is where a soundtrack lies.
func soundPath(ctx context.Context, dir string, s *show.Show, ref source.Ref) (string, error) {
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return "", err
	}
	l := &loaded{folder: f, files: show.Files{Bill: s.Bill}}
	defer l.close()
	return l.sound(ref)
}

// openFollowed opens another machine's timecode.
func (f *clockFlags) openFollowed(t *show.Timecode) (clock.Clock, error) {
	loss := chase.Loss{Freewheel: t.Freewheels, GoesOn: t.Lost == show.LostGoesOn, Asks: t.Back == show.BackAsks}
	if t.Look.Name != "" {
		loss.Light = "the light goes to the look " + t.Look.Name
	}
	c, err := chase.Follow(f.follow, loss, nil)
	if err != nil {
		return nil, err // and no clock, not even one that is nil
	}
	return c, nil
}

// openBeat makes a clock of the beats that were heard in the soundtrack.
func (f *clockFlags) openBeat(s *show.Show) (clock.Clock, error) {
	if s.Track == nil || len(s.Track.Hypotheses) == 0 {
		return nil, hinted{errors.New("the soundtrack has no steady beat to follow"), "a rehearsal recording with a clear beat gives one"}
	}
	beats := s.Track.Hypotheses[0].Times
	if f.beat == "tap" {
		return chase.NewBeat(beats), nil
	}
	c, err := chase.FollowBeat(f.beat, beats)
	if err != nil {
		return nil, fmt.Errorf("open MIDI port: %w", err)
	}
	return c, nil
}
