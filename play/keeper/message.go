package keeper

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"sync"
	"time"

	"lampblack/play/output"
)

// kind says what a message is.
type kind byte

// What the run says, and what the keeper says.
const (
	opening   kind = iota + 1 // the run: JSON of an Opening
	opened                    // the keeper: JSON of an answer
	frames                    // the run: due, then universes
	stands                    // the run: which, then universes
	ending                    // the run: JSON of how long the last light is sent
	ended                     // the keeper: JSON of a farewell
	stats                     // the keeper: JSON of a report
	stop                      // the keeper: the run is to end
	paired                    // the run: an ally's component identifier, and 1 when that stands by, as of now
	standing                  // the run: 1 when an alarm stands, 0 when it is over
	listens                   // the run: JSON of a wish, the inputs of the alarm
	listened                  // the keeper: JSON of a verdict
	alarms                    // the keeper: JSON of how the alarm stands
	typed                     // the run: the name of a key
	reset                     // the run: the alarm is to be reset
	wasReset                  // the keeper: JSON of a verdict
	remembers                 // the run: the length of a name, the name, and what is remembered under it
	recalls                   // the run: wants to know what is remembered
	recalled                  // the keeper: JSON of that, by name
)

// Both ends are the same program, and nobody else has the line between them. It is read with
// care all the same: mostMessage bounds what a message may ask for, all 63,999 universes.
const mostMessage = 64 << 20

// A message is its kind, the length of what follows in four bytes, and that.
const headSize = 5

// link is one end of the line between keeper and run. Any goroutine may write; one reads.
type link struct {
	conn net.Conn

	mu  sync.Mutex // guards writing and what follows
	buf []byte
}

// slow is how long a write may take before the other end is given up: the line holds many
// frames, so one that takes none for this long has stopped.
const slow = 2 * time.Second

// write sends a message that fill appends to what it is given.
func (l *link) write(k kind, fill func(b []byte) []byte) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.buf = append(l.buf[:0], byte(k), 0, 0, 0, 0)
	if fill != nil {
		l.buf = fill(l.buf)
	}
	binary.LittleEndian.PutUint32(l.buf[1:], uint32(len(l.buf)-headSize))
	if err := l.conn.SetWriteDeadline(time.Now().Add(slow)); err != nil {
		return err
	}
	_, err := l.conn.Write(l.buf)
	return err
}

func (l *link) writeJSON(k kind, v any) error {
	data, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return l.write(k, func(b []byte) []byte { return append(b, data...) })
}

// read returns the next message. What it returns is good until the next call.
func (l *link) read(buf []byte) (k kind, body, used []byte, err error) {
	var head [headSize]byte
	if _, err := io.ReadFull(l.conn, head[:]); err != nil {
		return 0, nil, buf, err
	}
	n := int(binary.LittleEndian.Uint32(head[1:]))
	if n > mostMessage {
		return 0, nil, buf, fmt.Errorf("a message of %d bytes between run and keeper", n)
	}
	if cap(buf) < n {
		buf = make([]byte, n)
	}
	buf = buf[:n]
	_, err = io.ReadFull(l.conn, buf)
	return kind(head[0]), buf, buf, err
}

// appendFlag adds 1 for yes and 0 for no.
func appendFlag(b []byte, yes bool) []byte {
	if yes {
		return append(b, 1)
	}
	return append(b, 0)
}

// appendFrames adds universes: their number, and each with its number and its slots.
func appendFrames(b []byte, list []output.Frame) []byte {
	b = binary.LittleEndian.AppendUint16(b, uint16(len(list)))
	for _, f := range list {
		slots := f.Slots[:min(len(f.Slots), 512)]
		b = binary.LittleEndian.AppendUint16(b, f.Universe)
		b = binary.LittleEndian.AppendUint16(b, uint16(len(slots)))
		b = append(b, slots...)
	}
	return b
}

var errCut = errors.New("a message between run and keeper is cut")

// parseFrames reads universes into list, whose memory is used again.
func parseFrames(b []byte, list []output.Frame) ([]output.Frame, error) {
	if len(b) < 2 {
		return nil, errCut
	}
	n := int(binary.LittleEndian.Uint16(b))
	b = b[2:]
	old := list[:cap(list)]
	list = old[:0]
	for i := range n {
		if len(b) < 4 {
			return nil, errCut
		}
		universe, size := binary.LittleEndian.Uint16(b), int(binary.LittleEndian.Uint16(b[2:]))
		b = b[4:]
		if size > 512 || size > len(b) {
			return nil, errCut
		}
		var slots []byte
		if i < len(old) {
			slots = old[i].Slots[:0]
		}
		list = append(list, output.Frame{Universe: universe, Slots: append(slots, b[:size]...)})
		b = b[size:]
	}
	return list, nil
}

// instantOf is an instant as both processes read it.
func instantOf(t time.Time) int64 { return monotonic() + int64(time.Until(t)) }

// timeOf is the instant in this process.
func timeOf(instant int64) time.Time {
	return time.Now().Add(time.Duration(instant - monotonic()))
}

// Opening is what a run asks for first.
type Opening struct {
	Show    string   // its title
	Outputs []string // lines as show.yaml has them
	Rate    float64  // frames a second
	Times   Times
	Journal string // where the run writes what happens, for the one that is started after it
	Address string // where its pages are, "" for none
	Standby bool   // the outputs stand by, behind those of another machine

	Allies *output.Allies `json:"-"` // of the keeper: who send the same on purpose
}

// Times say what is to be seen while no frames come.
type Times struct {
	Stands      time.Duration // how long the last light stands before lights up; 0 is 1 s
	Ultraviolet time.Duration // how long ultraviolet stays in it; 0 is UsualUltraviolet
}

// UsualUltraviolet is how long ultraviolet stays in light that stands, where nothing is said.
const UsualUltraviolet = 3 * time.Second

func (t Times) filled() Times {
	if t.Stands <= 0 {
		t.Stands = time.Second
	}
	if t.Ultraviolet <= 0 {
		t.Ultraviolet = UsualUltraviolet
	}
	return t
}

// answer is what became of an opening.
type answer struct {
	Names    []string // of the outputs
	Error    string
	Priority string // of the thread that sends
	Hint     string // how more can be had
}

// report is how the outputs do.
type report struct {
	Outputs []output.Stats
	Late    output.Lateness
}

// farewell is what became of the outputs.
type farewell struct {
	Outputs []output.Summary
	Late    output.Lateness
	Error   string
}
