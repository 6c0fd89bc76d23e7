package chase

import (
	"errors"
	"io"
	"os"
	"sync"
	"time"

	"lampblack/play/clock"
	"lampblack/play/retry"
)

// input reads a device from a goroutine of its own, and looks for the device
// again when it is away. Its methods may be called from any goroutine.
type input struct {
	name string
	open func() (io.ReadCloser, error)
	read func(io.Reader) error
	stop chan struct{}
	done chan struct{}

	mu     sync.Mutex // guards what follows
	device io.ReadCloser
	away   error // why there is no device now
	closed bool
}

// openInput opens a raw MIDI device, as /dev/snd/midiC1D0, or a named pipe, to
// read from; "-" is standard input.
func openInput(device string) (io.ReadCloser, error) { return openDevice(device, os.O_RDONLY) }

// newInput reads what open returns, and opens it anew when that has ended: read
// returns why, io.EOF for the end of the device. A Read that waits must end when
// the device is closed.
func newInput(name string, open func() (io.ReadCloser, error), read func(io.Reader) error) (*input, error) {
	device, err := open()
	if err != nil {
		return nil, err
	}
	in := &input{name: name, open: open, read: read, stop: make(chan struct{}), done: make(chan struct{}), device: device}
	go in.run()
	return in, nil
}

// run reads until Close; between the end of a device and its return it tries
// now and then.
func (in *input) run() {
	defer close(in.done)
	var times retry.Times
	device := in.device
	for {
		if device != nil {
			began := time.Now()
			err := in.read(device)
			device.Close()
			in.lost(err)
			// A device that opens and ends at once is no better than none.
			if now := time.Now(); now.Sub(began) > retry.Last {
				times.Lost(now)
			} else {
				times.Tried(now)
			}
		}
		timer := time.NewTimer(times.Wait(time.Now()))
		select {
		case <-in.stop:
			timer.Stop()
			return
		case <-timer.C:
		}
		if device = in.again(); device == nil {
			times.Tried(time.Now())
		}
	}
}

func (in *input) lost(err error) {
	in.mu.Lock()
	defer in.mu.Unlock()
	in.away = err
}

// again opens the device anew, nil if it is not there or no longer wanted.
func (in *input) again() io.ReadCloser {
	device, err := in.open()
	in.mu.Lock()
	defer in.mu.Unlock()
	if err != nil {
		in.away = err
		return nil
	}
	if in.closed {
		device.Close()
		return nil
	}
	in.device, in.away = device, nil
	return device
}

// tell adds to a clock's reading that its device is away, if it is: what comes
// from there will not come before the device does. The reader is told at once.
func (in *input) tell(r clock.Reading, what string) clock.Reading {
	in.mu.Lock()
	away := in.away
	in.mu.Unlock()
	if away == nil {
		return r
	}
	why := away.Error()
	if errors.Is(away, io.EOF) {
		why = "it has ended"
	}
	if r.State == clock.Runs {
		r.State = clock.Freewheels
	}
	if r.Fault.Text == "" {
		r.Fault.Text = "no " + what
	}
	r.Fault.Text += " (" + why + ")"
	r.Fault.Hint = "see that the cable is in and the other machine on: it is looked for until it is back"
	return r
}

// Close stops reading and returns when that has ended.
func (in *input) Close() error {
	in.mu.Lock()
	before, device := in.closed, in.device
	in.closed = true
	in.mu.Unlock()
	if before {
		return nil
	}
	close(in.stop)
	device.Close() // ends a read that waits
	<-in.done
	return nil
}
