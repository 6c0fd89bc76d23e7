package chase

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"lampblack/play/clock"
	"lampblack/play/device"
)

// input reads a device from a goroutine of its own, and looks for the device
// again when it is away. Its methods may be called from any goroutine.
type input struct {
	*device.Kept
	name string
}

// openInput opens a raw MIDI device, as /dev/snd/midiC1D0, or a named pipe, to
// read from; "-" is standard input.
func openInput(name string) (io.ReadCloser, error) { return openMIDI(name, os.O_RDONLY) }

// openMIDI says where ports are when there is none of that name.
func openMIDI(name string, mode int) (*os.File, error) {
	f, err := device.Open(name, mode)
	if errors.Is(err, fs.ErrNotExist) {
		err = fmt.Errorf("%w: raw MIDI ports are /dev/snd/midiC*D* on Linux", err)
	}
	return f, err
}

// newInput reads what open returns, and opens it anew when that has ended: read
// returns why, io.EOF for the end of the device. A Read that waits must end when
// the device is closed.
func newInput(name string, open func() (io.ReadCloser, error), read func(io.Reader) error) (*input, error) {
	k, err := device.Keep(open, func(d io.ReadCloser) error { return read(d) })
	if err != nil {
		_ = k.Close() // a clock that is not there at first is a mistake, not a loss
		return nil, err
	}
	return &input{k, name}, nil
}

// tell adds to a clock's reading that its device is away, if it is: what comes
// from there will not come before the device does. The reader is told at once.
func (in *input) tell(r clock.Reading, what string) clock.Reading {
	away := in.Away()
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
	const cable = "see that the cable is in and the other machine on: it is looked for until it is back"
	if r.State == clock.Lost && r.Fault.Hint != "" { // go may go on
		r.Fault.Hint += "; " + cable
		return r
	}
	r.Fault.Hint = cable
	return r
}
