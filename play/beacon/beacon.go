// Package beacon lets runs of this program notice each other: [Open] sends once a second
// what a run sends and where, and tells its outputs of every other run that sends the same.
// Close ends it.
//
//	ours    outputs ─ Sending ─▶ ┌────────┐ ──▶ group, by the outputs' interfaces and the loopback
//	theirs  group ──────────────▶│ Beacon │ ──▶ Mark, Unmark of each output that both send
//	                             └────────┘
//
// Two runs of one machine have the same component identifier, so that receivers of E1.31
// take them for one source, and neither would see a rival in the other. A beacon leaves only
// by what outputs leave by, and not at all where nothing goes to a network.
package beacon

import (
	"bytes"
	"crypto/rand"
	"net/netip"
	"os"
	"slices"
	"sync"
	"time"

	"lampblack/play/output"
	"lampblack/wire/beacon"
)

const (
	// every is the time between beacons while nothing is new.
	every = time.Second
	// soon is how long after the last a beacon may leave because something is new: another run,
	// or what is sent.
	soon = every / 10
	// over is how long after its last beacon a run counts as ended: two may be lost.
	over = 3500 * time.Millisecond
	// most bounds the other runs that are remembered, and most packets the load that a hostile network can be.
	most        = 64
	mostPackets = 200 // a second
)

// air is what beacons go through.
type air interface {
	// send sends a packet by interfaces, nil for all, and by the loopback; it joins the group there.
	send(packet []byte, by []string)
	// receive waits for a packet, and tells whether it came from this machine.
	receive(b []byte) (n int, own bool, err error)
	Close() error
}

// Beacon sends and hears beacons.
type Beacon struct {
	air    air
	allies *output.Allies // who send the same on purpose
	ours   beacon.Beacon
	sinks  []output.Told
	stop   chan struct{}
	group  sync.WaitGroup

	mu     sync.Mutex // guards what follows
	asked  bool       // somebody is new, who is to hear of us
	others map[[16]byte]*other
}

// other is another run.
type other struct {
	beacon.Beacon
	own  bool // on this machine
	seen time.Time
}

// Open begins to send and hear beacons for a run of a show through outputs, those that are
// [output.Told]. It is nil where none of them goes to a network.
func Open(show string, sinks []output.Sink, allies *output.Allies) (*Beacon, error) {
	told := toldOf(sinks)
	if len(told) == 0 {
		return nil, nil
	}
	a, err := openAir(beacon.Port)
	if err != nil {
		return nil, err
	}
	return open(show, told, a, allies), nil
}

// toldOf are the outputs that go to a network.
func toldOf(sinks []output.Sink) []output.Told {
	var out []output.Told
	for _, s := range sinks {
		if t, ok := s.(output.Told); ok {
			if _, goes := t.Sending(); goes {
				out = append(out, t)
			}
		}
	}
	return out
}

func open(show string, sinks []output.Told, a air, allies *output.Allies) *Beacon {
	b := &Beacon{air: a, allies: allies, sinks: sinks, stop: make(chan struct{}), others: map[[16]byte]*other{}}
	b.ours.Show, b.ours.PID = show, uint32(os.Getpid())
	b.ours.Machine, _ = os.Hostname()
	_, _ = rand.Read(b.ours.Run[:]) // never fails
	b.group.Go(b.speak)
	b.group.Go(b.hear)
	return b
}

// Close ends it; a nil Beacon, too.
func (b *Beacon) Close() error {
	if b == nil {
		return nil
	}
	close(b.stop)
	err := b.air.Close()
	b.group.Wait()
	return err
}

// speak sends what goes out now, and looks who sends the same. A beacon of a run that sends
// nothing yet asks all the same for what others say; who is new is answered at once.
func (b *Beacon) speak() {
	t := time.NewTicker(soon)
	defer t.Stop()
	var packet []byte
	var spoke time.Time
	for {
		sendings, by := b.now()
		now := time.Now()
		old := len(packet)
		packet = b.ours.Append(packet)
		fresh := !bytes.Equal(packet[:old], packet[old:])
		packet = append(packet[:0], packet[old:]...)
		if fresh || b.isAsked() || now.Sub(spoke) >= every {
			spoke = now
			b.air.send(packet, by)
		}
		b.compare(now, sendings)
		select {
		case <-b.stop:
			return
		case <-t.C:
		}
	}
}

// isAsked tells whether somebody is new, once.
func (b *Beacon) isAsked() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	was := b.asked
	b.asked = false
	return was
}

// now puts down what goes out now, and returns it with the interfaces that it leaves by, nil for
// all.
func (b *Beacon) now() (sendings []output.Sending, by []string) {
	sendings = make([]output.Sending, len(b.sinks))
	everywhere := false
	b.ours.Sends = b.ours.Sends[:0]
	for i, s := range b.sinks {
		sendings[i], _ = s.Sending()
		everywhere = everywhere || sendings[i].By == nil
		by = append(by, sendings[i].By...)
		if len(sendings[i].Universes) > 0 {
			b.ours.Sends = append(b.ours.Sends, sendsOf(&sendings[i]))
		}
		if !sendings[i].ArtNet {
			b.ours.CID = sendings[i].CID
		}
	}
	slices.Sort(by)
	if by = slices.Compact(by); everywhere {
		by = nil
	} else if by == nil {
		by = []string{}
	}
	return sendings, by
}

func sendsOf(s *output.Sending) beacon.Sends {
	out := beacon.Sends{Protocol: beacon.E131, Priority: s.Priority, To: s.To.WithZone(""), Port: s.Port, Universes: beacon.Ranges(s.Universes)}
	if s.ArtNet {
		out.Protocol = beacon.ArtNet
	}
	return out
}

// hear takes in what others say, at most so many packets a second: the rest is lost.
func (b *Beacon) hear() {
	packet := make([]byte, 2048)
	var second time.Time
	for count := 0; ; count++ {
		n, own, err := b.air.receive(packet)
		if err != nil {
			return
		}
		now := time.Now()
		if now.Sub(second) >= time.Second {
			second, count = now, 0
		}
		if count > mostPackets {
			select {
			case <-b.stop:
				return
			case <-time.After(second.Add(time.Second).Sub(now)):
			}
			continue
		}
		if c, err := beacon.Parse(packet[:n]); err == nil && c.Run != b.ours.Run {
			b.take(now, c, own)
		}
	}
}

func (b *Beacon) take(now time.Time, c beacon.Beacon, own bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	o := b.others[c.Run]
	if o == nil {
		if len(b.others) >= most {
			return
		}
		o = &other{}
		b.others[c.Run] = o
		b.asked = true
	}
	o.Beacon, o.own, o.seen = c, o.own || own, now
}

// compare marks the outputs that send what another run sends too.
func (b *Beacon) compare(now time.Time, ours []output.Sending) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for run, o := range b.others {
		if now.Sub(o.seen) > over {
			delete(b.others, run)
		}
	}
	for i, s := range b.sinks {
		var stand []string
		for _, o := range b.others {
			if f, both := o.meets(&ours[i]); both && !b.allies.Has(o.CID) {
				s.Mark(f)
				stand = append(stand, f.Who)
			}
		}
		s.Unmark(output.Twin, stand...)
	}
}

// reaches tells whether two outputs may meet in a receiver: those to one address do, and
// one to all who listen meets every other but one to this machine alone.
func reaches(a, b netip.Addr, own bool) bool {
	a, b = a.WithZone(""), b.WithZone("")
	switch {
	case a.IsValid() && b.IsValid():
		return a == b && (own || !a.IsLoopback())
	case a.IsValid():
		return !a.IsLoopback()
	}
	return !b.IsLoopback()
}
