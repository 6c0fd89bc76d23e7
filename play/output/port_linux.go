package output

import (
	"errors"
	"fmt"
	"os"
	"time"

	"golang.org/x/sys/unix"

	opened "lampblack/play/device" // device is a name here already
)

const (
	whereDevices  = "serial devices are /dev/ttyUSB*, /dev/ttyACM* and, by lasting names, /dev/serial/by-id/*"
	howPermission = "this user may not write to it: the group that owns it, often dialout, must hold the user"
)

// linuxPort drives a terminal device by termios2, which takes any speed; the
// file's deadlines keep a stuck device from holding a sink.
type linuxPort struct{ file *os.File }

func openPort(device string, baud int) (port, error) {
	file, err := os.OpenFile(device, os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		return nil, explain(device, err)
	}
	p := &linuxPort{file: file}
	if err := p.SetBaud(baud); err != nil {
		file.Close()
		if errors.Is(err, unix.ENOTTY) {
			err = fmt.Errorf("it is no serial device")
		}
		return nil, explain(device, err)
	}
	// Two programs on one line would cut each other's packets: refuse others.
	if err := opened.Control(p.file, func(fd int) error { return unix.IoctlSetInt(fd, unix.TIOCEXCL, 0) }); err != nil {
		file.Close()
		return nil, explain(device, err)
	}
	return p, nil
}

// SetBaud sets 8 data bits, no parity, 2 stop bits, no flow control, no translation of
// any byte. DMX512's 250 000 is none of the speeds that POSIX knows, so the speed is
// given as a number (BOTHER).
func (p *linuxPort) SetBaud(baud int) error {
	return opened.Control(p.file, func(fd int) error {
		t, err := unix.IoctlGetTermios(fd, unix.TCGETS2)
		if err != nil {
			return err
		}
		t.Iflag, t.Oflag, t.Lflag = unix.IGNBRK|unix.IGNPAR, 0, 0
		t.Cflag = unix.BOTHER | unix.CS8 | unix.CSTOPB | unix.CREAD | unix.CLOCAL
		t.Ispeed, t.Ospeed = uint32(baud), uint32(baud)
		t.Cc[unix.VMIN], t.Cc[unix.VTIME] = 1, 0
		return unix.IoctlSetTermios(fd, unix.TCSETS2, t)
	})
}

func (p *linuxPort) Write(b []byte) (int, error) {
	if err := p.file.SetWriteDeadline(time.Now().Add(writeTimeout)); err != nil {
		return 0, err
	}
	return p.file.Write(b)
}

// Drain asks with TCSBRK; with 1 that is tcdrain: no break is sent.
func (p *linuxPort) Drain() error {
	return opened.Control(p.file, func(fd int) error { return unix.IoctlSetInt(fd, unix.TCSBRK, 1) })
}

func (p *linuxPort) Break(d time.Duration) error {
	err := opened.Control(p.file, func(fd int) error { return unix.IoctlSetInt(fd, unix.TIOCSBRK, 0) })
	if errors.Is(err, unix.ENOTTY) || errors.Is(err, unix.EINVAL) {
		return errNoBreak
	}
	if err != nil {
		return err
	}
	time.Sleep(d)
	return opened.Control(p.file, func(fd int) error { return unix.IoctlSetInt(fd, unix.TIOCCBRK, 0) })
}

func (p *linuxPort) Close() error { return p.file.Close() }

// ReadWithin waits for octets by the file's deadline; one that is over at once still takes
// what is there.
func (p *linuxPort) ReadWithin(b []byte, most time.Duration) (int, error) {
	if err := p.file.SetReadDeadline(time.Now().Add(max(most, time.Millisecond))); err != nil {
		return 0, err
	}
	n, err := p.file.Read(b)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return 0, nil
	}
	return n, err
}
