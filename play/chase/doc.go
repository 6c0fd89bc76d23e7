// Package chase ties a show's time to other machines: it follows incoming
// timecode, and sends timecode and MIDI messages as the show runs.
//
// A Follower gets marks, "at this instant the timecode was so far", from
// quarter frames of MIDI time code or from linear timecode, and says where the
// show is at any instant:
//
//	          three marks that agree
//	Waiting ──────────────────────────▶ Locked ◀────────┐ a mark where it
//	   ▲                                  │ 150 ms       │ was expected
//	   │                                  ▼ without      │
//	   └──────────── Lost ◀────────── Freewheeling ──────┘
//	 three marks       2 s without
//
// Locked and freewheeling, the position is a straight line through the marks,
//
//	p(t) = p₀ + v (t − t₀)
//
// kept up by an alpha-beta filter (a critically damped second-order loop with
// a time constant of 150 ms), so that the jitter of a cable or an audio buffer
// does not reach the light. A mark that is more than 40 ms off is not
// followed; three such that agree with each other are a jump. Lost, the show
// stands where it is. A full message of MIDI time code puts it elsewhere,
// standing.
package chase
