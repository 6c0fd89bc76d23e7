package trigger

import (
	"errors"
	"io"
	"net/netip"
	"slices"
	"sync"
	"time"

	"lampblack/play/device"
	"lampblack/play/line"
)

// receiver listens in one place for one or more triggers.
type receiver interface{ io.Closer }

// system is what the machine offers. Each opens something whose methods belong to one
// goroutine, but for Close, which ends what waits.
type system struct {
	packets func(at spot, universes []uint16) (packets, error)
	bytes   func(name string) (io.ReadCloser, error)
	pins    func(name string) (pins, error)
	line    func(spot) (gpioLine, error)
}

var thisSystem = system{packets: openPackets, bytes: openBytes, pins: openPins, line: openLine}

// spot is where a place listens: what triggers there must have in common. Two that
// differ in it are two places.
type spot struct {
	kind      string
	place     string // device, chip or path
	listen    netip.AddrPort
	multicast bool
	by        string // network interface
	line      int
	low       bool
	pull      string
}

func spotOf(t *line.Trigger) spot {
	s := spot{kind: t.Kind, listen: netip.AddrPortFrom(t.Listen, t.Port), multicast: t.Multicast, by: t.Interface, line: t.Line, low: t.Low, pull: t.Pull}
	if t.Kind != "osc" { // whose place is an address within the packets
		s.place = t.Place
	}
	return s
}

// listen opens a receiver for each place of the list.
func (s *Set) listen(sys *system) {
	feeds := map[spot]*feed{}
	var order []spot
	for i := range s.list.Triggers {
		t := &s.list.Triggers[i].From
		if t.Instant() || t.Kind == "" {
			continue
		}
		at := spotOf(t)
		if feeds[at] == nil {
			feeds[at] = &feed{set: s}
			order = append(order, at)
		}
		feeds[at].add(i, t)
	}
	for _, at := range order {
		f := feeds[at]
		for _, i := range f.of {
			s.mu.Lock()
			s.places[i].feed = f
			s.mu.Unlock()
		}
		s.receivers = append(s.receivers, open(sys, at, f))
	}
}

// open starts what listens in a place.
func open(sys *system, at spot, f *feed) receiver {
	switch at.kind {
	case "osc":
		return keep(f, hints["osc"], func() (packets, error) { return sys.packets(at, nil) }, func(p packets) error {
			f.found()
			return f.read(p, f.osc, nil)
		})
	case "e131", "artnet":
		return keep(f, hints[at.kind], func() (packets, error) { return sys.packets(at, f.universes()) }, func(p packets) error {
			s := newSlots(f)
			take := map[string]func([]byte, netip.AddrPort, time.Time){"e131": s.e131, "artnet": s.artnet}[at.kind]
			s.show(time.Now())
			return f.read(p, take, s.show)
		})
	case "notes":
		return keep(f, hints["notes"], func() (io.ReadCloser, error) { return sys.bytes(at.place) }, func(r io.ReadCloser) error { return f.notes(r) })
	case "pipe":
		return keep(f, hints["pipe"], func() (io.ReadCloser, error) { return sys.bytes(at.place) }, func(r io.ReadCloser) error { return f.lines(r) })
	case "pins":
		return keep(f, hints["pins"], func() (pins, error) { return sys.pins(at.place) }, f.pins)
	case "gpio":
		return keep(f, hints["gpio"], func() (gpioLine, error) { return sys.line(at) }, f.gpio)
	}
	panic("trigger: a source of kind " + at.kind)
}

const taken = "another program may listen there, or this machine has no such address now: it is tried until it works"

// hints say what to do when a source is away.
var hints = map[string]string{
	"osc":    taken,
	"e131":   taken,
	"artnet": taken,
	"notes":  "see that the cable is in and the other machine on: it is looked for until it is back",
	"pipe":   "make it with mkfifo: it is looked for until it is there",
	"pins":   "plug the adapter in, one that brings out its control pins: it is looked for until it is back",
	"gpio":   "see that the chip has this line, that this user may open it, and that no other program holds it: it is tried until it works",
}

// keep keeps a device of a place in use, and tells when it comes and goes.
func keep[D io.Closer](f *feed, hint string, open func() (D, error), use func(D) error) receiver {
	k, _ := device.Keep(func() (D, error) {
		d, err := open()
		if err != nil {
			f.away(err, hint)
		}
		return d, err
	}, func(d D) error {
		err := use(d)
		f.away(err, hint)
		return err
	})
	return k
}

// feed turns what comes to a place into edges of its triggers. It is owned by the
// goroutine of the place; the counts may be read by others.
type feed struct {
	set    *Set
	of     []int // triggers, by their index in the list
	from   []*line.Trigger
	levels []Level   // as they were told last
	last   time.Time // of gpio

	mu      sync.Mutex // guards what follows
	refused uint64     // packets and messages that could not be read
	crowded uint64     // times that more came than is read
}

func (f *feed) add(i int, t *line.Trigger) {
	f.of, f.from, f.levels = append(f.of, i), append(f.from, t), append(f.levels, Unknown)
}

// universes are those that the triggers of the place look at.
func (f *feed) universes() []uint16 {
	var out []uint16
	for _, t := range f.from {
		if !slices.Contains(out, t.Universe) {
			out = append(out, t.Universe)
		}
	}
	return out
}

// stand tells how a contact stands, if that is news.
func (f *feed) stand(k int, closed bool, now time.Time) {
	level, change := Opened, Opens
	if closed != f.from[k].Opens {
		level, change = Closed, Closes
	}
	switch {
	case f.levels[k] != level:
		f.levels[k] = level
		f.set.in.put(f.of[k], Edge{now, change})
	case level == Closed && f.set.list.Triggers[f.of[k]].Repeats:
		f.press(k, now)
	}
}

// rest tells that nothing is held.
func (f *feed) rest(k int, now time.Time) {
	f.levels[k] = Opened
	f.set.in.put(f.of[k], Edge{now, Rests})
}

func (f *feed) restAll() {
	for k := range f.of {
		f.rest(k, time.Now())
	}
}

func (f *feed) press(k int, now time.Time) { f.set.in.put(f.of[k], Edge{now, Presses}) }

// lose tells that how a contact stands is no longer known, and why.
func (f *feed) lose(k int, fault, hint string, now time.Time) {
	if f.levels[k] != Unknown {
		f.levels[k] = Unknown
		f.set.in.put(f.of[k], Edge{now, Loses})
	}
	f.set.stand(f.of[k], fault, hint)
}

// away tells that the device is gone or not there.
func (f *feed) away(err error, hint string) {
	if f.set.closing() {
		return
	}
	why := "it has ended"
	if err != nil && !errors.Is(err, io.EOF) {
		why = err.Error()
	}
	for k := range f.of {
		f.lose(k, why, hint, time.Now())
	}
}

// found tells that the device is there.
func (f *feed) found() {
	for _, i := range f.of {
		f.set.stand(i, "", "")
	}
}

func (f *feed) refuse() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.refused++
}

func (f *feed) crowd() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.crowded++
}

// counts returns what was refused, and how often more came than is read.
func (f *feed) counts() (refused, crowded uint64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.refused, f.crowded
}
