package beacon

import (
	"net"
	"net/netip"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/leaktest"
	"lampblack/play/output"
	"lampblack/wire/beacon"
)

// sink is an output that sends what a test says.
type sink struct {
	mu     sync.Mutex
	sends  output.Sending
	goes   bool
	faults map[string]output.Fault
}

func newSink(s output.Sending) *sink {
	return &sink{sends: s, goes: true, faults: map[string]output.Fault{}}
}

func (s *sink) Send([]output.Frame, time.Time) error { return nil }
func (s *sink) Close() error                         { return nil }
func (s *sink) Name() string                         { return "sink" }
func (s *sink) Stats() output.Stats                  { return output.Stats{} }
func (s *sink) Sending() (output.Sending, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.sends, s.goes
}
func (s *sink) Mark(f output.Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults[f.Who] = f
}
func (s *sink) Unmark(_ output.Cause, but ...string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for who := range s.faults {
		keep := false
		for _, b := range but {
			keep = keep || b == who
		}
		if !keep {
			delete(s.faults, who)
		}
	}
}

// text is what the output was told last; "" for nothing.
func (s *sink) text() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, f := range s.faults {
		return f.Text + "; " + f.Hint
	}
	return ""
}

// hall is a network of one air for each run.
type hall struct {
	mu   sync.Mutex
	airs []*hallAir
}

type hallAir struct {
	hall    *hall
	machine string
	in      chan sent
	gone    chan struct{}
	by      []string
}

type sent struct {
	packet  []byte
	machine string
}

func (h *hall) on(machine string) *hallAir {
	h.mu.Lock()
	defer h.mu.Unlock()
	a := &hallAir{h, machine, make(chan sent, 4), make(chan struct{}), nil}
	h.airs = append(h.airs, a)
	return a
}

func (a *hallAir) send(packet []byte, by []string) {
	a.hall.mu.Lock()
	defer a.hall.mu.Unlock()
	a.by = by
	for _, o := range a.hall.airs {
		select {
		case o.in <- sent{append([]byte(nil), packet...), a.machine}:
		default:
		}
	}
}

func (a *hallAir) receive(b []byte) (int, bool, error) {
	select {
	case s := <-a.in:
		return copy(b, s.packet), s.machine == a.machine, nil
	case <-a.gone:
		return 0, false, net.ErrClosed
	}
}

func (a *hallAir) Close() error { close(a.gone); return nil }

func cid(b byte) [16]byte { return [16]byte{b} }

// Two runs that send the same are told of each other within three seconds, with who, what
// and what to do, and that it is over within five seconds of the other's end.
func TestTwins(t *testing.T) {
	near, far := netip.MustParseAddr("10.0.0.7"), netip.MustParseAddr("10.0.0.8")
	multicast := output.Sending{By: []string{"eth9"}, Universes: []uint16{1, 2, 3}, Priority: 100, CID: cid(1)}
	for name, c := range map[string]struct {
		machine string
		theirs  output.Sending
		says    string // of ours, "" when they do not meet
	}{
		"the same machine":          {"a", multicast, `another run sends universes 1 to 3 too, "theirs" on this computer (process `},
		"takes both for one":        {"a", multicast, "receivers take the two for one sender, and jump between them; quit the other one"},
		"another machine":           {"b", output.Sending{By: []string{"eth9"}, Universes: []uint16{3, 9}, Priority: 120, CID: cid(2)}, "universe 3 too"},
		"a higher priority":         {"b", output.Sending{By: []string{"eth9"}, Universes: []uint16{3, 9}, Priority: 120, CID: cid(2)}, "receivers follow it and not us (priority 120 against our 100)"},
		"other universes":           {"a", output.Sending{By: []string{"eth9"}, Universes: []uint16{4}, CID: cid(1)}, ""},
		"one receiver of ours":      {"b", output.Sending{To: near, By: []string{"eth9"}, Universes: []uint16{1}, Priority: 100, CID: cid(2)}, "universe 1 too"},
		"a program of its own":      {"a", output.Sending{To: netip.MustParseAddr("127.0.0.1"), By: []string{"lo"}, Universes: []uint16{1}, CID: cid(1)}, ""},
		"another's own program":     {"b", output.Sending{To: netip.MustParseAddr("127.0.0.1"), By: []string{"lo"}, Universes: []uint16{1}, CID: cid(1)}, ""},
		"another port":              {"a", output.Sending{By: []string{"eth9"}, Port: 6000, Universes: []uint16{1}, CID: cid(1)}, ""},
		"another protocol":          {"a", output.Sending{ArtNet: true, Universes: []uint16{1}}, ""},
		"nothing that goes out yet": {"a", output.Sending{CID: cid(1)}, ""},
	} {
		synctest.Test(t, func(t *testing.T) {
			h := &hall{}
			ours, theirs := newSink(multicast), newSink(c.theirs)
			a := open("ours", []output.Told{ours}, h.on("a"), nil)
			time.Sleep(1700 * time.Millisecond)
			b := open("theirs", []output.Told{theirs}, h.on(c.machine), nil)
			time.Sleep(3 * time.Second)
			if text := ours.text(); !strings.Contains(text, c.says) || (text == "") != (c.says == "") {
				t.Errorf("%s: %q, want %q", name, text, c.says)
			}
			if (ours.text() == "") != (theirs.text() == "") {
				t.Errorf("%s: one knows and the other does not: %q, %q", name, ours.text(), theirs.text())
			}
			b.Close()
			time.Sleep(5 * time.Second)
			if text := ours.text(); text != "" {
				t.Errorf("%s: after its end: %q", name, text)
			}
			a.Close()
		})
	}
	synctest.Test(t, func(t *testing.T) { // to a program of this computer, by another port
		h := &hall{}
		own := output.Sending{To: netip.MustParseAddr("127.0.0.1"), Port: 6000, By: []string{"lo"}, Universes: []uint16{1}, CID: cid(1)}
		one, two := newSink(own), newSink(own)
		a := open("a", []output.Told{one}, h.on("a"), nil)
		time.Sleep(3450 * time.Millisecond)
		b := open("b", []output.Told{two}, h.on("a"), nil)
		time.Sleep(3 * soon)
		if one.text() == "" || two.text() == "" {
			t.Errorf("after %v: %q, %q", 3*soon, one.text(), two.text())
		}
		a.Close()
		b.Close()
	})
	synctest.Test(t, func(t *testing.T) { // unicast to two receivers, and to one
		h := &hall{}
		one, two, three := newSink(output.Sending{To: near, Universes: []uint16{1}, CID: cid(1)}), newSink(output.Sending{To: far, Universes: []uint16{1}, CID: cid(1)}), newSink(output.Sending{To: far, Universes: []uint16{1}, CID: cid(1)})
		a, b, c := open("a", []output.Told{one}, h.on("a"), nil), open("b", []output.Told{two}, h.on("a"), nil), open("c", []output.Told{three}, h.on("a"), nil)
		time.Sleep(3 * time.Second)
		if one.text() != "" || two.text() == "" || three.text() == "" {
			t.Errorf("%q, %q, %q: want the two that send to one receiver", one.text(), two.text(), three.text())
		}
		a.Close()
		b.Close()
		c.Close()
	})
}

// Beacons leave by the interfaces of the outputs, and where the run sends nothing to a
// network there are none.
func TestWhereBeaconsGo(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := &hall{}
		air := h.on("a")
		b := open("x", []output.Told{newSink(output.Sending{By: []string{"eth9"}}), newSink(output.Sending{By: []string{"eth8", "eth9"}})}, air, nil)
		time.Sleep(time.Second)
		synctest.Wait()
		if got := strings.Join(air.by, " "); got != "eth8 eth9" {
			t.Errorf("by %q", got)
		}
		b.Close()
	})
	file := newSink(output.Sending{})
	file.goes = false
	for _, sinks := range [][]output.Sink{nil, {file}} {
		if b, err := Open("x", sinks, nil); b != nil || err != nil || b.Close() != nil {
			t.Errorf("%d outputs, none to a network: %v, %v", len(sinks), b, err)
		}
	}
}

// A flood of others neither grows what is remembered nor drowns the rest for ever.
func TestFlood(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := &hall{}
		air := h.on("a")
		ours := newSink(output.Sending{Universes: []uint16{1}, CID: cid(1)})
		b := open("ours", []output.Told{ours}, air, nil)
		stop := make(chan struct{})
		var flood sync.WaitGroup
		flood.Go(func() {
			for i := 0; ; i++ {
				c := beacon.Beacon{Run: [16]byte{byte(i), byte(i >> 8), 1}}
				select {
				case air.in <- sent{c.Append(nil), "b"}:
				case <-stop:
					return
				}
			}
		})
		time.Sleep(5 * time.Second)
		close(stop)
		flood.Wait()
		b.mu.Lock()
		n := len(b.others)
		b.mu.Unlock()
		if n > most {
			t.Errorf("%d others", n)
		}
		time.Sleep(5 * time.Second)
		other := open("theirs", []output.Told{newSink(output.Sending{Universes: []uint16{1}, CID: cid(1)})}, h.on("a"), nil)
		time.Sleep(3 * time.Second)
		if ours.text() == "" {
			t.Error("after a flood nobody is noticed any more")
		}
		other.Close()
		b.Close()
	})
}

// Two runs on one real machine hear each other by the loopback, and nothing is left of them.
func TestLoopback(t *testing.T) {
	leaktest.Check(t, func() {
		one, two := newSink(output.Sending{By: []string{}, Universes: []uint16{1}, CID: cid(1)}), newSink(output.Sending{By: []string{}, Universes: []uint16{1}, CID: cid(1)})
		a, err := Open("one", []output.Sink{one}, nil)
		if err != nil {
			t.Skipf("needs UDP on the loopback: %v", err)
		}
		defer a.Close()
		b, err := Open("two", []output.Sink{two}, nil)
		if err != nil {
			t.Fatal(err)
		}
		defer b.Close()
		start := time.Now()
		for one.text() == "" || two.text() == "" {
			if time.Since(start) > 20*time.Second {
				t.Fatalf("not noticed: %q, %q", one.text(), two.text())
			}
			time.Sleep(20 * time.Millisecond)
		}
		t.Logf("noticed after %v: %s", time.Since(start).Round(10*time.Millisecond), one.text())
		if !strings.Contains(one.text(), `"two" on this computer`) {
			t.Error(one.text())
		}
	})
}

// Two outputs meet when they go to one receiver; this computer's own address is another on
// each computer.
func TestReaches(t *testing.T) {
	all, a, b, own := netip.Addr{}, netip.MustParseAddr("10.0.0.7"), netip.MustParseAddr("10.0.0.8"), netip.MustParseAddr("127.0.0.1")
	for _, c := range []struct {
		a, b      netip.Addr
		near, far bool // on one machine, on two
	}{{a: all, b: all, near: true, far: true}, {a: a, b: a, near: true, far: true}, {a: a, b: b}, {a: a, b: all, near: true, far: true}, {a: own, b: own, near: true}, {a: own, b: all}, {a: own, b: a}} {
		for _, x := range [][2]netip.Addr{{c.a, c.b}, {c.b, c.a}} {
			if near, far := reaches(x[0], x[1], true), reaches(x[0], x[1], false); near != c.near || far != c.far {
				t.Errorf("%v and %v: %v on one machine, %v on two", x[0], x[1], near, far)
			}
		}
	}
}

// A run that sends the same on purpose is not told of.
func TestAlliesAreNoTwins(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := &hall{}
		sends := func(id byte) *sink {
			return newSink(output.Sending{By: []string{"eth9"}, Universes: []uint16{1}, Priority: 100, CID: cid(id)})
		}
		ours, theirs, allies := sends(1), sends(2), &output.Allies{}
		a, b := open("ours", []output.Told{ours}, h.on("a"), allies), open("theirs", []output.Told{theirs}, h.on("b"), nil)
		time.Sleep(3 * time.Second)
		synctest.Wait()
		if ours.text() == "" || theirs.text() == "" {
			t.Errorf("before they are allies: %q, %q", ours.text(), theirs.text())
		}
		allies.Add(cid(2))
		time.Sleep(2 * time.Second)
		synctest.Wait()
		if ours.text() != "" || theirs.text() == "" {
			t.Errorf("one takes the other for an ally: %q, %q", ours.text(), theirs.text())
		}
		a.Close()
		b.Close()
	})
}
