package main

import (
	"fmt"
	"slices"
	"time"

	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/course"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
	"lampblack/web"
)

// hears lets the page have the sound of the run; it is called before the run begins.
func (b *book) hears(s *speakers) {
	b.sounds = s
	close(b.heard)
}

// soundActions are the orders of the page that are the run's own.
var soundActions = []play.Action{play.Freeze, play.Unfreeze, play.StopAll, play.SkipNow, play.Level, play.Extra, play.Hush, play.Test}

// Sound carries out what a page asks of the sound.
func (b *book) Sound(o web.SoundOrder) error {
	select {
	case <-b.heard:
	default:
		return errNotYet
	}
	if o.Do == "trim" {
		return b.sounds.trim(o)
	}
	do := play.Action(o.Do)
	if !slices.Contains(soundActions, do) {
		return fmt.Errorf("%q is no order to the sound", o.Do)
	}
	level := si.Decibels(o.Level)
	if o.Off {
		level = -evening.Off
	}
	b.ask(play.Command{Do: do, At: o.Time(), Zone: o.Zone, Level: level, Name: o.Name, Channel: o.Channel})
	return nil
}

// trim sets what a loudspeaker is given, on the device and in hall.yaml: it is heard though it
// cannot be written, which is told.
func (s *speakers) trim(o web.SoundOrder) error {
	t := show.ChannelTrim{Hall: s.files.Bill.Place, Channel: o.Channel, Level: si.Decibels(o.Level), Delay: time.Duration(o.Delay * float64(time.Millisecond))}
	if err := t.Check(); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if device := s.device.Load(); device != nil {
		device.Trim(t.Channel, play.Trim{Level: t.Level, Delay: t.Delay})
	}
	data, err := keepTrimIn(s.ctx, s.dir, t)
	if err != nil {
		return fmt.Errorf("it is heard, and not kept: %w", err)
	}
	trims, _ := show.ReadTrims(data) // as it was written
	s.trims.Store(trims)
	return nil
}

// hearing tells the page what is heard, and what a hand has done to it.
func (b *book) hearing(s *play.Status) web.Hearing {
	h := web.Hearing{Device: s.Beside.Device, Tests: s.Beside.Tests, Stops: course.Fade.Seconds(), Notice: s.Notice, Live: s.Hears}
	all := s.Zones
	if len(all) == 0 {
		all = []course.Status{s.Status}
	}
	for i := range all {
		z := &all[i]
		h.Frozen, h.Violet = h.Frozen || z.State.Frozen, h.Violet || z.Violet
		h.Lowered = max(h.Lowered, z.State.Lowered)
		if z.Asked == play.Skip {
			h.Skips, h.SkipsTo = true, z.SkipsTo.Seconds()
		}
		if len(all) > 1 {
			h.Zones = append(h.Zones, z.Zone)
		}
	}
	files := b.sounds.now()
	if d := files.Bill.Sound.Stop; d > 0 {
		h.Stops = d.Seconds()
	}
	for i := range files.Bill.Extras {
		e := &files.Bill.Extras[i]
		h.Extras = append(h.Extras, web.ExtraOf{Name: source.Visible(e.Name), Key: e.Value.Key.Name, Plays: slices.Contains(s.Beside.Extras, e.Name)})
	}
	for _, l := range loudspeakers(&files) {
		h.Speakers = append(h.Speakers, web.SpeakerOf{Name: source.Visible(l.Name), Channel: l.Channel, Level: l.Level, Delay: l.Delay})
	}
	return h
}
