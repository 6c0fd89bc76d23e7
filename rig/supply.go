package rig

import (
	"lampblack/si"
	"lampblack/source"
)

// Supply is what a fixture type asks of the mains.
type Supply struct {
	source.Pos
	Max     si.Power   `key:"max"`    // rated maximum
	Factor  si.Ratio   `key:"factor"` // power factor at full
	Inrush  Inrush     `key:"inrush"`
	Leakage si.Current `key:"leakage"` // standing, to earth
	Link    int        `key:"link"`    // most units in one chain, by the maker
	Through si.Current `key:"through"` // rating of its inlet and outlet
}

// Inrush is the surge at switching on: "25 A for 300 us".
type Inrush struct {
	Peak si.Current
	For  float64 // seconds
}

// Circuit is one final circuit of the building or of a distribution unit.
type Circuit struct {
	source.Pos
	Breaker string     `key:"breaker"` // "C16", or "20 A"
	Voltage si.Voltage `key:"voltage"`
	RCD     si.Current `key:"residual current device"`
	Phase   string     `key:"phase"`
	Cable   Cable      `key:"cable"`
	Carries []string   `key:"carries"` // what else hangs on it: sound, heating
	Dimmed  bool       `key:"dimmed"`
}

// Cable is a run of supply cable.
type Cable struct {
	source.Pos
	Length  si.Length  `key:"length"`
	Section si.Section `key:"section"`
}
