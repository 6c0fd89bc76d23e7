package play

import (
	"io"
	"time"

	"lampblack/show"
)

// Sender tells other machines where the show is. Run calls Update with every
// frame, some 44 times a second, and Close at the end; neither may wait.
type Sender interface {
	Update(at time.Time, position time.Duration, running bool)
	Name() string
	io.Closer
}

// Port takes a message that is to leave at an instant.
type Port interface {
	Send(due time.Time, message []byte)
	Name() string
	io.Closer
}

// CueMessages sends a message with every cue, at the instant at which it
// starts: MIDI notes or show control to a desk, another program, a sampler.
// After a jump it sends that of the cue which stands, so that the other side
// is where the show is.
type CueMessages struct {
	port    Port
	show    *show.Show
	cues    []show.Cue
	base    int // cues of the evening before this step
	message Message

	next     int           // the first cue that was not sent
	expected time.Duration // position of the next update if nothing jumps
	last     time.Time
	running  bool
}

// ahead is how early messages are handed to the port, which sends them on
// time: more than two frames.
const ahead = 60 * time.Millisecond

// slip is how far ahead a place may move at once and be no jump: a player's beat
// pulls it by up to a third of one, and the cue that stands is not sent again.
const slip = 600 * time.Millisecond

// NewCueMessages sends what message gives for a cue of the show; nothing is sent for an empty answer.
func NewCueMessages(port Port, s *show.Show, message Message) *CueMessages {
	return &CueMessages{port: port, show: s, cues: s.Cues, message: message}
}

// Play takes what the run plays from now on: another step of an evening, before which there
// are so many cues, or the same piece when a wait is over. What was sent of the same piece is
// not sent again.
func (c *CueMessages) Play(s *show.Show, base int) {
	same := c.base == base && c.show.Score == s.Score
	c.show, c.cues, c.base = s, s.Cues, base
	if !same {
		c.running = false // a jump: the other side is told where the show is
	}
	c.next = min(c.next, len(c.cues))
}

// Update sends what starts from here until the next update and a little later.
//
// A place that is off by more than ahead backwards, or by more than slip forwards, is a
// jump. Messages go to the port up to 60 ms before their time, so a cue that is jumped
// to within that time may have been sent already; it is sent again, as the other side
// must be where the show is.
func (c *CueMessages) Update(at time.Time, position time.Duration, running bool) {
	if !running {
		c.running = false
		return
	}
	off := position - c.expected - at.Sub(c.last)
	if jumped := !c.running || off < -ahead || off > slip; jumped {
		c.catchUp(at, position)
	}
	c.running, c.last, c.expected = true, at, position
	for c.next < len(c.cues) && c.cues[c.next].Start <= position+ahead {
		c.send(at.Add(c.cues[c.next].Start-position), c.next)
		c.next++
	}
}

// catchUp finds the next cue after a jump, and sends the one that stands.
func (c *CueMessages) catchUp(at time.Time, position time.Duration) {
	c.next = 0
	for c.next < len(c.cues) && c.cues[c.next].Start < position {
		c.next++
	}
	for i := c.next - 1; i >= 0; i-- {
		if !c.cues[i].Bump() {
			c.send(at, i)
			return
		}
	}
}

func (c *CueMessages) send(due time.Time, cue int) {
	for _, m := range c.message(c.base+c.show.Written(cue), c.cues[cue].Number.Name) {
		c.port.Send(due, m)
	}
}

// Name says where the messages go.
func (c *CueMessages) Name() string { return "cue messages to " + c.port.Name() }

// Fault says why no message leaves, and since when, where the port knows.
func (c *CueMessages) Fault() (since time.Time, err error) {
	if p, ok := c.port.(faulty); ok {
		return p.Fault()
	}
	return time.Time{}, nil
}

// Close closes the port.
func (c *CueMessages) Close() error { return c.port.Close() }
