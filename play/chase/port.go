package chase

import (
	"bytes"
	"container/heap"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"sync"
	"time"

	"lampblack/play/retry"
)

// Limits of a Port.
const (
	// stale is how late a message may still go out: after a device was away, an
	// old note must not start an old scene.
	stale = time.Second
	// queueSize is how many messages may wait.
	queueSize = 4096
	// lateAfter is how far past due a message leaves before it counts as late.
	lateAfter = 5 * time.Millisecond
	// writeTimeout is how long a device may take for one message: ten times
	// what a MIDI cable needs for the longest (128 bytes of 320 us).
	writeTimeout = 400 * time.Millisecond
)

// Stats counts what became of messages.
type Stats struct {
	Sent       uint64
	Dropped    uint64 // too late, or too many
	Late       uint64 // left more than 5 ms past due
	Reconnects uint64
	LastError  string
}

// Port sends messages to a raw MIDI port at their times, from a goroutine of
// its own. Its methods may be called from any goroutine.
type Port struct {
	name string
	open func() (io.WriteCloser, error)
	wake chan struct{}
	stop chan struct{}
	done chan struct{}

	mu     sync.Mutex // guards what follows
	queue  messageQueue
	number uint64
	stats  Stats
	fault  error // why nothing leaves
	since  time.Time
	closed bool

	// Owned by the goroutine.
	device io.WriteCloser
	retry  retry.Times
}

// message is one that waits; number keeps those of one time in order, and
// sender is who may take it back.
type message struct {
	due    time.Time
	number uint64
	sender any
	bytes  []byte
}

type messageQueue []message

func (q messageQueue) Len() int      { return len(q) }
func (q messageQueue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *messageQueue) Push(x any)   { *q = append(*q, x.(message)) }
func (q messageQueue) Less(i, j int) bool {
	if !q[i].due.Equal(q[j].due) {
		return q[i].due.Before(q[j].due)
	}
	return q[i].number < q[j].number
}

func (q *messageQueue) Pop() any {
	last := (*q)[len(*q)-1]
	(*q)[len(*q)-1] = message{}
	*q = (*q)[:len(*q)-1]
	return last
}

// OpenPort opens a raw MIDI device, as /dev/snd/midiC1D0, or a named pipe that
// somebody reads.
func OpenPort(name string) (*Port, error) {
	return newPort("MIDI to "+name, func() (io.WriteCloser, error) { return openMIDI(name, os.O_WRONLY) })
}

func newPort(name string, open func() (io.WriteCloser, error)) (*Port, error) {
	p := &Port{name: name, open: open, wake: make(chan struct{}, 1), stop: make(chan struct{}), done: make(chan struct{})}
	var err error
	if p.device, err = open(); err != nil {
		return nil, err
	}
	go p.run()
	return p, nil
}

// Name says where the messages go.
func (p *Port) Name() string { return p.name }

// Stats returns the counts so far.
func (p *Port) Stats() Stats {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.stats
}

// Fault says why nothing leaves, and since when; nil while the newest message has left.
func (p *Port) Fault() (since time.Time, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.since, p.fault
}

// Send hands over a message that is to leave at due, or at once if that has
// passed. It does not wait and does not keep the bytes.
func (p *Port) Send(due time.Time, b []byte) { p.send(nil, due, b) }

func (p *Port) send(sender any, due time.Time, b []byte) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed || len(p.queue) >= queueSize {
		p.stats.Dropped++
		return
	}
	p.number++
	heap.Push(&p.queue, message{due: due, number: p.number, sender: sender, bytes: bytes.Clone(b)})
	p.poke()
}

// takeBack removes what a sender handed over and has not left yet.
func (p *Port) takeBack(sender any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.queue = slices.DeleteFunc(p.queue, func(m message) bool { return m.sender == sender })
	heap.Init(&p.queue)
}

func (p *Port) poke() {
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

// next returns the first message if its time has come, or how long until then.
func (p *Port) next(now time.Time) (m message, ok bool, wait time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.queue) == 0 {
		return message{}, false, time.Hour
	}
	if wait = p.queue[0].due.Sub(now); wait > 0 {
		return message{}, false, wait
	}
	return heap.Pop(&p.queue).(message), true, 0
}

func (p *Port) run() {
	defer close(p.done)
	timer := time.NewTimer(time.Hour)
	defer timer.Stop()
	for {
		m, ok, wait := p.next(time.Now())
		if ok {
			p.put(m)
			continue
		}
		timer.Reset(wait)
		select {
		case <-timer.C:
		case <-p.wake:
		case <-p.stop:
			return
		}
	}
}

// put writes a message, or drops it when it is too old or there is no device.
func (p *Port) put(m message) {
	late := time.Since(m.due)
	err := errStale
	if late <= stale {
		err = p.write(m.bytes)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	switch {
	case err == nil:
		p.fault = nil
		p.stats.Sent++
		if late > lateAfter {
			p.stats.Late++
		}
	default:
		p.stats.Dropped++
		if !errors.Is(err, errStale) && !errors.Is(err, errAway) {
			p.stats.LastError = err.Error()
			if p.fault == nil {
				p.since = time.Now()
			}
			p.fault = err
		}
	}
}

var (
	errStale = errors.New("message is too old")
	errAway  = errors.New("device is away")
)

func (p *Port) write(b []byte) error {
	if err := p.connect(); err != nil {
		return err
	}
	if d, ok := p.device.(interface{ SetWriteDeadline(time.Time) error }); ok {
		d.SetWriteDeadline(time.Now().Add(writeTimeout)) // plain pipes of tests have none
	}
	if _, err := p.device.Write(b); err != nil {
		p.device.Close()
		p.device = nil
		p.retry.Lost(time.Now())
		return fmt.Errorf("%s: %w", p.name, err)
	}
	return nil
}

// connect opens a device that was lost, not more often than retry says.
func (p *Port) connect() error {
	if p.device != nil {
		return nil
	}
	now := time.Now()
	if p.retry.Wait(now) > 0 {
		return errAway
	}
	d, err := p.open()
	if err != nil {
		p.retry.Tried(now)
		return err
	}
	p.device = d
	p.mu.Lock()
	defer p.mu.Unlock()
	p.stats.Reconnects++
	return nil
}

// Close sends what is due by now, drops the rest, and closes the device.
func (p *Port) Close() error {
	p.mu.Lock()
	before := p.closed
	p.closed = true
	p.mu.Unlock()
	if before {
		return nil
	}
	close(p.stop)
	<-p.done
	for m, ok, _ := p.next(time.Now()); ok; m, ok, _ = p.next(time.Now()) {
		p.put(m)
	}
	p.mu.Lock()
	p.stats.Dropped += uint64(len(p.queue))
	p.queue = nil
	p.mu.Unlock()
	if p.device == nil {
		return nil
	}
	return p.device.Close()
}
