package play

import (
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/clock"
	"lampblack/play/clock/clocktest"
	"lampblack/play/line"
)

var (
	pair  = line.Channels{First: 1, Last: 2}
	third = line.Channels{First: 3, Last: 3}
)

func speakersOn(t *testing.T, d *speaker) *Speakers {
	t.Helper()
	s, err := newSpeakers(d)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// zone plays a track on channels of speakers.
func zone(t *testing.T, s *Speakers, to line.Channels, track *pcm, loops ...clock.Loop) *Sound {
	t.Helper()
	if err := s.take(to); err != nil {
		t.Fatal(err)
	}
	return s.play(wound(track, loops...), to)
}

// The track of a zone is a clock, whatever becomes of the device or of another zone on it.
func TestZoneIsAClock(t *testing.T) {
	for name, of := range map[string]struct{ lose, find func(*speaker) }{
		"goes away":    {(*speaker).pull, (*speaker).plug},
		"stands still": {(*speaker).pause, (*speaker).on},
	} {
		t.Run("the device "+name, func(t *testing.T) {
			clocktest.CheckLooping(t, func(t *testing.T) clocktest.Machine {
				d := &speaker{rate: 1000, channels: 4, ahead: 70}
				s := speakersOn(t, d)
				other := zone(t, s, third, longTrack(), clock.Loop{From: time.Second, To: 2 * time.Second})
				other.Run(time.Now(), 0)
				c := zone(t, s, pair, longTrack(), clocktest.Loops()...)
				return clocktest.Machine{Clock: &closesToo{c, other, s}, GoesOn: true, Lose: func() { of.lose(d) }, Find: func() { of.find(d) }}
			})
		})
	}
}

// closesToo is a zone that has the place to itself.
type closesToo struct {
	*Sound
	other *Sound
	on    *Speakers
}

func (c *closesToo) Close() error {
	_ = c.other.Close()
	err := c.Sound.Close()
	return firstError(err, c.on.Close())
}

func firstError(a, b error) error {
	if a != nil {
		return a
	}
	return b
}

// Zones run, hold, repeat and begin each by itself, and each is heard on its own channels
// where its clock says.
func TestZonesPlayAtOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := &speaker{rate: 1000, channels: 3, ahead: 70}
		s := speakersOn(t, d)
		a := zone(t, s, pair, counting(1000, 30_000))
		b := zone(t, s, third, counting(1000, 30_000), clock.Loop{From: 2 * time.Second, To: 4 * time.Second})
		// What is heard of a zone now, in ms of its track.
		heard := func(c int) int {
			frames, _, _ := d.heard()
			return int(d.took()[(int(frames)-1)*3+c-1])
		}
		near := func(what string, got, want int) {
			t.Helper()
			if off := got - want; off < -60 || off > 60 {
				t.Errorf("%s: it is at %d ms, want %d", what, got, want)
			}
		}
		position := func(c *Sound) int { return int(c.Read(time.Now()).Position.Milliseconds()) }

		a.Run(time.Now(), 0)
		time.Sleep(3 * time.Second)
		b.Run(time.Now(), 0)
		time.Sleep(7 * time.Second)
		near("the first zone", heard(1), position(a))
		near("its other channel", heard(2), position(a))
		near("the first zone", position(a), 10_000-130)
		near("the second, in its third pass", heard(3), position(b)-4000)
		near("the second", position(b), 7000-70)

		a.Hold(time.Now())
		time.Sleep(time.Second)
		if heard(1) != 0 || heard(2) != 0 {
			t.Error("the first zone is held, and heard")
		}
		near("the second goes on", heard(3), position(b)-4000)
		if n := b.Release(time.Now()); n != 4 {
			t.Errorf("the second is left after %d passes, want 4", n)
		}
		a.Run(time.Now(), 10*time.Second)
		time.Sleep(5 * time.Second)
		near("the first goes on", heard(1), position(a))
		near("the second has left its loop", heard(3), position(b)-6000)

		d.pull()
		time.Sleep(2 * asking)
		for _, c := range []*Sound{a, b} {
			if r := c.Read(time.Now()); r.State != clock.Lost || !strings.Contains(r.Fault.Text, "unplugged") {
				t.Errorf("without a device it is %+v", r)
			}
		}
		time.Sleep(3 * time.Second)
		d.plug()
		time.Sleep(5 * time.Second)
		near("the first is heard again", heard(1), position(a))
		near("the second is heard again", heard(3), position(b)-6000)
		for _, c := range []*Sound{a, b} {
			if r := c.Read(time.Now()); r.State != clock.Runs {
				t.Errorf("with a device again it is %+v", r)
			}
			if err := c.Close(); err != nil {
				t.Error(err)
			}
		}
		if err := s.Close(); err != nil || !d.closed {
			t.Errorf("closed: %v, %v", d.closed, err)
		}
	})
}

// Channels that the device lacks, or that are taken, are refused with what there is; those
// of a track that was closed are free again, and those that are gone when the device is
// found keep theirs waiting alone.
func TestChannelsOfSpeakers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := &speaker{rate: 1000, channels: 2, ahead: 70}
		s := speakersOn(t, d)
		a := zone(t, s, line.Channels{First: 1, Last: 1}, longTrack())
		b := zone(t, s, line.Channels{First: 2, Last: 2}, longTrack())
		for to, says := range map[line.Channels]string{
			{First: 3, Last: 4}: "channels 3-4 of the sound device: it has 2 channels",
			{First: 3, Last: 3}: "channel 3 of the sound device: it has 2 channels",
			pair:                "channels 1-2 of the sound device: something else plays on channel 1",
			{First: 2, Last: 2}: "channel 2 of the sound device: something else plays on channel 2",
			{}:                  "want a pair, or one alone",
			{First: 1, Last: 3}: "want a pair, or one alone",
		} {
			if _, err := s.Open(t.Context(), "nothing.wav", to, SoundOptions{}); err == nil || !strings.Contains(err.Error(), says) {
				t.Errorf("%+v: %v, want %q in it", to, err, says)
			}
		}
		if s.Channels() != 2 || a.Name() != "the sound on channel 1 of a speaker" {
			t.Errorf("%d channels; %s", s.Channels(), a.Name())
		}
		a.Run(time.Now(), 0)
		b.Run(time.Now(), 0)
		time.Sleep(time.Second)
		d.pull()
		time.Sleep(time.Second)
		d.channels = 1
		d.plug()
		time.Sleep(6 * time.Second)
		if r := a.Read(time.Now()); r.State != clock.Runs {
			t.Errorf("channel 1 is there again: %+v", r)
		}
		if r := b.Read(time.Now()); r.State != clock.Lost || r.Speed != 1 {
			t.Errorf("channel 2 is not: %+v", r)
		}
		if err := firstError(b.Close(), a.Close()); err != nil {
			t.Error(err)
		}
		if _, err := s.Open(t.Context(), "nothing.wav", line.Channels{First: 1, Last: 1}, SoundOptions{}); err == nil || !strings.Contains(err.Error(), "nothing.wav") {
			t.Errorf("channel 1 is free, and there is no such file: %v", err)
		}
		if err := s.take(line.Channels{First: 1, Last: 1}); err != nil {
			t.Errorf("what could not be opened keeps its channel: %v", err)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
}

// A zone that did not notice how the device went and came is told: what it played was on
// the device of before.
func TestZoneThatMissedALoss(t *testing.T) {
	d := &speaker{rate: 1000, ahead: 70}
	s := speakersOn(t, d)
	a, b := &share{on: s, to: line.Channels{First: 1, Last: 1}}, &share{on: s, to: line.Channels{First: 2, Last: 2}}
	for _, zone := range []*share{a, b} {
		if err := zone.start(wound(longTrack())); err != nil {
			t.Fatal(err)
		}
	}
	d.pull()
	if _, _, err := a.heard(); err == nil {
		t.Fatal("the device is gone, and nothing is said")
	}
	if err := b.start(wound(longTrack())); err == nil {
		t.Error("without a device something begins to play")
	}
	d.plug()
	b.voice, b.mix = s.mix.Load().add(wound(longTrack()), b.to), s.mix.Load() // as if it had played on
	if err := a.reopen(); err != nil {
		t.Fatal(err)
	}
	if _, _, err := b.heard(); err == nil {
		t.Error("it plays on a device that is no more")
	}
	if err := b.reopen(); err != nil || b.start(wound(longTrack())) != nil {
		t.Errorf("told to begin again: %v", err)
	}
	if _, _, err := b.heard(); err != nil {
		t.Error(err)
	}
}

// wanting is a device that was asked for by name.
type wanting struct {
	*speaker
	mu           sync.Mutex // guards what follows
	there, taken bool
}

// be says whether the device is there, and whether it plays.
func (w *wanting) be(there, taken bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.there, w.taken = there, taken
}

func (w *wanting) absent() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.taken {
		return ""
	}
	return "balcony"
}
func (w *wanting) found() bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.there
}
func (w *wanting) reopen() error {
	w.mu.Lock()
	w.taken = w.there
	w.mu.Unlock()
	return w.speaker.reopen()
}

// A device that was asked for and comes later is taken where nothing is torn by it: when a
// soundtrack goes on after a hold, but not while another plays.
func TestTheDeviceThatWasAskedForComes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := &wanting{speaker: &speaker{rate: 1000, channels: 4, ahead: 70}}
		s, err := newSpeakers(d)
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		a, b := zone(t, s, pair, longTrack()), zone(t, s, third, longTrack())
		defer a.Close()
		defer b.Close()
		a.Run(time.Now(), 0)
		b.Run(time.Now(), 0)
		time.Sleep(2 * time.Second)
		d.be(true, d.taken)
		goOn := func(c *Sound, want string) {
			t.Helper()
			c.Hold(time.Now())
			time.Sleep(time.Second)
			c.Run(time.Now(), c.Read(time.Now()).Position)
			time.Sleep(time.Second)
			if got := s.Absent(); got != want || c.Read(time.Now()).State != clock.Runs {
				t.Errorf("absent is %q, want %q; it is %+v", got, want, c.Read(time.Now()))
			}
		}
		goOn(a, "balcony") // the other plays
		b.Hold(time.Now())
		time.Sleep(time.Second)
		goOn(a, "")
	})
}
