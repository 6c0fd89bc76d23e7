package output

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"lampblack/play/line"
	"lampblack/wire/dmx"
)

// device is a sink behind a serial device: a bare line or a widget. It carries
// one universe.
//
// A frame takes as long as the line: 22.7 ms for 512 slots, during which mu is held.
// That is what the mailbox before it is for.
type device struct {
	base
	label    string
	open     func() (port, error)
	transmit func(port, []byte) error // one frame
	still    time.Duration            // time between frames when nothing new comes

	// Guarded by mu.
	port   port
	slots  []byte
	sentAt time.Time
	fresh  int // times that the newest values still have to be sent
}

// What a device is called.
const (
	serialLabel = "serial line"
	widgetLabel = "widget"
)

// newDevice opens the device and begins to keep it alive.
func newDevice(spec line.Out, label string, still time.Duration, open func() (port, error), transmit func(port, []byte) error) (*device, error) {
	d := &device{base: newBase(spec), label: label, open: open, transmit: transmit, still: still}
	var err error
	if d.port, err = open(); err != nil {
		return nil, err
	}
	d.keep(still/2, d.tick)
	return d, nil
}

func (d *device) Name() string {
	return fmt.Sprintf("universe %d by %s %s", d.spec.First(), d.label, d.spec.Place)
}

// Send transmits the universe that the line carries, changed or not: a line has
// no other way to keep units from losing it.
func (d *device) Send(frames []Frame, due time.Time) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.closed {
		return errClosed
	}
	for _, f := range frames {
		if f.Universe != d.spec.First() {
			continue
		}
		slots := f.Slots[:min(len(f.Slots), dmx.MaxSlots)]
		if !bytes.Equal(slots, d.slots) {
			d.slots = append(d.slots[:0], slots...)
			d.fresh = repeats
		}
		now := time.Now()
		return d.outcome(d.put(now), due, now)
	}
	return nil
}

// put sends the newest values. A port that something else has closed, as a USB plug
// that was pulled, is told as gone.
func (d *device) put(now time.Time) error {
	if d.port == nil {
		return fmt.Errorf("%s: %w", d.Name(), d.away)
	}
	if err := d.transmit(d.port, d.slots); err != nil {
		if errors.Is(err, fs.ErrClosed) {
			err = fmt.Errorf("device is gone")
		}
		return fmt.Errorf("%s: %w", d.Name(), err)
	}
	d.sentAt, d.fresh = now, max(0, d.fresh-1)
	d.counters.packets.Add(1)
	return nil
}

// tick repeats the values while nothing new comes: units on the line take the
// light for lost after a second without a packet (ANSI E1.11).
func (d *device) tick(now time.Time) {
	if d.sentAt.IsZero() || now.Sub(d.sentAt) < d.still || d.port == nil {
		return
	}
	d.note(d.put(now))
}

// Reopen opens the device anew.
func (d *device) Reopen() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.closed {
		return errClosed
	}
	if d.port != nil {
		d.port.Close()
		d.port = nil
	}
	opened, err := d.open()
	if err != nil {
		d.away = err
		d.counters.failed(err)
		return err
	}
	d.port, d.fresh, d.trouble = opened, repeats, nil
	return nil
}

// Close sends the last values until they were sent three times. A line has no
// way to say goodbye: units do after it what they are set to.
func (d *device) Close() error {
	if d.halt() {
		return nil
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.port == nil {
		return nil
	}
	var err error
	for d.fresh > 0 && err == nil {
		err = d.put(time.Now())
	}
	return cmp.Or(err, d.port.Close())
}

// lineStill is the time between packets on a bare line when nothing new comes.
const lineStill = 40 * time.Millisecond

// slowBaud makes a break of a zero byte where a device has no break signal:
// the start bit and eight data bits are low for 156 us, its two stop bits are
// a mark of 35 us (ANSI E1.11 wants 92 us and 12 us at least).
const slowBaud = 57600

// bareLine sends packets on a line that this program clocks itself.
type bareLine struct {
	byByte bool // the device has no break signal
	buffer []byte
}

// transmit sends one packet and returns when it is on the line. A packet shorter than
// 24 slots would end before the line's least time from break to break (1204 us, ANSI
// E1.11), so it is filled up with zeros.
func (l *bareLine) transmit(p port, slots []byte) error {
	if err := l.breakLine(p); err != nil {
		return err
	}
	packet := dmx.Packet{Start: dmx.Levels, Slots: slots}
	l.buffer = packet.Append(l.buffer[:0])
	for len(l.buffer) < dmx.WidgetSlots+1 { // long enough for a packet of its own
		l.buffer = append(l.buffer, 0)
	}
	start := time.Now()
	if _, err := p.Write(l.buffer); err != nil {
		return err
	}
	if err := p.Drain(); err != nil {
		return err
	}
	// USB converters say that all has left while their own memory still holds
	// some: the next break must not cut it.
	time.Sleep(time.Duration(len(l.buffer))*dmx.SlotTime - time.Since(start))
	return nil
}

// breakLine sends break and mark after break. The mark lasts as long as the
// next write takes to begin, which is more than the 12 us that it needs.
func (l *bareLine) breakLine(p port) error {
	if !l.byByte {
		err := p.Break(dmx.TypicalBreak)
		if !errors.Is(err, errNoBreak) {
			return err
		}
		l.byByte = true
	}
	if err := p.SetBaud(slowBaud); err != nil {
		return err
	}
	if _, err := p.Write([]byte{0}); err != nil {
		return err
	}
	if err := p.Drain(); err != nil {
		return err
	}
	return p.SetBaud(dmx.Baud)
}

// Widgets repeat the packet on their line by themselves; they are reminded in
// case they were reset.
const (
	widgetStill = keepAlive
	widgetBaud  = 57600 // most have USB behind it and do not care
)

// widget frames each packet for a widget.
type widget struct{ buffer []byte }

func (w *widget) transmit(p port, slots []byte) error {
	w.buffer = dmx.AppendSend(w.buffer[:0], slots)
	_, err := p.Write(w.buffer)
	return err
}
