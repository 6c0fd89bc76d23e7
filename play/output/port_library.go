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
	written chan written
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
	return &libraryPort{Port: p, written: make(chan written, 1)}, nil
}

func (p *libraryPort) SetBaud(baud int) error { return p.SetMode(mode(baud)) }

// Write gives up on a device that takes nothing; closing the port ends the
// write that was left behind.
func (p *libraryPort) Write(b []byte) (int, error) {
	go func() {
		n, err := p.Port.Write(b)
		p.written <- written{n, err}
	}()
	timer := time.NewTimer(writeTimeout)
	defer timer.Stop()
	select {
	case w := <-p.written:
		return w.n, w.err
	case <-timer.C:
		p.Port.Close()
		return 0, fmt.Errorf("device took no data for %v", writeTimeout)
	}
}
