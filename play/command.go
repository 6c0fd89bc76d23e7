package play

import (
	"time"

	"lampblack/play/course"
	"lampblack/si"
)

// Command is what a person wants of a run. The zero At is meant by Seek, and by what fades
// as the time over which it does; Zone names a zone of a place, "" all that it can mean.
type Command struct {
	Do      Action
	At      time.Duration
	Zone    string
	Level   si.Decibels // of Level: below its own
	Name    string      // of Extra
	Channel int         // of Test
}

// Action names a command.
type Action = course.Action

// What a person may want of a run.
const (
	Hold       = course.Hold
	Go         = course.Go
	Skip       = course.Skip
	Back       = course.Back
	LightsUp   = course.LightsUp
	LightsDown = course.LightsDown
	Seek       = course.Seek
	Tap        = course.Tap
	Rest       = course.Rest
	SkipNow    = course.SkipNow
	Freeze     = course.Freeze
	Unfreeze   = course.Unfreeze
	StopAll    = course.StopAll

	Level = Action("sound level")      // the sound of a piece goes to another level, over a time
	Extra = Action("extra sound")      // one begins
	Hush  = Action("extra sounds off") // all of them fade
	Test  = Action("test signal")      // on one channel, of a show that is held

	// ResetAlarm ends an alarm that stands. It is asked for twice, and refused while an input
	// still says alarm.
	ResetAlarm = Action("alarm reset")

	Quit = Action("quit")
)
