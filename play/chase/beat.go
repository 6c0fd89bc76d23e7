package chase

import (
	"fmt"
	"io"
	"sync"
	"time"

	"lampblack/play/clock"
	"lampblack/play/tempo"
	"lampblack/si"
	"lampblack/wire/midi"
)

// Beat is the clock of a piece that is played live: a person taps the beat, or
// MIDI clock gives it, and the place in the piece follows.
type Beat struct {
	beats []time.Duration // of the piece, on the show's line
	in    *input          // of MIDI clock; nil for taps

	mu       sync.Mutex // guards what follows
	follower *tempo.Follower
	held     bool
	at       time.Duration // where it is held

	forward clock.Forward // owned by who calls Read
}

// NewBeat returns a clock that waits for the first Tap. The beats are those that
// listening found in the soundtrack of a rehearsal.
func NewBeat(beats []time.Duration) *Beat {
	return &Beat{beats: beats, follower: tempo.New(beats)}
}

// FollowBeat returns a clock that takes MIDI clock from a port: start (FA)
// begins at the first beat, each 24 clocks (F8) are a beat (MIDI 1.0, System
// Real Time Messages).
func FollowBeat(device string, beats []time.Duration) (*Beat, error) {
	return followBeat(device, func() (io.ReadCloser, error) { return openInput(device) }, beats)
}

func followBeat(name string, open func() (io.ReadCloser, error), beats []time.Duration) (*Beat, error) {
	b := NewBeat(beats)
	var err error
	b.in, err = newInput(name, open, b.listen)
	if err != nil {
		return nil, err
	}
	return b, nil
}

// listen takes real-time messages until the port ends.
func (b *Beat) listen(port io.Reader) error {
	var s midi.Stream
	buf := make([]byte, 64)
	for {
		n, err := port.Read(buf)
		now := time.Now()
		s.Feed(buf[:n], func(m []byte) { b.realTime(m[0], now) })
		if err != nil {
			return err
		}
	}
}

func (b *Beat) realTime(status byte, now time.Time) {
	const pulse, start = 0xF8, 0xFA
	b.mu.Lock()
	defer b.mu.Unlock()
	switch status {
	case pulse:
		b.follower.Pulse(now)
	case start:
		b.follower.Begin(0)
	}
}

// Tap takes a beat at an instant. It may be called from any goroutine.
func (b *Beat) Tap(now time.Time) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.follower.Tap(now)
}

const (
	// late is by how much of a beat the next may be late before it is missed.
	late = .1
	// stopped is how late it is when the player has stopped, and does not just
	// take his time.
	stopped = time.Second
)

// Read returns where the player is at an instant. Without a beat the light goes
// on for a quarter of one and waits; a second after the beat that did not come
// the clock is lost.
func (b *Beat) Read(now time.Time) clock.Reading {
	r := b.reading(now)
	if b.in != nil {
		r = b.in.tell(r, b.Name())
	}
	return r
}

func (b *Beat) reading(now time.Time) clock.Reading {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.held {
		return clock.Reading{Position: b.at}
	}
	f := b.follower
	r := clock.Reading{Position: f.Position(now), Speed: f.Speed(now), State: clock.Runs}
	silent := si.Say(f.Silent(now).Seconds(), "s")
	switch {
	case !f.Started():
		r.State, r.Fault = clock.Held, clock.Fault{Text: "waits for the first " + b.what(), Hint: b.how()}
	case r.Speed == 0 && f.Late(now) > stopped:
		r.State, r.Fault = clock.Lost, clock.Fault{Text: fmt.Sprintf("no %s for %s; the light waits", b.what(), silent), Hint: b.how() + ", on the beat that comes next"}
	case f.Overdue(now) > late:
		r.State, r.Fault = clock.Freewheels, clock.Fault{Text: fmt.Sprintf("no %s for %s; the light waits for the beat", b.what(), silent), Hint: b.how()}
	}
	// A late beat takes the place back by half a beat at most: the light waits
	// there, or cues would start twice.
	place, _ := f.Beat(now)
	r.Position = b.forward.Keep(r.Position, r.Position-tempo.At(b.beats, place-.5))
	return r
}

// what is listened for, and how it comes.
func (b *Beat) what() string {
	if b.in != nil {
		return b.Name()
	}
	return "tap"
}

func (b *Beat) how() string {
	if b.in != nil {
		return "start the player, and see that it sends MIDI clock"
	}
	return "tap t with the player"
}

// nearest is the beat nearest to a position.
func (b *Beat) nearest(p time.Duration) int {
	best := 0
	for k, at := range b.beats {
		if (at - p).Abs() < (b.beats[best] - p).Abs() {
			best = k
		}
	}
	return best
}

// Run goes on from the beat nearest to a position: the next tap is that beat.
func (b *Beat) Run(_ time.Time, from time.Duration) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.follower.Begin(b.nearest(from))
	b.held = false
	b.forward.Jump()
}

// Hold stops the place where it is; beats are then not followed.
func (b *Beat) Hold(now time.Time) {
	at := b.Read(now).Position
	b.mu.Lock()
	defer b.mu.Unlock()
	b.at, b.held = at, true
}

// Name says what is followed.
func (b *Beat) Name() string {
	if b.in != nil {
		return "MIDI clock from " + b.in.name
	}
	return "the tapped beat"
}

// Close lets the port go.
func (b *Beat) Close() error {
	if b.in != nil {
		return b.in.Close()
	}
	return nil
}
