package show

import (
	"time"

	"lampblack/source"
)

// Timecode says what a show that follows another machine's timecode does when that is gone. The
// zero value freewheels for two seconds, holds then, and follows again by itself.
type Timecode struct {
	source.Pos
	Freewheels time.Duration `key:"freewheels for"` // how long it goes on before that counts as lost
	Lost       WhenLost      `key:"when lost"`
	Look       source.Ref    `key:"look"` // that it falls to while it holds; the light stands where absent
	Back       WhenBack      `key:"when back"`
}

// WhenLost says what a show does without its timecode.
type WhenLost string

// What it may do.
const (
	LostHolds  WhenLost = "holds"   // until the timecode is back, or go
	LostGoesOn WhenLost = "goes on" // by the computer's clock
)

// Choices lists them.
func (WhenLost) Choices() []string { return []string{string(LostHolds), string(LostGoesOn)} }

// WhenBack says what it does when the timecode is back.
type WhenBack string

// What it may do.
const (
	BackFollows WhenBack = "follows" // at once, wherever that is
	BackAsks    WhenBack = "asks"    // it is followed on go; only where the show has gone on without
)

// Choices lists them.
func (WhenBack) Choices() []string { return []string{string(BackFollows), string(BackAsks)} }

// Bounds of freewheeling: some frames of the slowest timecode, and a break in which a cable is
// laid anew.
const (
	shortestFreewheel = 200 * time.Millisecond
	longestFreewheel  = 10 * time.Minute
)

// checkTimecode finds what is wrong with it; the score may not have been read.
func (f *Files) checkTimecode(faults *source.Faults) {
	t := &f.Bill.Timecode
	if t.Freewheels != 0 && (t.Freewheels < shortestFreewheel || t.Freewheels > longestFreewheel) {
		faults.Add(t.Pos, "freewheels for: 2 s", "timecode freewheels for %v, which lies outside %v to %v", t.Freewheels, shortestFreewheel, longestFreewheel)
		t.Freewheels = 0
	}
	switch {
	case t.Look.Name == "":
	case t.Lost == LostGoesOn:
		faults.Add(t.Look.Pos, "when lost: holds", "the show goes on when its timecode is lost, so it falls to no look")
		t.Look.Name = ""
	case f.Score != nil && f.Score.Looks.Index(t.Look.Name) < 0:
		faults.Add(t.Look.Pos, source.OneOf(t.Look.Name, source.Names(f.Score.Looks)), "there is no look %q to fall to when timecode is lost", t.Look.Name)
		t.Look.Name = ""
	}
}
