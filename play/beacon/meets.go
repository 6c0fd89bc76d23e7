package beacon

import (
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strings"

	"lampblack/play/output"
	"lampblack/wire/beacon"
)

// meets tells what receivers make of an output of ours and of what another run sends, if
// they meet.
func (o *other) meets(s *output.Sending) (output.Fault, bool) {
	protocol := beacon.E131
	if s.ArtNet {
		protocol = beacon.ArtNet
	}
	var priority byte
	seen := map[uint16]bool{}
	for i := range o.Sends {
		t := &o.Sends[i]
		if t.Protocol != protocol || t.Port != s.Port || !reaches(s.To, t.To, o.own) {
			continue
		}
		for _, u := range s.Universes {
			if t.Has(u) {
				seen[u] = true
				priority = max(priority, t.Priority)
			}
		}
	}
	both := slices.Sorted(maps.Keys(seen))
	if len(both) == 0 {
		return output.Fault{}, false
	}
	what, degree := output.MadeOf(priority, s.Priority)
	hint := "quit the other one, or this one: one of them has the lamps"
	switch {
	case s.ArtNet:
		what, degree = "nodes mix both, or follow neither", output.Partly
	case o.CID == s.CID:
		what, degree = "receivers take the two for one sender, and jump between them", output.Partly
	default:
		what += fmt.Sprintf(" (priority %d against our %d)", priority, s.Priority)
	}
	return output.Fault{Cause: output.Twin, Degree: degree, Who: hex.EncodeToString(o.Run[:]), Hint: hint,
		Text: fmt.Sprintf("another run sends %s too, %s: %s", universes(both, s.ArtNet), o.where(), what)}, true
}

// where says which run it is, for a person who is to find it.
func (o *other) where() string {
	on := "on another computer"
	switch {
	case o.own:
		on = fmt.Sprintf("on this computer (process %d)", o.PID)
	case o.Machine != "":
		on = fmt.Sprintf("on the computer %q", o.Machine)
	}
	if o.Show == "" {
		return on
	}
	return fmt.Sprintf("%q %s", o.Show, on)
}

// universes names universes as ranges, the first few.
func universes(all []uint16, artNet bool) string {
	var words []string
	ranges := beacon.Ranges(all)
	for i, r := range ranges {
		if i == 4 {
			words = append(words, "more")
			break
		}
		if r.First == r.Last {
			words = append(words, fmt.Sprint(r.First))
			continue
		}
		words = append(words, fmt.Sprintf("%d to %d", r.First, r.Last))
	}
	one, several := "universe ", "universes "
	if artNet {
		one, several = "Port-Address ", "Port-Addresses "
	}
	if len(ranges) == 1 && ranges[0].First == ranges[0].Last {
		return one + words[0]
	}
	return several + strings.Join(words, ", ")
}
