package line

import (
	"fmt"
	"net/netip"
)

// Say says in words what a trigger listens to, for a person who looks at the list.
func (t *Trigger) Say() string {
	switch t.Kind {
	case "key":
		return "the key " + t.Place + " of this machine"
	case "page":
		return "its button on the page"
	case "osc":
		return fmt.Sprintf("OSC %s%s, %s", t.Place, t.sayLevels(), t.sayNetwork())
	case "notes":
		if t.Channel != 0 {
			return fmt.Sprintf("MIDI note %d on channel %d from %s", t.Note, t.Channel, t.Place)
		}
		return fmt.Sprintf("MIDI note %d from %s", t.Note, t.Place)
	case "e131":
		return fmt.Sprintf("E1.31 universe %d, slot %d%s, %s", t.Universe, t.Slot, t.sayLevels(), t.sayNetwork())
	case "artnet":
		return fmt.Sprintf("Art-Net universe %d, slot %d%s, %s", t.Universe, t.Slot, t.sayLevels(), t.sayNetwork())
	case "pins":
		return fmt.Sprintf("the pin %s of %s%s", t.Pin, t.Place, t.sayContact())
	case "gpio":
		low := ""
		if t.Low {
			low = ", active low"
		}
		return fmt.Sprintf("line %d of %s%s%s", t.Line, t.Place, low, t.sayContact())
	case "pipe":
		return "the pipe " + t.Place + t.sayContact()
	}
	return ""
}

func (t *Trigger) sayContact() string {
	if t.Opens {
		return ", normally closed"
	}
	return ""
}

func (t *Trigger) sayLevels() string {
	switch {
	case t.Kind == "osc" && t.Above == 0 && t.Below > 0: // what every button sends
		return ""
	case t.Below > t.Above:
		return fmt.Sprintf(" above %g", t.Above)
	}
	return fmt.Sprintf(" above %g, until below %g", t.Above, t.Below)
}

func (t *Trigger) sayNetwork() string {
	from := "to " + t.Listen.String()
	switch {
	case t.Listen == loopback, t.Listen == netip.IPv6Loopback():
		from = "from this machine alone"
	case t.Multicast:
		from = "from the network, by multicast"
	case t.Listen.IsUnspecified():
		from = "from the network"
	}
	return fmt.Sprintf("UDP port %d %s", t.Port, from)
}
