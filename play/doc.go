// Package play runs a show in time: call [Run] with the show, what it goes by,
// and where its frames go.
//
// At a fixed rate, against absolute due times, Run asks the clock where the show
// is, lets the show compute the frame of that instant, and hands it to every
// output:
//
//	due(i) = start + i × period        never: last + period, which drifts
//
//	clock ──position──▶ show.At ──frame──▶ mailbox ─▶ sink ─▶ wire
//	  │                                ├─▶ mailbox ─▶ sink ─▶ wire
//	  │ lost, found                    └─▶ senders: timecode, notes
//	  ▼
//	events ──▶ state (held? lights up?) ──▶ status line, night page
//	  ▲   └──▶ journal, report
//	  └ hold, go, back, skip, lights up: a person's
//
// A frame that is late is sent late and counted; none is made up for. The clock
// is the sound that is heard when there is a sound device ([Speakers]), else
// the computer's own, or another machine's (package chase). A clock that is lost
// is told with the next frame; what the light does then is the clock's own
// matter: it waits for timecode and for a beat, and goes on without sound.
// Outputs sit behind mailboxes: none of them can hold up the frames.
//
// A person may hold, go on, release what waits, skip, go back, freeze the light or stop
// all, and bring the lights up, which wins over everything. What happens becomes events (package evening),
// and the run's state is what they come to. However a run ends, the last frames
// are safe ones: ultraviolet and flashing off, people not in the dark; then each
// output says goodbye as its standard asks.
//
// A soundtrack may have marked loops, which repeat until they are released. Its line is
// then unrolled (package clock): the position runs on as the loop comes again, so light
// stays a function of it, and a run that begins elsewhere says how many passes there
// have been ([Sound.RunAfter]). [Sound.Release] answers with the pass after which the
// loop is left, for what a device has taken is heard. A join fades one pass into the
// next within 15 ms around the marks, whose time it keeps.
//
// Several soundtracks play on one device ([OpenSpeakers]), each on channels of its own and
// each a clock of its own: the zones of a place. A [Shelf] decodes the track of the next
// piece while the one before it plays.
//
// Run starts no goroutine that it does not wait for. Clocks, outputs and senders
// have theirs, and wait for them in their Close, which Run calls.
package play
