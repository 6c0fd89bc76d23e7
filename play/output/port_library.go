//go:build darwin || windows

package output

import (
	"errors"
	"fmt"
	"io/fs"
	"time"

	"go.bug.st/serial"
)

// libraryPort drives a device by the serial library.
type libraryPort struct {
	serial.Port
	left chan written // of a write that was given up, nil for none
}

type written struct {
	n   int
	err error
}

func mode(baud int) *serial.Mode {
	return &serial.Mode{BaudRate: baud, DataBits: 8, Parity: serial.NoParity, StopBits: serial.TwoStopBits}
}

func openPort(device string, baud int) (port, error) {
	p, err := serial.Open(device, mode(baud))
	var coded *serial.PortError
	if errors.As(err, &coded) {
		switch coded.Code() {
		case serial.PortNotFound:
			err = fs.ErrNotExist
		case serial.PermissionDenied:
			err = fs.ErrPermission
		case serial.InvalidSerialPort:
			err = fmt.Errorf("it is no serial device")
		}
	}
	if err != nil {
		return nil, explain(device, err)
	}
	return &libraryPort{Port: p}, nil
}

func (p *libraryPort) SetBaud(baud int) error { return p.SetMode(mode(baud)) }

// Write gives up on a device that takes nothing, and closes it. The library has no
// timeout for writes, so the write is left behind in a goroutine that ends when the
// device lets go; Close waits for it.
func (p *libraryPort) Write(b []byte) (int, error) {
	done := make(chan written, 1)
	go func() {
		n, err := p.Port.Write(b)
		done <- written{n, err}
	}()
	timer := time.NewTimer(writeTimeout)
	defer timer.Stop()
	select {
	case w := <-done:
		return w.n, w.err
	case <-timer.C:
		p.left = done
		p.Close()
		return 0, fmt.Errorf("device took no data for %v", writeTimeout)
	}
}

// Close lets the device go, and waits for a write that was left behind. A driver
// that does not let go of it even then must not keep a show from ending.
func (p *libraryPort) Close() error {
	err := p.Port.Close()
	if p.left != nil {
		select {
		case <-p.left:
		case <-time.After(writeTimeout):
		}
		p.left = nil
	}
	return err
}

// ReadWithin waits for octets by the library's timeout.
func (p *libraryPort) ReadWithin(b []byte, most time.Duration) (int, error) {
	if err := p.SetReadTimeout(max(most, time.Millisecond)); err != nil {
		return 0, err
	}
	return p.Port.Read(b)
}
