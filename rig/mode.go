package rig

import "lampblack/source"

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
	Set    *int   // value that an idle or mode slot is held at; nil when nothing is said
	Ranges []Range
}

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
