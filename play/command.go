package play

import (
	"time"

	"lampblack/play/course"
)

// Command is what a person wants of a run. At is meant by Seek, and by StopAll as the time over
// which sound fades; Zone
// names a zone of a place, "" all that it can mean.
type Command struct {
	Do   Action
	At   time.Duration
	Zone string
}

// Action names a command.
type Action = course.Action

// What a person may want of a run.
const (
	Hold     = course.Hold
	Go       = course.Go
	Skip     = course.Skip
	Back     = course.Back
	LightsUp = course.LightsUp
	Seek     = course.Seek
	Tap      = course.Tap
	Rest     = course.Rest
	SkipNow  = course.SkipNow
	Freeze   = course.Freeze
	Unfreeze = course.Unfreeze
	StopAll  = course.StopAll
	Quit     = Action("quit")
)
