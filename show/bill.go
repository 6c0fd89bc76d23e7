package show

import (
	"lampblack/si"
	"lampblack/source"
)

// Bill is the text of show.yaml: what the show is called, what it sounds like,
// where it goes out, when it plays, and what a person has signed for.
type Bill struct {
	source.Pos
	Title      string      `key:"title,required"`
	Soundtrack source.Ref  `key:"soundtrack,required"` // a file inside the folder
	Outputs    []Output    `key:"outputs"`
	Days       []Day       `key:"days"`
	Wiring     Code        `key:"wiring rules"` // which code's load rule is computed
	Place      string      `key:"place"`
	Signed     []Signature `key:"signed"`
	Alarm      *bool       `key:"alarm input"` // a dark walk needs one
	Timing     Timing      `key:"timing"`
}

// Output is one way out: a line in the form that play/output reads.
type Output struct {
	source.Pos
	To        string `key:"to,required"`
	Universes []int  `key:"universes"` // all when empty
}

// Day says how long the ultraviolet is on for in one day of the run.
type Day struct {
	source.Pos
	Name      string `key:"day,required"`
	Shows     int    `key:"shows"`
	Rehearsal string `key:"rehearsal"` // with ultraviolet, as "1 h 30 min" or "90 min"
}

// Code names a wiring rule.
type Code string

// Wiring rules that the supply check can compute by.
const (
	CodeIEC Code = "IEC 60364"
	CodeUK  Code = "BS 7671"
	CodeUS  Code = "NEC"
)

// Choices lists the wiring rules.
func (Code) Choices() []string { return []string{string(CodeIEC), string(CodeUK), string(CodeUS)} }

// Signature lets a run go on in spite of one finding, in a person's name. It
// lapses when the measured value gets worse than Value.
type Signature struct {
	source.Pos
	Finding string  `key:"finding,required"`
	Person  string  `key:"person,required"`
	Date    string  `key:"date,required"`
	Reason  string  `key:"reason,required"`
	Value   float64 `key:"value"`
}

// Timing holds what delays sound and light on the way to the seat.
type Timing struct {
	source.Pos
	Speaker si.Length `key:"speaker to centre seat"`
	Back    si.Length `key:"speaker to back seat"`
	Sound   string    `key:"sound delay"` // "20 ms to 40 ms"
	Light   string    `key:"light delay"`
}
