package output

import (
	"sync"
	"time"

	"lampblack/play/retry"
)

// reopener is a sink whose device or network can go away and come back.
type reopener interface {
	// Reopen closes what is left and opens anew; streams go on as they were.
	Reopen() error
}

// pacer is a sink with a rate of its own.
type pacer interface {
	// Pace is the least time between two calls of Send, 0 for none.
	Pace() time.Duration
}

// mailbox stands between the clock and a sink: one letter, the newest. Two letters
// change places, one that is being filled and one that is being read, so a frame costs
// no allocation.
type mailbox struct {
	sink     Sink
	counters counters
	wake     chan struct{}
	stop     chan struct{}
	done     chan struct{}

	mu     sync.Mutex // guards what follows
	letter letter
	full   bool
	closed bool

	// Owned by the carrier.
	reading letter
	broken  bool
	retry   retry.Times
	next    time.Time // when the sink's own rate allows the next frame
	slow    slowness
}

// letter is a copy of what Send was given; its memory is used again.
type letter struct {
	frames []Frame
	due    time.Time
	posted time.Time
}

// write copies frames into the letter.
func (l *letter) write(frames []Frame, due time.Time) {
	old := l.frames[:cap(l.frames)]
	l.frames = old[:0]
	for i, f := range frames {
		var slots []byte
		if i < len(old) {
			slots = old[i].Slots[:0]
		}
		l.frames = append(l.frames, Frame{Universe: f.Universe, Slots: append(slots, f.Slots...)})
	}
	l.due = due
}

// Mailbox returns a sink that hands frames to s from a goroutine of its own:
// Send never waits and never fails, the newest frames win, and a device or
// network that went away is looked for until it is back. Close hands over the
// newest frames before it closes s.
func Mailbox(s Sink) Sink {
	m := &mailbox{sink: s, wake: make(chan struct{}, 1), stop: make(chan struct{}), done: make(chan struct{})}
	go m.carry()
	return m
}

func (m *mailbox) Name() string { return m.sink.Name() }

// Stats adds what the mailbox dropped and found again to what the sink counted.
func (m *mailbox) Stats() Stats {
	return m.sink.Stats().with(m.counters.stats())
}

// Send puts the frames into the box, in place of what still lies there.
func (m *mailbox) Send(frames []Frame, due time.Time) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.closed {
		return errClosed
	}
	if m.full {
		m.counters.dropped.Add(1)
		m.slow.overtaken.Add(1)
	}
	m.letter.write(frames, due)
	m.letter.posted = time.Now()
	m.full = true
	select {
	case m.wake <- struct{}{}:
	default:
	}
	return nil
}

// take returns whether there is a letter, and moves it to reading.
func (m *mailbox) take() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	if !m.full {
		return false
	}
	m.letter, m.reading = m.reading, m.letter
	m.full = false
	return true
}

// carry takes letters to the sink until Close. It is the only one who touches the sink,
// which need not be safe for more than one, apart from Stats.
func (m *mailbox) carry() {
	defer close(m.done)
	for {
		select {
		case <-m.stop:
			if m.take() {
				m.deliver()
			}
			return
		case <-m.wake:
		case <-m.retryTimer():
			m.repair()
			continue
		}
		if m.broken {
			continue // the letter waits, and a newer one may replace it
		}
		m.wait()
		if m.take() {
			m.deliver()
		}
	}
}

// retryTimer fires when the next attempt is due, if anything is broken.
func (m *mailbox) retryTimer() <-chan time.Time {
	if !m.broken {
		return nil
	}
	return time.After(m.retry.Wait(time.Now()))
}

// wait holds until the sink's own rate allows a frame. The schedule goes on
// from where it was, so that frames that come at this very rate all pass.
func (m *mailbox) wait() {
	p, ok := m.sink.(pacer)
	if !ok || p.Pace() == 0 {
		return
	}
	now := time.Now()
	if ahead := m.next.Sub(now); ahead > 0 {
		select {
		case <-time.After(ahead):
		case <-m.stop:
		}
	}
	m.next = m.next.Add(p.Pace())
	if m.next.Before(now) {
		m.next = now.Add(p.Pace())
	}
}

// deliver gives the sink the letter that was taken, and notes when that fails. A sink
// that cannot be opened again is not broken, only failing: the next frame may go.
func (m *mailbox) deliver() {
	err := m.sink.Send(m.reading.frames, m.reading.due)
	if err == nil {
		m.counters.health.left()
		m.punctual()
		return
	}
	m.failed(err)
	m.retry.Lost(time.Now())
	_, m.broken = m.sink.(reopener)
}

// failed says that the newest frames did not leave, and why.
func (m *mailbox) failed(err error) {
	m.counters.failed(err)
	m.counters.health.failed(err)
	m.slow.recent.Forget() // what is overtaken meanwhile is no slowness
}

// repair tries to open the sink again, and gives it the newest frames at once. A device
// that opens and takes nothing would otherwise be found and lost many times a second.
func (m *mailbox) repair() {
	now := time.Now()
	err := m.sink.(reopener).Reopen()
	if err != nil {
		m.failed(err)
		m.retry.Tried(now)
		return
	}
	m.broken = false
	if !m.take() && len(m.reading.frames) == 0 {
		return
	}
	// It is open; only when it takes frames is it back.
	if err := m.sink.Send(m.reading.frames, m.reading.due); err != nil {
		m.broken = true
		m.retry.Tried(now)
		m.failed(err)
		return
	}
	m.counters.health.left()
	m.counters.reconnects.Add(1)
}

// Close delivers what lies in the box and closes the sink.
func (m *mailbox) Close() error {
	m.mu.Lock()
	before := m.closed
	m.closed = true
	m.mu.Unlock()
	if before {
		return nil
	}
	close(m.stop)
	<-m.done
	return m.sink.Close()
}
