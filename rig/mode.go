package rig

import (
	"lampblack/si"
	"lampblack/source"
)

// Mode is one slot table of a fixture type. Slots are in the order of their
// numbers; Footprint is the last number used.
type Mode struct {
	source.Pos
	Slots     []Slot
	Footprint int
}

// Slot is one slot of a mode, or a coarse and fine pair.
type Slot struct {
	source.Pos
	Coarse int    // number within the mode, from 1
	Fine   int    // 0 when the slot has 8 bits
	Drives string // the emitter that it drives, "" when none
	Cell   int    // the one cell that it drives, from 1; 0 means all
	Dims   []string
	Curve  Curve
	Idle   string // what the maker calls a slot without function
	Set    int    // value that an idle or mode slot is held at
	Ranges []Range
}

// Range is a span of slot values with one meaning.
type Range struct {
	source.Pos
	From, To  int
	Does      Action
	Low, High si.Frequency // of Flash and FlashRandom, at From and at To
}

// Action is what a unit does in a range of slot values.
type Action string

// What a unit does in a range of slot values.
const (
	Open        Action = "open"         // light as the other slots say
	Closed      Action = "closed"       // no light, whatever the other slots say
	Level       Action = "level"        // the slot dims, from dark at From to full at To
	Flash       Action = "flash"        // at a rate from Low to High
	FlashRandom Action = "flash random" // at random, between Low and High on the mean
	Never       Action = "never"        // programs, sound, reset: the tool keeps out
	Nothing     Action = "nothing"      // no function
)

// Curve is a dimmer's response: dark up to slot value DarkTo, then by the
// named law to full at FullFrom (255 when absent).
type Curve struct {
	source.Pos
	DarkTo   int       `key:"dark to"`
	Then     CurveLaw  `key:"then"`
	FullFrom int       `key:"full from"`
	Table    []float64 `key:"table"` // light at equal steps of the slot, instead of a law
}

// CurveLaw names how light grows with the slot value.
type CurveLaw string

// Choices lists the dimmer laws.
func (CurveLaw) Choices() []string { return []string{"linear", "square", "s"} }
