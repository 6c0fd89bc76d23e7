package rig

import (
	"lampblack/si"
	"lampblack/source"
)

// Line is one data line: a chain of units from an output or splitter leg to
// the terminator.
type Line struct {
	source.Pos
	Universe   int       `key:"universe" within:"1 to 63999"` // 0 when absent
	Order      []string  `key:"order"`                        // unit names from the output on
	Length     si.Length `key:"length"`
	Terminated *bool     `key:"terminated"`
	From       string    `key:"from"`       // the splitter leg or output that feeds it
	Isolated   *bool     `key:"isolated"`   // the leg is electrically isolated
	Adaptors   int       `key:"adaptors"`   // between 3-pin and 5-pin connectors
	Cable      DataCable `key:"cable"`      // data, microphone, network
	Branches   bool      `key:"branches"`   // a Y in the line, without a splitter
	Wireless   bool      `key:"wireless"`   // some of it goes by radio
	SpareWire  bool      `key:"spare wire"` // a tested cable lies beside the radio
}

// check finds values that no line has, and forgets them.
func (l *Line) check(name string, faults *source.Faults) {
	if l.Length < 0 || l.Adaptors < 0 {
		faults.Add(l.Pos, "", "data line %s has a negative value", name)
		l.Length, l.Adaptors = max(l.Length, 0), max(l.Adaptors, 0)
	}
}

// DataCable is the sort of cable that a data line is made of.
type DataCable string

// Sorts of cable.
const (
	CableUnknown    DataCable = ""
	CableData       DataCable = "data"
	CableMicrophone DataCable = "microphone"
	CableNetwork    DataCable = "network"
)

// Choices lists the sorts of cable.
func (DataCable) Choices() []string { return []string{"data", "microphone", "network"} }
