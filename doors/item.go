package doors

import (
	"fmt"
	"strings"
)

// State is how an item stands.
type State string

// States of an item.
const (
	Open    State = "open"     // nobody has asked or looked yet
	Good    State = "good"     //
	NotGood State = "not good" //
	Left    State = "left"     // not good, and a person lets it be so tonight
)

// Item is one thing that is to be so before doors.
type Item struct {
	ID    string `json:"id"`
	Group string `json:"group"`
	Text  string `json:"text"` // what is to be so
	State State  `json:"state"`
	Found string `json:"found"` // what was found, or what to look at
	Cure  string `json:"cure"`  // what to do while it is not good
	Seen  bool   `json:"seen"`  // a person said so; else the computer
	Try   string `json:"try"`   // what a press does, as "pulse"; "" where there is nothing to try
	Out   bool   `json:"out"`   // it can be taken out for tonight, and its likes take its part
}

// Look begins what is found of an item that a person is to look at.
const Look = "look yourself: "

// Groups of items, in their order.
const (
	Lamps    = "Lamps"
	Wires    = "Outputs"
	Sounds   = "Sound"
	Computer = "This computer"
	House    = "House and people"
)

// Answer is what asking came to.
type Answer struct {
	State State
	Found string
	Cure  string
}

// Sum is what a list came to.
type Sum struct {
	Good, All           int
	Bad, Left, Unlooked []Item
}

// most bounds how many items of a kind a line names.
const most = 8

// String is one line for the night's report.
func (s Sum) String() string {
	parts := []string{fmt.Sprintf("%d of %d good", s.Good, s.All)}
	say := func(what string, items []Item, why bool) {
		if len(items) == 0 {
			return
		}
		var names []string
		for i := range items[:min(len(items), most)] {
			name := items[i].ID
			if why && items[i].Found != "" {
				name += " (" + items[i].Found + ")"
			}
			names = append(names, name)
		}
		if more := len(items) - most; more > 0 {
			names = append(names, fmt.Sprintf("%d more", more))
		}
		parts = append(parts, what+": "+strings.Join(names, ", "))
	}
	say("not good", s.Bad, true)
	say("left so", s.Left, true)
	say("nobody looked at", s.Unlooked, false)
	return strings.Join(parts, "; ")
}
