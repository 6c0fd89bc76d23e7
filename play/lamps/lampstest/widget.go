package lampstest

import (
	"errors"
	"time"
)

// Widget is an interface before a wire, in memory.
type Widget struct {
	Wire   *Wire
	Mute   bool // it knows nothing of RDM
	Status byte // what it says of each packet that it received

	in, out []byte
	closed  bool
}

// Write takes whole messages.
func (w *Widget) Write(b []byte) (int, error) {
	if w.closed {
		return 0, errors.New("closed")
	}
	w.in = append(w.in, b...)
	for len(w.in) >= 5 {
		n := int(w.in[2]) | int(w.in[3])<<8
		if w.in[0] != 0x7E || len(w.in) < n+5 {
			break
		}
		w.message(w.in[1], w.in[4:4+n])
		w.in = w.in[n+5:]
	}
	return len(b), nil
}

func (w *Widget) message(label byte, data []byte) {
	if w.Mute || label != 7 && label != 11 {
		return
	}
	said := w.Wire.Answer(data)
	if len(said) == 0 {
		w.out = append(w.out, 0x7E, 12, 0, 0, 0xE7)
		return
	}
	n := len(said) + 1
	w.out = append(w.out, 0x7E, 5, byte(n), byte(n>>8), w.Status)
	w.out = append(append(w.out, said...), 0xE7)
	if label == 11 { // some say so after every search
		w.out = append(w.out, 0x7E, 12, 0, 0, 0xE7)
	}
}

// ReadWithin gives what is there, a few octets at a time; it never waits, as nothing comes
// by itself.
func (w *Widget) ReadWithin(b []byte, _ time.Duration) (int, error) {
	n := copy(b, w.out[:min(len(w.out), 17)])
	w.out = w.out[n:]
	return n, nil
}

// Close ends it.
func (w *Widget) Close() error { w.closed = true; return nil }
