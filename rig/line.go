package rig

import (
	"lampblack/si"
	"lampblack/source"
)

// Line is one data line: a chain of units from an output or splitter leg to
// the terminator.
type Line struct {
	source.Pos
	Universe   int       `key:"universe"`
	Order      []string  `key:"order"` // unit names from the output on
	Length     si.Length `key:"length"`
	Terminated *bool     `key:"terminated"`
	From       string    `key:"from"`     // the splitter leg or output that feeds it
	Adaptors   int       `key:"adaptors"` // between 3-pin and 5-pin connectors
	Cable      string    `key:"cable"`    // data, microphone, network
}
