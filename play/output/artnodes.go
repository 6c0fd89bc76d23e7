package output

import (
	"fmt"
	"net/netip"
	"slices"
	"strconv"
	"strings"
	"time"

	"lampblack/wire/artnet"
)

// lookAfter begins to watch the way of the packets, and to ask the node, where one was named.
func (s *art) lookAfter(w ways, questions ...*question) {
	look := &watch{ways: w, name: s.spec.Interface, targets: s.targets, questions: questions, receiver: s.spec.Place}
	look.unanswers = Fault{Cause: Silent, Degree: Partly, Who: look.receiver, Text: look.receiver + " answers nothing, and an Art-Net node would",
		Hint: "is it powered, is its cable in, is its address right, and is it set to Art-Net? frames go to it all the same"}
	if !s.discovers() && len(questions) == 0 {
		s.counters.health.set(notAnswered(look.receiver))
	}
	s.look(look, s.socket)
}

// targets are the receivers: the one that was named, or the nodes that are known.
func (s *art) targets() []netip.Addr {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.discovers() {
		return []netip.Addr{s.spec.Addr}
	}
	var all []netip.Addr
	for key, n := range s.nodes {
		if s.uses(&n) && !slices.Contains(all, key.addr) && len(all) < mostWays {
			all = append(all, key.addr)
		}
	}
	slices.SortFunc(all, netip.Addr.Compare)
	return all
}

// uses tells whether a node puts out anything that is sent.
func (s *art) uses(n *artNode) bool {
	return slices.ContainsFunc(n.outputs, func(u uint16) bool { return s.streams[u] != nil })
}

// missing asks nodes that are late once more, each by itself, and tells of those that stay
// silent. The time between two polls alone would be too long: a node that missed one may
// only have lost a packet.
func (s *art) missing(now time.Time) {
	if _, down := s.counters.health.now().Has(NoLink); down {
		s.down = now // who cannot be reached is not asked to answer
	}
	newest := map[netip.Addr]time.Time{} // a node of many ports has several parts
	for key, n := range s.nodes {
		if n.seen.After(newest[key.addr]) {
			newest[key.addr] = n.seen
		}
	}
	var silent []netip.Addr
	poll := artnet.Poll{Flags: artnet.ReplyOnChange}
	for key, n := range s.nodes {
		late := now.Sub(newest[key.addr])
		if late < askEvery || !s.uses(&n) {
			continue
		}
		if now.Sub(n.asked) >= askEvery {
			n.asked = now
			n.since++
			s.nodes[key] = n
			s.add(netip.AddrPortFrom(key.addr, s.port()), poll.Append(nil))
		}
		if late > silentAfter && n.since >= leastAsked && now.Sub(s.down) > silentAfter && !slices.Contains(silent, key.addr) {
			silent = append(silent, key.addr)
			s.silent(key.addr, n.name, newest)
		}
	}
}

// silent tells of a node that answers no more.
func (s *art) silent(addr netip.Addr, name string, newest map[netip.Addr]time.Time) {
	f := Fault{Cause: Silent, Degree: Wholly, Who: addr.String(),
		Text: fmt.Sprintf("node %s %v answered until %s, and does so no more", strconv.Quote(strings.ToValidUTF8(name, "?")), addr, newest[addr].Format("15:04:05")),
		Hint: "is it powered, and is its cable in? its lamps are back as soon as it is"}
	for other, seen := range newest {
		if other != addr && seen.After(newest[addr]) {
			f.Degree = Partly // the others have their light
		}
	}
	s.counters.health.set(f)
}

// unasked tells of the first Port-Address that no node puts out.
func (s *art) unasked() {
	for _, u := range s.order {
		if len(s.receivers(u)) > 0 {
			continue
		}
		text := fmt.Sprintf("no node asks for Port-Address %d; %s", u, s.seen())
		s.counters.failed(fmt.Errorf("%s: %s", s.Name(), text))
		who := strconv.Itoa(int(u))
		s.counters.health.clearAll(NoNode, who)
		s.counters.health.set(Fault{Cause: NoNode, Degree: Partly, Who: who, Text: text,
			Hint: "is the node powered, on this network, and set to that Port-Address? it is taken up by itself"})
		return
	}
	s.counters.health.clearAll(NoNode)
}
