package output

import (
	"fmt"
	"net/netip"
	"slices"
	"strings"
	"sync/atomic"
	"time"
)

// Times of a watch. A fault of the link is to be told within a second, and a receiver that
// stops answering within five: it may have answered up to a second before it stopped, and
// a node has 3 s to answer a poll (artnet.ReplyWithin).
const (
	watchEvery  = 500 * time.Millisecond
	askEvery    = time.Second
	silentAfter = 4200 * time.Millisecond
)

// watch looks after the way that packets take, and asks a receiver whether it is there,
// beside the frames: a datagram that leaves into a cable which was pulled is no error. It
// has one goroutine, ended by close; what comes back to the socket is told by returned.
type watch struct {
	health    *health
	ways      ways
	name      string              // of the interface, where the output names one
	targets   func() []netip.Addr // where packets go now
	questions []*question         // that a receiver is asked; none where there is no one receiver
	receiver  string              // whom they ask
	unanswers Fault               // what it is when none was ever answered

	begun time.Time
	asked time.Time
	down  time.Time             // when there was no link last
	since int                   // how often it was asked since the newest answer
	known time.Time             // that answer
	first map[netip.Addr]string // the interface that packets to an address left by at first
	came  atomic.Pointer[returned]
	left  atomic.Pointer[[]string] // the interfaces that packets leave by now
	stop  chan struct{}
	done  chan struct{}
}

// returned is an error that a network sent back to an earlier packet.
type returned struct {
	err error
	at  time.Time
}

// ways tells which interfaces packets leave by and how those are.
type ways interface {
	// to is the name of the interface that packets to an address leave by.
	to(a netip.Addr) (string, error)
	// link is what is wrong with an interface, "" for nothing that is known.
	link(name string) string
}

// run begins to watch; the fields are set before.
func (w *watch) run() {
	w.begun, w.first = time.Now(), map[netip.Addr]string{}
	w.stop, w.done = make(chan struct{}), make(chan struct{})
	go func() {
		defer close(w.done)
		t := time.NewTicker(watchEvery)
		defer t.Stop()
		for w.look(w.begun); ; {
			select {
			case <-w.stop:
				return
			case now := <-t.C:
				w.look(now)
			}
		}
	}()
}

// close ends the watch; one that never ran, too.
func (w *watch) close() {
	if w == nil || w.stop == nil {
		return
	}
	close(w.stop)
	<-w.done
	for _, q := range w.questions {
		q.end()
	}
}

// comesBack takes an error that the network sent back. It is on the way of frames, and only
// keeps it.
func (w *watch) comesBack(err error) { w.came.Store(&returned{err, time.Now()}) }

func (w *watch) look(now time.Time) {
	if w.links() { // who cannot be reached is not asked to answer
		w.down = now
		w.health.clear(Silent, w.receiver)
	}
	w.answers(now)
	w.returns(now)
}

// links looks at the interfaces that packets take, and tells whether one has no link.
func (w *watch) links() (down bool) {
	var bad []string
	tell := func(name string) bool {
		wrong := w.ways.link(name)
		if wrong == "" {
			return false
		}
		bad = append(bad, name)
		w.health.set(Fault{Cause: NoLink, Degree: Wholly, Who: name, Text: wrong,
			Hint: "put the network cable in at both ends and see that the switch has power, or join the radio network again; it goes on by itself"})
		return true
	}
	if w.name != "" {
		tell(w.name)
	} else {
		w.routes(tell)
	}
	w.health.clearAll(NoLink, bad...)
	return len(bad) > 0
}

// mostWays bounds how many receivers' ways are looked at: nodes of one network share one.
const mostWays = 8

// routes looks at the ways to all receivers, where the system chooses them. The interface
// that a packet took at first counts: a system may send it another way, where no lamps are,
// when the cable is pulled.
func (w *watch) routes(tell func(name string) bool) {
	var moved, lost, by []string
	seen := map[string]bool{}
	for _, a := range w.targets() {
		now, err := w.ways.to(a)
		if err == nil && !slices.Contains(by, now) {
			by = append(by, now)
		}
		before, known := w.first[a]
		if !known && err == nil && len(w.first) < mostWays {
			w.first[a], before = now, now
		}
		switch {
		case before == "" && err != nil:
			lost = append(lost, a.String())
			w.health.set(Fault{Cause: NoWay, Degree: Wholly, Who: a.String(), Text: fmt.Sprintf("this computer has no way to %v", a),
				Hint: reasonOf(NoWay)})
		case before == "" || seen[before]:
		case tell(before):
			seen[before] = true
		case err == nil && now != before:
			moved = append(moved, a.String())
			w.health.set(Fault{Cause: Elsewhere, Degree: Partly, Who: a.String(), Text: fmt.Sprintf("packets to %v leave by %s now, and left by %s before", a, now, before),
				Hint: fmt.Sprintf("if the lamps are behind %s, say so in the output: interface %s", before, before)})
		default:
			seen[before] = true
		}
	}
	w.left.Store(&by)
	w.health.clearAll(Elsewhere, moved...)
	w.health.drop(func(f Fault) bool {
		return f.Cause == NoWay && f.Who != sending && f.Who != w.returner() && !slices.Contains(lost, f.Who)
	})
}

// leastAsked is how often a receiver was asked in vain before it counts as silent: a program
// that was stopped itself has only not asked.
const leastAsked = 3

// answers asks the receiver, and tells whether it answers.
func (w *watch) answers(now time.Time) {
	if len(w.questions) == 0 {
		return
	}
	for _, q := range w.questions {
		if at := q.heard.Load(); at != nil && at.After(w.known) {
			w.known, w.since = *at, 0
		}
	}
	if now.Sub(w.asked) >= askEvery {
		w.asked = now
		w.since++
		for _, q := range w.questions {
			_ = q.ask() // what it comes to is that no answer comes
		}
	}
	switch {
	case w.known.IsZero() && w.came.Load() != nil: // that says more
	case w.known.IsZero() && now.Sub(w.begun) > silentAfter:
		w.health.set(w.unanswers)
	case w.known.IsZero():
	case now.Sub(w.known) > silentAfter && now.Sub(w.down) > silentAfter && w.since > leastAsked:
		w.health.clear(w.unanswers.Cause, w.receiver)
		w.health.set(Fault{Cause: Silent, Degree: Wholly, Who: w.receiver, Text: w.receiver + " answered until " + w.known.Format("15:04:05") + ", and does so no more",
			Hint: "is it powered, and is its cable in? frames go on to it, and its lamps are back as soon as it is"})
	case now.Sub(w.known) <= silentAfter:
		w.health.clear(Silent, w.receiver)
		w.health.clear(w.unanswers.Cause, w.receiver)
	}
}

// returns tells of what the network sent back, until that is old: a host says once a second
// that nobody listens, and a system tries for 3 s to find one that is not there
// (arp(7), icmp(7) of the Linux manual pages).
func (w *watch) returns(now time.Time) {
	back := w.returner()
	r := w.came.Load()
	if r == nil {
		return
	}
	if now.Sub(r.at) > silentAfter || now.Sub(w.down) < 3*watchEvery { // old, or of the cable
		w.came.CompareAndSwap(r, nil)
		w.health.drop(func(f Fault) bool { return f.Who == back })
		return
	}
	f := faultOf(r.err)
	f.Who = back
	f.Text = "nothing answers at " + w.receiver
	if f.Cause == Refused {
		f.Text = w.receiver + " is there, and nothing in it listens to this"
	}
	w.health.drop(func(o Fault) bool { return o.Who == back && o.Cause != f.Cause })
	w.health.set(f)
}

// returner is who a fault is of that the network sent back: returns alone takes it away.
func (w *watch) returner() string { return "returned by " + w.receiver }

// notAnswered is what is said aside of a receiver that can or will not be asked.
func notAnswered(receiver string) Fault {
	return Fault{Cause: Unknowable, Degree: Aside, Who: receiver, Text: "whether " + receiver + " receives anything cannot be known",
		Hint: "the lamps tell: look at them before doors"}
}

// notReceived is what is said aside of multicast.
func notReceived(name string) Fault {
	return Fault{Cause: Unknowable, Degree: Aside, Who: name, Text: "whether anybody receives multicast cannot be known",
		Hint: "the lamps tell: look at them before doors"}
}

// noLink puts into words why nothing leaves by an interface.
func noLink(name, why string) string { return strings.TrimSpace("no network on " + name + ": " + why) }
