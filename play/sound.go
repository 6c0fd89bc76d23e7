package play

import (
	"context"
	"fmt"
	"sync"
	"time"

	"lampblack/play/clock"
	"lampblack/si"
)

// Sound plays a soundtrack and is the clock of what is heard: its position is
// the sample that leaves the device now, not the one that was handed over.
//
// The device is asked some twenty times a second; between the answers the
// computer's clock runs on, and each answer pulls it a tenth of the way, so
// that the frames neither jitter with the answers nor drift from the sound.
//
// When the device stands still or goes away, the show goes on by the computer's
// clock from the same place, for people are on the stage; the device is looked for, and the
// sound comes in again where the light is by then, faded in. The light is not moved for it.
type Sound struct {
	player *soundPlayer
	name   string
	once   sync.Once
	err    error // of Close

	forward clock.Forward // owned by who calls Read
}

// SoundOptions say how a soundtrack is played. The zero value plays it from one end to
// the other.
type SoundOptions struct {
	Loops []clock.Loop // marked spans that repeat until Release
	Shelf *Shelf       // may have the track decoded; nil decodes it now
	Shape Shape        // how loud it is
}

// reel decodes a track at a rate, marks its loops, and gives it its loudness.
func (o *SoundOptions) reel(ctx context.Context, path string, rate int) (*reel, error) {
	track, err := o.Shelf.take(ctx, path, rate)
	if err != nil {
		return nil, err
	}
	r, err := newReel(track, o.Loops)
	if err != nil {
		return nil, fmt.Errorf("play %s: %w", path, err)
	}
	r.shape = o.Shape.of(track, r.joins)
	return r, nil
}

func newSound(r *reel, d device) *Sound {
	return &Sound{player: startPlayer(r, d), name: "the sound on " + d.name()}
}

const (
	// quietAfter is how long the device may not get on before the clock says
	// that it goes on by itself, and goneAfter before it counts as lost.
	quietAfter = 500 * time.Millisecond
	goneAfter  = time.Second
)

// Read returns what is heard at an instant.
func (s *Sound) Read(now time.Time) clock.Reading {
	l := s.player.where(now)
	r := clock.Reading{Position: l.position(now)}
	quiet := now.Sub(l.since)
	switch {
	case l.away != nil:
		r.State = clock.Lost
		r.Fault.Text = fmt.Sprintf("the sound device is gone (%v)", l.away)
		r.Fault.Hint = "see to the device and its cable: it is looked for, and the sound comes in where the show is by then"
	case l.held:
		return r
	case l.begins(now):
		if quiet > quietAfter {
			r.Fault = clock.Fault{Text: "waits for the sound device to begin", Hint: "see whether the system has paused it; after " + si.Say(beginWait.Seconds(), "s") + " the show begins without"}
		}
		return r
	case quiet > quietAfter:
		r.State = clock.Freewheels
		if quiet > goneAfter {
			r.State = clock.Lost
		}
		r.Fault.Text = fmt.Sprintf("nothing comes out of the sound device for %s", si.Say(quiet.Seconds(), "s"))
		r.Fault.Hint = "see to the device, its cable, and whether the system has paused it"
	default:
		r.State = clock.Runs
	}
	if !l.held {
		r.Speed = 1
		r.Position = s.forward.Keep(r.Position, pulled)
	}
	if r.State != clock.Runs {
		r.Fault.Text += "; nobody hears the soundtrack, and the show goes by the computer's clock"
	}
	return r
}

// Run plays from a position on, the passes of the loops as they stand.
func (s *Sound) Run(now time.Time, from time.Duration) { s.run(now, from, nil) }

// RunAfter plays from a position of the unrolled line on, where each loop has or will have
// so many passes.
func (s *Sound) RunAfter(now time.Time, from time.Duration, passes []int) {
	s.run(now, from, append([]int{}, passes...))
}

// run plays from a position on; without passes those of the loops stay.
func (s *Sound) run(now time.Time, from time.Duration, passes []int) {
	s.forward.Jump()
	s.player.want(soundLine{pos: from, at: now, since: now}, passes)
}

// Release has the loop that is heard left at the end of a pass: of this one, or of the
// next where the device holds the end of this already.
func (s *Sound) Release(now time.Time) (passes int) { return s.player.release(now) }

// Hold stops the sound where it is.
func (s *Sound) Hold(now time.Time) {
	at := s.Read(now).Position
	s.player.want(soundLine{pos: at, at: now, held: true}, nil)
}

// HoldOver stops the sound where it is, and lets it fade out over a time.
func (s *Sound) HoldOver(now time.Time, over time.Duration) {
	at := s.Read(now).Position
	s.player.want(soundLine{pos: at, at: now, held: true, over: over}, nil)
}

// Lower takes its loudness to a share of its own amplitude over a time; it goes on.
func (s *Sound) Lower(amplitude float64, over time.Duration) {
	s.player.lower(min(max(amplitude, Silence), 1), over)
}

// Name says what plays where.
func (s *Sound) Name() string { return s.name }

// Close stops the sound and lets the device go.
func (s *Sound) Close() error {
	s.once.Do(func() { s.err = s.player.close() })
	return s.err
}
