package play

import (
	"io"
	"sync"
	"time"

	"lampblack/play/tempo"
	"lampblack/wire/midi"
)

// BeatClock is the clock of a piece that is played live: a person taps the
// beat, or MIDI clock gives it, and the place in the piece follows.
type BeatClock struct {
	beats []time.Duration // of the piece, on the show's line

	mu       sync.Mutex
	follower *tempo.Follower
	held     bool
	at       time.Duration // where it is held
	source   io.Closer     // of MIDI clock; nil for taps
}

// NewBeatClock returns a clock that waits for the first beat. The beats are
// those that listening found in the soundtrack of a rehearsal.
func NewBeatClock(beats []time.Duration) *BeatClock {
	return &BeatClock{beats: beats, follower: tempo.New(beats)}
}

// Tap takes a beat now.
func (c *BeatClock) Tap() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.follower.Tap(time.Now())
}

// FollowMIDI takes MIDI clock from a port until it is closed: start (FA)
// begins at the first beat, each 24 clocks (F8) are a beat (MIDI 1.0, System
// Real Time Messages).
func (c *BeatClock) FollowMIDI(port io.ReadCloser) {
	c.source = port
	go func() {
		var s midi.Stream
		b := make([]byte, 64)
		for {
			n, err := port.Read(b)
			now := time.Now()
			s.Feed(b[:n], func(m []byte) { c.realTime(m[0], now) })
			if err != nil {
				return
			}
		}
	}()
}

func (c *BeatClock) realTime(status byte, now time.Time) {
	const clock, start = 0xF8, 0xFA
	c.mu.Lock()
	defer c.mu.Unlock()
	switch status {
	case clock:
		c.follower.Pulse(now)
	case start:
		c.follower.Begin(0)
	}
}

// Position is where the player is now.
func (c *BeatClock) Position() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.held {
		return c.at
	}
	return c.follower.Position(time.Now())
}

// Run goes on from the beat nearest to a position: the next tap is that beat.
func (c *BeatClock) Run(from time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	best := 0
	for k, b := range c.beats {
		if (b - from).Abs() < (c.beats[best] - from).Abs() {
			best = k
		}
	}
	c.follower.Begin(best)
	c.held = false
}

// Hold stops the place where it is; taps are then not followed.
func (c *BeatClock) Hold() {
	at := c.Position()
	c.mu.Lock()
	c.at, c.held = at, true
	c.mu.Unlock()
}

// Name says what is followed.
func (c *BeatClock) Name() string {
	if c.source != nil {
		return "MIDI clock"
	}
	return "the beat that is tapped"
}

// Close lets the port go.
func (c *BeatClock) Close() error {
	if c.source != nil {
		return c.source.Close()
	}
	return nil
}
