// Package chase ties a show's time to other machines and to people: [Follow]
// gives the clock of a show that follows timecode, [NewBeat] and [FollowBeat] of
// one that is played live; [OpenSender] sends timecode as the show runs, and
// [OpenPort] messages.
//
//	MIDI port, sound ─▶ input ─▶ bytes ─▶ marks ─▶ Follower ─▶ Source: a clock
//	MIDI port         ─▶ input ─▶ beats ─▶ tempo.Follower ───▶ Beat: a clock
//	taps ───────────────────────▶ beats ─▶ tempo.Follower ───▶ Beat: a clock
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
//	 three marks       2 s without, or what [Loss] says
//
// Locked and freewheeling, the position is a straight line through the marks,
//
//	p(t) = p₀ + v (t − t₀)
//
// kept up by an alpha-beta filter (a critically damped second-order loop with
// a time constant of 150 ms), so that the jitter of a cable or an audio buffer
// does not reach the light. A mark that is more than 40 ms off is not
// followed; three such that agree with each other are a jump. Lost, the show
// stands where it is until the timecode is back or a person says go, or goes on by the
// computer's clock ([Loss]). A full message of MIDI time code puts it elsewhere,
// standing.
//
// What a pipe held before it was opened is read past, and all that is in one is taken at once, so
// that its buffer is no delay; pipes that we write into are made short.
//
// A device that goes away is looked for until it is back, and the clock says so.
package chase
