package output

import "time"

// Frame is one universe at one instant.
type Frame struct {
	Universe uint16 // 1 to 63999, as the show numbers it
	Slots    []byte // the slot at address 1 first, at most 512
}

// Sink is one way out of the door. A Sink may be used from one goroutine at a
// time, except Stats, which may be called at any time from any.
type Sink interface {
	// Send gives the sink all universes of one instant; due is when they
	// should leave. It does not keep frames or their slots. It returns soon:
	// within the time of the frames on a serial line, at once elsewhere.
	Send(frames []Frame, due time.Time) error
	// Close tells the receivers that no more will come, as the wire's standard
	// asks, and waits until that is done. What the lights should do afterwards
	// must have been sent before.
	Close() error
	// Name says in a few words which output this is: "e131 multicast on eth0".
	Name() string
	Stats() Stats
}

// Stats counts what became of the frames since the sink was opened.
type Stats struct {
	Sent       uint64 // calls of Send whose frames left
	Packets    uint64 // packets, repeats and keep-alives among them
	Dropped    uint64 // calls of Send that a newer one overtook or that failed
	Late       uint64 // calls of Send that left more than LateAfter past due
	Reconnects uint64 // times that a lost device or network was found again
	LastError  string // the newest error, "" if there never was one
	Asks       bool   // it asks who is there, as Art-Net does
	Answers    string // who answered, in a few words; "" for nobody
	State      State  // how it does now
}

// LateAfter is how far past due a frame leaves before it counts as late: half
// of the 22.7 ms that a full universe takes on its line (ANSI E1.11).
const LateAfter = 11 * time.Millisecond
