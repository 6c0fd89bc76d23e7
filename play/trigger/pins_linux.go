package trigger

import (
	"errors"
	"fmt"
	"os"

	"golang.org/x/sys/unix"

	"lampblack/play/device"
)

// linuxPins asks a terminal device for its modem lines (tty_ioctl(4), TIOCMGET).
type linuxPins struct {
	file *os.File
	on   []string // used again
}

// pinBits are the modem lines by the names that a line of text has for them.
var pinBits = []struct {
	name string
	bit  int
}{{"carrier", unix.TIOCM_CAR}, {"ring", unix.TIOCM_RI}, {"clear", unix.TIOCM_CTS}, {"ready", unix.TIOCM_DSR}}

// openPins opens a serial device, so that a carrier that drops does not hang it up
// (CLOCAL), and puts voltage on DTR and RTS, from which a contact takes it back to a pin.
func openPins(name string) (pins, error) {
	file, err := device.Open(name, os.O_RDWR|unix.O_NOCTTY)
	if err != nil {
		return nil, err
	}
	p := &linuxPins{file: file}
	err = device.Control(p.file, func(fd int) error {
		t, err := unix.IoctlGetTermios(fd, unix.TCGETS2)
		if err != nil {
			return err
		}
		t.Iflag, t.Oflag, t.Lflag = unix.IGNBRK|unix.IGNPAR, 0, 0
		t.Cflag = t.Cflag&^uint32(unix.CRTSCTS) | unix.CREAD | unix.CLOCAL
		if err := unix.IoctlSetTermios(fd, unix.TCSETS2, t); err != nil {
			return err
		}
		return unix.IoctlSetPointerInt(fd, unix.TIOCMBIS, unix.TIOCM_DTR|unix.TIOCM_RTS)
	})
	if err == nil {
		_, err = p.Read()
	}
	if err != nil {
		file.Close()
		if errors.Is(err, unix.ENOTTY) || errors.Is(err, unix.EINVAL) {
			return nil, fmt.Errorf("open %s: this device has no control pins", name)
		}
		return nil, fmt.Errorf("open %s: %w", name, err)
	}
	return p, nil
}

func (p *linuxPins) Read() (on []string, err error) {
	bits := 0
	err = device.Control(p.file, func(fd int) (err error) {
		bits, err = unix.IoctlGetInt(fd, unix.TIOCMGET)
		return err
	})
	p.on = p.on[:0]
	for _, b := range pinBits {
		if bits&b.bit != 0 {
			p.on = append(p.on, b.name)
		}
	}
	return p.on, err
}

func (p *linuxPins) Close() error { return p.file.Close() }
