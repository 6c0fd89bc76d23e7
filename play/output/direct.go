package output

import (
	"sync"
	"sync/atomic"
	"time"

	"lampblack/play/retry"
)

// direct hands frames to a sink at once, on the goroutine of whoever sends: for sinks whose
// Send never waits, as those of a network. What a goroutine between them costs on a busy
// machine is a frame that is late.
type direct struct {
	Sink
	counters counters
	broken   atomic.Bool
	lost     chan struct{} // holds one while the sink is to be opened again
	stop     chan struct{}
	done     sync.WaitGroup
}

// Carry returns the sink as a run has it: its Send never waits and never fails, the newest
// frames win, and a device or network that went away is looked for until it is back.
func Carry(s Sink) Sink {
	if p, ok := s.(pacer); ok && p.Pace() > 0 { // it waits between frames
		return Mailbox(s)
	}
	switch s := s.(type) {
	case *e131, *art:
		return newDirect(s)
	case *awaited:
		if s.networked() {
			return newDirect(s)
		}
	}
	return Mailbox(s)
}

func newDirect(s Sink) *direct {
	d := &direct{Sink: s, lost: make(chan struct{}, 1), stop: make(chan struct{})}
	d.done.Go(d.repair)
	return d
}

// Send sends at once; while the sink is being opened again it counts the frames as lost.
func (d *direct) Send(frames []Frame, due time.Time) error {
	if d.broken.Load() {
		d.counters.dropped.Add(1)
		return nil
	}
	err := d.Sink.Send(frames, due)
	if err == nil {
		d.counters.health.left()
		return nil
	}
	d.failed(err)
	d.broken.Store(true)
	select {
	case d.lost <- struct{}{}:
	default:
	}
	return nil
}

// failed says that frames do not leave, and why.
func (d *direct) failed(err error) {
	d.counters.failed(err)
	d.counters.health.failed(err)
}

// repair opens the sink again when it was lost, until it is back: when it has taken a frame.
func (d *direct) repair() {
	var times retry.Times
	for again := false; ; {
		select {
		case <-d.stop:
			return
		case <-d.lost:
		}
		if !again {
			times.Lost(time.Now())
		}
		for {
			select {
			case <-d.stop:
				return
			case <-time.After(times.Wait(time.Now())):
			}
			before := d.Sink.Stats().Sent
			times.Tried(time.Now())
			if err := d.Sink.(reopener).Reopen(); err != nil {
				d.failed(err)
				continue
			}
			d.broken.Store(false)
			if again = !d.takes(before); !again {
				d.counters.reconnects.Add(1)
			}
			break
		}
	}
}

// takes waits until the sink that was opened again has taken a frame, and tells whether it
// has: one that opens and takes nothing is not back.
func (d *direct) takes(before uint64) bool {
	for range 100 {
		select {
		case <-d.stop:
			return true
		case <-time.After(10 * time.Millisecond):
		}
		if d.broken.Load() {
			return false
		}
		if d.Sink.Stats().Sent > before {
			return true
		}
	}
	return true
}

// Yield lets receivers follow another source.
func (d *direct) Yield() error {
	if y, ok := d.Sink.(yielder); ok {
		return y.Yield()
	}
	return errNoOther
}

// Stats adds what was lost while the sink was away.
func (d *direct) Stats() Stats {
	return d.Sink.Stats().with(d.counters.stats())
}

var _ Told = (*direct)(nil)

// Sending is what the sink sends.
func (d *direct) Sending() (Sending, bool) { return d.Sink.(sender).Sending() }

// Mark adds a fault that others see to those that the output knows.
func (d *direct) Mark(f Fault) { d.counters.health.set(f) }

// Unmark takes such faults back.
func (d *direct) Unmark(c Cause, but ...string) { d.counters.health.clearAll(c, but...) }

// Close ends the search and closes the sink.
func (d *direct) Close() error {
	close(d.stop)
	d.done.Wait()
	return d.Sink.Close()
}
