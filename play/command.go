package play

import (
	"time"

	"lampblack/play/course"
)

// Command is what a person wants of a run. The zero At is meant only by Seek; Zone
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
	Quit     = Action("quit")
)
