package show

import (
	"io/fs"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/score"
	"lampblack/soundtrack"
	"lampblack/source"
)

// Files is a show's folder as read: what its texts say, not yet solved.
type Files struct {
	Bill  Bill
	Rig   *rig.Rig
	Room  *room.Room
	Score *score.Score
}

// Read reads all texts of a show's folder and returns everything that is
// wrong with them.
func Read(dir fs.FS) (Files, source.Faults) { panic("show: not yet") }

// New solves the score for the rig in the room. The track may be nil: cues on
// moments then fall on the time that their anchor names.
func New(f Files, track *soundtrack.Track) (*Show, source.Faults) { panic("show: not yet") }

// NewFrame returns a frame that At can fill.
func (s *Show) NewFrame() *Frame { panic("show: not yet") }
