package show

import (
	"fmt"
	"time"
)

// Turns are the steps of one running order with their times.
type Turns struct {
	Zone    string `json:"zone"` // "" for an evening
	File    string `json:"file"` // in which the order is written
	Repeats bool   `json:"repeats"`
	Steps   []Turn `json:"steps"`
}

// Turn is a step of a running order; times are in seconds from the beginning.
type Turn struct {
	Name    string  `json:"step"`
	Stands  bool    `json:"stands"`
	What    string  `json:"what"` // the look, or the soundtrack
	Usually float64 `json:"usually"`
	Latest  float64 `json:"latest"`
	Lasts   float64 `json:"lasts"`           // usually
	AtMost  float64 `json:"atMost"`          // the same for a piece
	Ends    string  `json:"ends"`            // go, a time, a trigger; by itself for a piece
	Waits   int     `json:"waits,omitempty"` // inside a piece
	Standby string  `json:"standby,omitempty"`
}

// Turns lists the steps of an evening as they usually and at the latest come. Where it rests in its
// first step, times count from where it leaves that.
func (e *Evening) Turns(rests bool) []Turn {
	var out []Turn
	at, rest := 0.0, 0.0
	for i := range e.Steps {
		s := &e.Steps[i]
		line := Turn{Name: s.Name(), Stands: s.Stands(), What: s.Look.Name, Standby: s.Standby,
			Usually: at, Latest: max(s.Start.Seconds()-rest, 0), Lasts: s.Usual().Seconds(), AtMost: s.Show.Length.Seconds()}
		switch {
		case s.Own():
			line.What = s.Show.Bill.Soundtrack.Name
		case !s.Stands():
			line.What = s.Soundtrack.Name
			if line.What == "" {
				line.What = "without sound"
			}
		}
		if line.Ends = s.Until.String(); !s.Stands() {
			line.Ends, line.Waits = "by itself", len(s.Show.Waits)
		}
		switch line.Waits {
		case 0:
		case 1:
			line.Ends += ", with a wait"
		default:
			line.Ends += fmt.Sprintf(", with %d waits", line.Waits)
		}
		if rests && i == 0 {
			rest = line.AtMost
		} else {
			at += line.Lasts
		}
		out = append(out, line)
	}
	return out
}

// Turns lists the orders of all zones.
func (p *Place) Turns() []Turns {
	var out []Turns
	for i := range p.Zones {
		z := &p.Zones[i]
		out = append(out, Turns{z.Name, z.orderFile(), z.Repeats, z.Evening.Turns(z.Repeats)})
	}
	return out
}

func (z *Zone) orderFile() string {
	if z.Order.Name != "" {
		return z.Order.Name
	}
	return OrderFile
}

// TurnsEnd is when the last step is over, usually and at the latest.
func TurnsEnd(list []Turn) (usually, latest time.Duration) {
	last := &list[len(list)-1]
	s := func(v float64) time.Duration { return time.Duration(v * float64(time.Second)) }
	return s(last.Usually + last.Lasts), s(last.Latest + last.AtMost)
}
