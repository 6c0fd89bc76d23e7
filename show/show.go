package show

import (
	"slices"
	"time"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/room/measure"
	"lampblack/score"
	"lampblack/soundtrack"
	"lampblack/source"
)

// Show is a score solved for a rig in a room. It does not change after New
// and may be read by many goroutines at once.
type Show struct {
	Bill      Bill
	Rig       *rig.Rig
	Room      *room.Room
	Score     *score.Score
	Track     *soundtrack.Track // nil until the soundtrack was listened to
	Transport *room.Transport
	Measured  []measure.Factor // what readings in the room say; nil without any
	// Looks are in the order of Score.Looks. Behind them are those that a cue brings in its
	// own way, as other things are on stage then, or elsewhere.
	Looks  []Look
	Cues   []Cue  // by start
	Waits  []Wait // by place
	Length time.Duration

	texts     string        // the sum of the texts that it was read from, "" for one that was not
	standsIn  string        // of what stands in its room
	builtBy   string        // of what its rig and room are read
	litBy     string        // of what its light in the room is made, "" for what was not read
	carried   source.Faults // of that
	universes []int
	encoder   *rig.Encoder
	plan      plan
	out       []bool     // by unit: out tonight; nil where all burn
	up        []float32  // levels of LightsUp
	upStill   *rig.Still // and their slots
	written   []Cue      // of a show with waits: its cues as written, without gaps
	player    Player     // nil when the plan and the encoder make the frames

	writtenLength time.Duration // and how long it would be
	implied       bool          // its cues are not written
	outputs       [][]float64   // see Output
	softer        *softenings
	stage         map[string][]Span // when objects and performers are on stage, in the piece's own time; see setStage
	ways          map[string]*way   // of what moves, in the piece's own time
	curtains      []curtain         // what opens, comes or goes and stands in the light, in the piece's own time
	settings      *settings         // the room by how these stand; shared by all shows in it
	solved, known memo              // looks of this show, and of the one that it comes from
	based         []Look            // the looks as if all were there, in the order of Score.Looks
	softened      map[int]Softened  // by index in Score.Cues
	lent          map[int]*alive    // what lives of an evening's cues, as it does in their steps; by index in Score.Cues
	hushed        *hushed           // what stands when live sound falls silent; nil where nothing does
}

// CuesGuessed tells whether it is guessed when the looks come: those of a score without
// cues, one after another or at even shares of the soundtrack.
func (s *Show) CuesGuessed() bool { return s.implied }

// Look is a look of the score as this rig can do it.
type Look struct {
	Name   string
	For    []string  // numbers of the cues for which it is solved, where those of a look differ
	Levels []float32 // by drive, 0..1
	Flash  []float32 // by unit, Hz
	Unable []int     // units that have nothing near their part's colour, which others have, and are dark
	Misses []Miss    // what was asked for and cannot be had

	Reached []Reached // what comes of all that it asks to be seen, met or missed

	// Undescribed are the surfaces and objects that it asks for and that nobody described,
	// in a room of which none is: such parts stand at a guess.
	Undescribed []source.Ref

	stands  *rig.Still                   // its slots
	touches []bool                       // by drive: whether a part names its unit
	owner   []int                        // by drive: the last part that speaks of it, -1 where none does
	lives   bool                         // whether a part of it moves by itself
	among   [][][]float32                // by part, then colour among which it wanders, then drive
	path    func(from []float32) *course // nil when fades run straight in light
}

// Given returns the light that the slots of the look give where it stands: its
// Levels as the units can do them, by drive.
func (l *Look) Given() []float32 {
	if l.stands == nil {
		return l.Levels // of a show that another player makes, whose levels are what its slots give
	}
	return l.stands.Light
}

// Miss is a goal of a look that this rig in this room does not meet.
type Miss struct {
	source.Pos
	Look, Text    string
	Hint          string // what would help, "" when nothing is known
	Wanted, Found float64
	Unit          string
}

// Cue is a cue of the score, placed in time.
type Cue struct {
	*score.Cue
	Index    int           // in Score.Cues
	Look     int           // in Show.Looks
	Moment   time.Duration // what it lands on
	OffBy    time.Duration // distance between Anchor.Near and the moment found
	Found    bool          // false when its anchor has no moment near
	Start    time.Duration // first change
	Peak     time.Duration // end of up: whatever rises has risen
	Complete time.Duration // all is done, for a bump the return as well
}

// Frame is the state of the whole rig at one instant.
type Frame struct {
	At        time.Duration
	Levels    []float32
	Flash     []float32
	Universes []rig.Universe

	still  []*rig.Still // by unit: the slots of light that stands, nil while it moves
	frozen frozen
}

// IndexLook is where a look stands in Looks, the first of those that have several states; -1 for a name that no
// look has.
func (s *Show) IndexLook(name string) int {
	return slices.IndexFunc(s.Looks, func(l Look) bool { return l.Name == name })
}
