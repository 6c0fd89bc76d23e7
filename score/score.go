package score

import (
	"time"

	"lampblack/source"
)

// Score is the text of score.yaml. Cues stand in the order of the file; show.Show has
// them by time.
type Score struct {
	source.Pos
	Looks source.Named[Look] `key:"looks,required"`
	Cues  []Cue              `key:"cues"` // none where every piece has a file of its own
	Brief Brief              `key:"brief"`
	// Calm spans want no flash and no bump: speech, for one.
	Calm  []Span `key:"calm"`
	Waits []Wait `key:"waits"` // by their places once they are read
	// Stage is when objects and performers are on stage; the others always are.
	Stage source.Named[Presence] `key:"on stage"`
	// Crosses is how objects and performers get about; the others stay where the room has them.
	Crosses source.Named[Crossings] `key:"crosses"`
	// Opens is how curtains open and close; the others stay as the room has them.
	Opens source.Named[Draws] `key:"opens"`
}

// Piece is the text of one piece of an evening: a score without looks.
type Piece struct {
	source.Pos
	Cues    []Cue                   `key:"cues,required"`
	Brief   Brief                   `key:"brief"`
	Calm    []Span                  `key:"calm"`
	Waits   []Wait                  `key:"waits"`
	Stage   source.Named[Presence]  `key:"on stage"`
	Crosses source.Named[Crossings] `key:"crosses"`
	Opens   source.Named[Draws]     `key:"opens"`
}

// Brief is what was agreed before any cue was placed.
type Brief struct {
	source.Pos
	PerMinute float64       `key:"cues per minute"` // most, over any minute
	Shortest  time.Duration `key:"shortest blackout warned of"`
}

// Span is a piece of the show's line.
type Span struct {
	source.Pos
	From time.Duration `key:"from,required"`
	To   time.Duration `key:"to,required"`
	Why  string        `key:"why"`
}

// Cue is one change of the light.
type Cue struct {
	source.Pos
	Number  source.Ref     `key:"cue,required"` // decimal text: 5, 10.5
	At      *time.Duration `key:"at"`
	On      *Anchor        `key:"on"`
	Follows source.Ref     `key:"follows"` // another cue: it lands when that is complete
	Look    source.Ref     `key:"look,required"`
	Delay   time.Duration  `key:"delay"`
	Up      time.Duration  `key:"up"`
	Down    *time.Duration `key:"down"` // Up when absent
	Hold    time.Duration  `key:"hold"`
	Returns *time.Duration `key:"returns"` // a bump: falls back over this
	Lands   Landing        `key:"lands"`
	Why     string         `key:"why"`
	By      Author         `key:"by"`
	Lives                  // how all light of its look moves by itself, beside what its parts do
}

// Timed tells whether the cue says when it is.
func (c *Cue) Timed() bool { return c.At != nil || c.On != nil || c.Follows.Name != "" }

// Bump tells whether the cue falls back to what was before it.
func (c *Cue) Bump() bool { return c.Returns != nil }

// Landing says how a cue meets its moment.
type Landing string

// How a cue meets its moment: the change starts on it, is brightest on it (a
// bump, or the end of up), or is complete on it (up and down are over).
const (
	Starts    Landing = "starts"
	Peaks     Landing = "peaks"
	Completes Landing = "completes"
)

// Choices lists the landings.
func (Landing) Choices() []string {
	return []string{string(Starts), string(Peaks), string(Completes)}
}

// Author tells who placed a cue.
type Author string

// Who placed a cue: a person (also when nothing is said), or the draft, and
// whether a person has accepted what was drafted.
const (
	Hand     Author = "hand"
	Draft    Author = "draft"
	Accepted Author = "accepted"
)

// Choices lists the authors.
func (Author) Choices() []string { return []string{string(Hand), string(Draft), string(Accepted)} }
