package trigger_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"

	"lampblack/play/trigger"
	"lampblack/play/trigger/triggertest"
	"lampblack/wire/midi"
)

// A pseudo-terminal is a serial device without control pins: that is told in words, and
// so is a device that is not there or no serial one. (No pseudo-terminal plays the pins;
// an adapter was not at hand.)
func TestPinsOfTerminals(t *testing.T) {
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("outside check left out: needs pseudo-terminals (%v)", err)
	}
	defer master.Close()
	if err := unix.IoctlSetPointerInt(int(master.Fd()), unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	number, err := unix.IoctlGetInt(int(master.Fd()), unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	for device, words := range map[string]string{
		fmt.Sprintf("/dev/pts/%d", number): "this device has no control pins",
		"/dev/null":                        "this device has no control pins",
		"/dev/nothere":                     "no such device now",
		t.TempDir():                        "",
	} {
		s := openOne(t, "pins "+device+" carrier", trigger.Options{})
		if st := s.Status()[0]; !strings.Contains(st.Fault, words) || st.Fault == "" || st.Hint == "" {
			t.Errorf("%s: %+v", device, st)
		}
		s.Close()
	}
}

// Real named pipes, for MIDI as for words.
func TestPipes(t *testing.T) {
	for _, text := range []string{"notes %s note 60 channel 2", "pipe %s"} {
		t.Run(text, func(t *testing.T) {
			triggertest.Check(t, func(t *testing.T, o trigger.Options) triggertest.Machine {
				path := filepath.Join(t.TempDir(), "a pipe")
				if err := syscall.Mkfifo(path, 0o600); err != nil {
					t.Skipf("outside check left out: needs named pipes (%v)", err)
				}
				s := openOne(t, fmt.Sprintf(text, `"`+path+`"`), o)
				w, err := os.OpenFile(path, os.O_WRONLY, 0)
				if err != nil {
					t.Fatal(err)
				}
				send := func(b []byte) {
					if _, err := w.Write(b); err != nil {
						t.Error(err)
					}
				}
				m := bytesMachine(send, []byte("closed\n"), []byte("open\n"))
				if strings.HasPrefix(text, "notes") {
					m = bytesMachine(send, midi.NoteOn(1, 60, 100), midi.NoteOff(1, 60))
				}
				m.Set, m.End = s, func() { w.Close() }
				return m
			})
		})
	}
}
