// Package retry says when to look again for a device or network that is away:
// after [Times.Lost], ask [Times.Wait] how long; after an attempt that failed,
// tell [Times.Tried].
//
//	lost ── ¼ s ── try ── ½ s ── try ── 1 s ── try ── 2 s ── try ── 4 s ── try ── 4 s …
//
// A plug that was pulled by mistake is back at once; one that stays away costs
// next to nothing. Common practice, no source.
package retry

import "time"

// The first wait, which doubles up to the last.
const (
	First = 250 * time.Millisecond
	Last  = 4 * time.Second
)

// Times are those of one device. The zero value may try at once. They belong to
// one goroutine.
type Times struct {
	from time.Time     // of the last attempt, or of the loss
	wait time.Duration // from there to the next attempt
}

// Lost says that the device went away at now: the waits begin anew.
func (t *Times) Lost(now time.Time) { t.from, t.wait = now, First }

// Tried says that an attempt at now failed: the next comes twice as late.
func (t *Times) Tried(now time.Time) { t.from, t.wait = now, min(max(2*t.wait, First), Last) }

// Wait is how long the next attempt is away; it is due when that is not above 0.
func (t *Times) Wait(now time.Time) time.Duration { return t.from.Add(t.wait).Sub(now) }
