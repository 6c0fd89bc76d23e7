package trigger

import (
	"io"
	"os"
	"strings"
	"time"

	"lampblack/play/device"
	"lampblack/wire/midi"
)

func openBytes(name string) (io.ReadCloser, error) {
	f, err := device.Open(name, os.O_RDONLY)
	if err != nil {
		return nil, err // and not a file that is nil
	}
	return f, nil
}

// each reads bytes until they end, at the pace of packets: a port brings 3 of them in a
// millisecond, a program that writes into a pipe any number.
func (f *feed) each(r io.Reader, take func(b []byte, now time.Time)) error {
	b := make([]byte, 256)
	pace := pacer{began: time.Now()}
	for {
		n, err := r.Read(b)
		now := time.Now()
		if n > 0 {
			take(b[:n], now)
		}
		if err != nil {
			return err
		}
		if pace.rests(now, time.Now()) {
			f.crowd()
		}
	}
}

// notes takes MIDI from a port.
func (f *feed) notes(r io.Reader) error {
	var s midi.Stream
	f.found()
	f.restAll()
	return f.each(r, func(b []byte, now time.Time) {
		s.Feed(b, func(m []byte) { f.note(m, now) })
	})
}

// note takes a message: a note closes what listens for it while it is held. A note-on of
// velocity 0 is a note-off (MIDI 1.0, "Note-On"); all notes end with controllers 120 and
// 123 to 127 ("Channel Mode Messages").
func (f *feed) note(m []byte, now time.Time) {
	const off, on, control = 0x80, 0x90, 0xB0
	if len(m) != 3 {
		return
	}
	channel, silence := m[0]&0x0F+1, m[0]&0xF0 == control && (m[1] == 120 || m[1] >= 123)
	for k, t := range f.from {
		if t.Channel != 0 && t.Channel != channel {
			continue
		}
		switch kind := m[0] & 0xF0; {
		case silence:
			f.stand(k, false, now)
		case m[1] != t.Note:
		case kind == on && m[2] > 0:
			f.stand(k, true, now)
		case kind == on || kind == off:
			f.stand(k, false, now)
		}
	}
}

// longestLine is more than any word of a pipe has.
const longestLine = 64

// lines takes the words of a pipe, one a line.
func (f *feed) lines(r io.Reader) error {
	f.found()
	f.restAll()
	var text []byte
	return f.each(r, func(b []byte, now time.Time) {
		for _, c := range b {
			switch {
			case c == '\n':
				f.word(strings.TrimSpace(string(text)), now)
				text = text[:0]
			case len(text) < longestLine: // the rest of a longer line says nothing
				text = append(text, c)
			}
		}
	})
}

func (f *feed) word(word string, now time.Time) {
	for k := range f.of {
		switch word {
		case "closed":
			f.stand(k, true, now)
		case "open":
			f.stand(k, false, now)
		case "press":
			f.press(k, now)
		case "":
		default:
			f.refuse()
			return
		}
	}
}
