package output

import (
	"errors"
	"fmt"
	"io/fs"
	"time"
)

// port is a serial device with 8 data bits, no parity and 2 stop bits. Each
// operating system has its openPort.
type port interface {
	// Write writes all of b or returns an error, within writeTimeout.
	Write(b []byte) (int, error)
	// Drain waits until what was written has left.
	Drain() error
	// Break pulls the line low for at least d.
	Break(d time.Duration) error
	// SetBaud changes the speed.
	SetBaud(baud int) error
	Close() error
}

// writeTimeout is how long a device may take for one frame: ten times what a
// full universe needs on the line.
const writeTimeout = 230 * time.Millisecond

// errNoBreak is what Break returns on devices that have no such signal.
var errNoBreak = errors.New("device has no break signal")

// explain adds what a person can do about it.
func explain(device string, err error) error {
	if path := (*fs.PathError)(nil); errors.As(err, &path) {
		err = path.Err
	}
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("open %s: %w: no such device now: is it plugged in? %s", device, err, whereDevices)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("open %s: %w: %s", device, err, howPermission)
	}
	return fmt.Errorf("open %s: %w", device, err)
}
