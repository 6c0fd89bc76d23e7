// Package keeper parts what owns the wire from what computes light: two processes, so that
// no fault of the one takes the light from the audience.
//
//	 the keeper                                the run, its child
//	┌──────────────────────────┐              ┌─────────────────────────────┐
//	│ outputs, their sequence  │ ◀── frames ──│ show, clocks, sound, hands, │
//	│ numbers, the last words  │ ◀── stands ──│ pages, keys                 │
//	│ a thread that sends when │ ── stats ──▶ │ Wire stands for the outputs │
//	│ a frame is due           │ ── stop ───▶ │                             │
//	│ the alarm's inputs       │ ── alarm ──▶ │ Alarm stands for those      │
//	└──────────────────────────┘              └─────────────────────────────┘
//
// The run computes each frame a little before it is due; the keeper, which has next to
// nothing else to do and the best priority that the system grants, sends it when it is.
// With the frames come stands: what is to be seen when no more frames come, worked out
// beforehand, as whoever computes light is then gone.
//
//	frames come ──▶ they are sent
//	none for 150 ms, or the run is dead ──▶ the last light, without flashing
//	none for 3 s ──▶ without ultraviolet too
//	none for 1 s ──▶ lights up; or the streams end, where another machine stands by, which has them
//	frames come again ──▶ they are sent
//
// A run that dies is started again at once, with word of its journal: it goes on where it
// would be by now. What it has the keeper remember ([Wire.Remember]) it is told. One that dies again and again is given up: lights up, and every output
// is told that the stream is over.
//
// The keeper listens for an alarm itself: it brings the lights up also while no run computes.
//
// [Keep] is the keeper; [Dial] is the run's end of it, a [Wire].
package keeper
