// Package clock says where a show is and how that is known: ask a [Clock] with
// Read, and look at the State and the Fault of the [Reading].
//
// Whatever a show goes by (the computer, the sound that is heard, another
// machine's timecode, a live player's beat) is in one of four states:
//
//	        Run                    it is silent         it stays silent
//	Held ─────────▶ Runs ────────────────▶ Freewheels ────────────────▶ Lost
//	  ▲              │ ▲                       │                          │
//	  └──── Hold ────┘ └──────── found ────────┴──────────────────────────┘
//
// Between readings the position is a straight line, and the reading has its
// slope:
//
//	p(t) = p + speed · (t − now)
//
// What was proved of a show beforehand (flashes in a second, doses, how dark it
// is for how long) holds at speed 1 alone: at 1.1 a flicker of 2.9 a second is
// one of 3.2.
//
// Where a track has loops ([Loop]), the position is on the unrolled line, which runs on as
// a loop repeats ([Unrolled] is its arithmetic), and the clock is [Looping].
//
// Package clocktest holds every clock to this.
package clock

import "time"

// Clock is what a show goes by. Its methods belong to one goroutine, that of
// the run; none of them waits, but for Close. The instants that they are given
// must not run backwards.
type Clock interface {
	// Read returns where the show is at an instant. While the state is Runs
	// the position does not go back, but for a jump of what is followed; a
	// fault is told within a second of its cause.
	Read(now time.Time) Reading
	// Run goes on from a position, as far as it is the clock's own to choose:
	// timecode stays where its machine is, a beat goes on from the nearest.
	Run(now time.Time, from time.Duration)
	// Hold keeps the position where it is until Run.
	Hold(now time.Time)
	// Name says in a few words what the clock is, for a status line.
	Name() string
	// Close ends it, and returns when all that it started has ended. A second
	// call does nothing.
	Close() error
}

// Reading is what a clock says at an instant.
type Reading struct {
	Position time.Duration // on the show's line: what is heard or meant now
	Speed    float64       // seconds of the show in a second: 0 stands, 1 is as planned
	State    State
	// Fault is what is wrong. Freewheels and Lost always have one, Runs never;
	// Held has one while it waits for what it is to follow.
	Fault Fault
	// Offers is that what was lost is back, and is followed again on go, as was wished. The
	// position goes on without it, and the state is Freewheels.
	Offers bool
}

// State says how a clock knows where the show is.
type State int

// The states of a clock.
const (
	Held       State = iota // it stands: by Hold, because its machine stands, or because nothing has begun
	Runs                    // it is heard, and right
	Freewheels              // it has been silent for a moment; Speed says whether the position goes on
	Lost                    // it is gone, held or not; Speed says the same
)

// String returns the state in a word.
func (s State) String() string {
	return [...]string{"held", "runs", "freewheels", "lost"}[s]
}

// Fault is what is wrong with a clock, for a person. The zero value is none.
type Fault struct {
	Text string // what is wrong, and what the light does meanwhile
	Hint string // what to do
}

// Wall is the computer's own clock, which is never lost. The zero value is held
// at zero.
type Wall struct {
	started time.Time
	from    time.Duration
	running bool
}

// Read returns the time since Run, on from where Run began.
func (w *Wall) Read(now time.Time) Reading {
	if !w.running {
		return Reading{Position: w.from}
	}
	return Reading{Position: w.from + now.Sub(w.started), Speed: 1, State: Runs}
}

// Run starts the clock at a position.
func (w *Wall) Run(now time.Time, from time.Duration) {
	w.started, w.from, w.running = now, from, true
}

// Hold stops the clock where it is.
func (w *Wall) Hold(now time.Time) { w.from, w.running = w.Read(now).Position, false }

// Name returns "the computer's clock".
func (w *Wall) Name() string { return "the computer's clock" }

// Close does nothing.
func (w *Wall) Close() error { return nil }

// Forward keeps the positions of a clock that corrects itself from going back.
// The zero value is ready.
type Forward struct {
	last  time.Duration
	known bool
}

// Keep returns p, or the position before while p lies behind it by no more than
// slack: a correction, which is waited out. What lies further back is a jump.
func (f *Forward) Keep(p, slack time.Duration) time.Duration {
	if behind := f.last - p; f.known && behind > 0 && behind <= slack {
		return f.last
	}
	f.last, f.known = p, true
	return p
}

// Jump says that the next position may lie anywhere.
func (f *Forward) Jump() { f.known = false }
