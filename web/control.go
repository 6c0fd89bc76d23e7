package web

import "time"

// Control is what the Night page asks of a run. Calls come from any goroutine, return
// soon, and may find that nothing is left to do. The Night page's words are the
// trade's.
type Control interface {
	Hold()       // time and light stand still
	Go()         // on from a hold, or what waits is released; in a piece without sound and waits, the next cue now
	Skip()       // to the next cue, sound and all; of sound that runs it is to be asked for twice
	Back()       // to the start of the cue before
	LightsUp()   // the safe look at once; again it stays
	LightsDown() // the show's light again; time still stands
	ResetAlarm() // ends an alarm that stands, asked for twice; refused while an input still says alarm
	// Edit says what becomes of a change of the show's files: now, at cue, not tonight, back. It
	// returns why that cannot be, "" where it can.
	Edit(do string) (why string)
	Seek(time.Duration)   // to this time of the show, with the light it has there; of sound that runs it is to be asked for twice
	Press(trigger string) // the button of a trigger
}
