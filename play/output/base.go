package output

import (
	"fmt"
	"lampblack/play/line"
	"sync"
	"time"
)

// base is what all sinks have that keep their receivers' view alive: a keeper, a lock,
// counters, and an end. spec, stop and done do not change after newBase; counters lock
// themselves.
type base struct {
	spec     line.Out
	counters counters
	stop     chan struct{}
	done     chan struct{}

	mu      sync.Mutex // guards what follows, and the sink's own state
	watch   *watch     // nil for what has no network behind it
	trouble error      // of the keeper, for the next Send to return
	away    error      // why the device or network could not be opened again
	closed  bool
}

func newBase(spec line.Out) base {
	return base{spec: spec, stop: make(chan struct{}), done: make(chan struct{})}
}

// keep calls tick every interval, with the lock held, until halt.
func (b *base) keep(interval time.Duration, tick func(now time.Time)) {
	go func() {
		defer close(b.done)
		t := time.NewTicker(interval)
		defer t.Stop()
		for {
			select {
			case <-b.stop:
				return
			case <-t.C:
				b.mu.Lock()
				tick(time.Now())
				b.mu.Unlock()
			}
		}
	}()
}

// halt marks the sink as closed and ends its keeper; it reports whether that was so
// before. It waits for the keeper without holding mu, which a tick may hold.
func (b *base) halt() (before bool) {
	b.mu.Lock()
	before, b.closed = b.closed, true
	b.mu.Unlock()
	if !before {
		close(b.stop)
		<-b.done
		b.watch.close()
	}
	return before
}

// Stats returns the counters.
func (b *base) Stats() Stats { return b.counters.stats() }

// Pace is the least time between two calls of Send.
func (b *base) Pace() time.Duration { return b.spec.Pace() }

// returner is a socket that can tell what the network sends back.
type returner interface{ returns(tell func(error)) }

// look begins to watch the way of the packets, and takes what came back to the socket.
func (b *base) look(w *watch, to socket) {
	b.mu.Lock()
	defer b.mu.Unlock()
	w.health = &b.counters.health
	b.watch = w
	b.hook(to)
	w.run()
}

// hook lets a watch know what the network sends back to a socket. The lock is held.
func (b *base) hook(to socket) {
	if r, ok := to.(returner); ok && b.watch != nil && b.spec.Addr.IsValid() {
		r.returns(b.watch.comesBack)
	}
}

// outcome counts a call of Send that left at now, and returns its error, or what the
// keeper could not do before. The lock is held. An error of the keeper comes out once,
// with the next Send, which is how the mailbox learns that a device went away while
// nothing changed.
func (b *base) outcome(err error, due, now time.Time) error {
	if err == nil {
		err = b.trouble
	}
	b.trouble = nil
	b.counters.frame(due, now, err)
	return err
}

// note keeps an error of the keeper. The lock is held.
func (b *base) note(err error) {
	if err != nil {
		b.counters.failed(err)
		b.trouble = err
	}
}

// farewell calls send for each of n last packets, with time between for the
// receivers, until it reports that there is nothing to say, and returns the
// first error. The lock is held.
func (b *base) farewell(n int, send func(i int) (said bool, err error)) error {
	var first error
	for i := range n {
		said, err := send(i)
		if first == nil {
			first = err
		}
		if said {
			time.Sleep(settle)
		}
	}
	return first
}

// transmit sends datagrams through a socket, or says why there is none, and
// counts those that left. Errors begin with the sink's name, which is asked for
// only then: this is on the way of every frame. The caller holds mu.
func (b *base) transmit(s interface{ Name() string }, to socket, d []*datagram) error {
	if to == nil {
		return fmt.Errorf("%s: %w", s.Name(), b.away)
	}
	if err := to.send(d); err != nil {
		return fmt.Errorf("%s: %w", s.Name(), err)
	}
	b.counters.packets.Add(uint64(len(d)))
	return nil
}
