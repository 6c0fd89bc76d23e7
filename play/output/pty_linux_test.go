package output_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// terminal is a pseudo-terminal: device is the name that a sink opens, and
// what it writes there is kept.
type terminal struct {
	device string
	master *os.File
	slave  *os.File

	mu    sync.Mutex
	bytes []byte
	came  chan struct{} // something new is there
	done  chan struct{}
}

func openTerminal(t testing.TB) *terminal {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		t.Skipf("outside check left out: needs pseudo-terminals (%v)", err)
	}
	p := &terminal{master: master, came: make(chan struct{}, 1), done: make(chan struct{})}
	var number int
	p.control(t, func(fd int) (err error) {
		if err = unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err == nil {
			number, err = unix.IoctlGetInt(fd, unix.TIOCGPTN)
		}
		return err
	})
	p.device = fmt.Sprintf("/dev/pts/%d", number)
	// Held open, so that the master does not fail while no sink has it.
	if p.slave, err = os.OpenFile(p.device, os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0); err != nil {
		t.Fatal(err)
	}
	go p.read()
	t.Cleanup(p.unplug)
	return p
}

func (p *terminal) control(t testing.TB, f func(fd int) error) {
	t.Helper()
	raw, err := p.master.SyscallConn()
	if err != nil {
		t.Fatal(err)
	}
	var failed error
	if err := raw.Control(func(fd uintptr) { failed = f(int(fd)) }); err != nil || failed != nil {
		t.Fatal(err, failed)
	}
}

// read keeps what comes until the master is closed.
func (p *terminal) read() {
	defer close(p.done)
	b := make([]byte, 4096)
	for {
		n, err := p.master.Read(b)
		if err != nil {
			return
		}
		p.mu.Lock()
		p.bytes = append(p.bytes, b[:n]...)
		p.mu.Unlock()
		select {
		case p.came <- struct{}{}:
		default:
		}
	}
}

func (p *terminal) baud() int {
	raw, err := p.master.SyscallConn()
	if err != nil {
		return 0
	}
	speed := 0
	raw.Control(func(fd uintptr) {
		if t, err := unix.IoctlGetTermios(int(fd), unix.TCGETS2); err == nil {
			speed = int(t.Ospeed)
		}
	})
	return speed
}

func (p *terminal) unplug() {
	p.master.Close()
	p.slave.Close()
	<-p.done
}

// rest returns all that came, once something has and then nothing for a while.
func (p *terminal) rest(t testing.TB) []byte {
	t.Helper()
	p.wait(t, "anything", func(b []byte) bool { return len(b) > 0 })
	for {
		select {
		case <-p.came:
		case <-time.After(100 * time.Millisecond):
			return p.peek()
		}
	}
}

// peek returns all that came.
func (p *terminal) peek() []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	return bytes.Clone(p.bytes)
}

// forget drops what came so far.
func (p *terminal) forget() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.bytes = nil
}

// wait holds until the condition is met by what came so far.
func (p *terminal) wait(t testing.TB, what string, met func(b []byte) bool) []byte {
	t.Helper()
	deadline := time.After(10 * time.Second)
	for {
		b := p.peek()
		if met(b) {
			return b
		}
		select {
		case <-p.came:
		case <-deadline:
			t.Fatalf("%s: only %d octets came", what, len(b))
		}
	}
}

// link is a name for a device that can be plugged elsewhere.
func link(t testing.TB, device string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "usb")
	if err := os.Symlink(device, name); err != nil {
		t.Fatal(err)
	}
	return name
}
