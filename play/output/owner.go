package output

import (
	"errors"
	"slices"
	"sync"
	"time"
)

// Owner owns the wire: every frame that leaves goes through it, and so do the
// last words, which it keeps ready from the beginning, since whoever computes
// light may fail. What must win over the show (light for everyone, an alarm, a
// hand on the lamps) and what must be counted as it is really sent have their
// place here, and the process that holds sockets can be another than the one
// that computes.
//
//	show ── Send ──▶ ┌───────┐ ──▶ sink ──▶ wire
//	safe ─ Prepare ─▶│ Owner │ ──▶ sink ──▶ wire
//	      Alarm ───▶ │       │ (the safe frame, whatever Send brings, until it is over)
//	       Close ───▶└───────┘ (the safe frame, several times; then goodbye)
//
// Its methods may be called from any goroutine.
type Owner struct {
	mu     sync.Mutex
	sinks  []Sink
	period time.Duration
	safe   []Frame // its own copy
	late   Lates
	alarm  bool // one stands: nothing but safe leaves
	closed bool
}

// Stand is light in which units stand when whoever computes it is gone.
type Stand byte

// What stands, the safest first.
const (
	Up   Stand = iota // lights up: how a run ends
	Calm              // the last light, without flashing
	Dim               // and without ultraviolet
)

// lastWords is how often the safe frame is sent at least: units hold what they
// got last, and one packet may be lost on the way. E1.31 asks for three that say
// that a stream ends (ANSI E1.31-2018, 6.2.6); the safe frame is worth no less.
const lastWords = 3

// Own takes sinks that are to have rate frames in a second, and will close them.
func Own(sinks []Sink, rate float64) *Owner {
	return &Owner{sinks: sinks, period: time.Duration(float64(time.Second) / rate)}
}

// Send hands frames to every sink; what becomes of them is in Stats. Once it is
// closed nothing is sent any more.
func (o *Owner) Send(frames []Frame, due time.Time) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if !o.closed {
		o.late.Add(time.Since(due))
		o.send(frames, due)
	}
}

// Stand sends light that stands, which no frame is late for.
func (o *Owner) Stand(frames []Frame) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if !o.closed {
		o.send(frames, time.Now())
	}
}

// yielder is a sink whose receivers follow another source when it says that it is over.
type yielder interface{ Yield() error }

// errNoOther is that receivers know of no other source.
var errNoOther = errors.New("receivers of this output follow one source")

// Yield ends the streams whose receivers then follow another source, until Send brings
// frames again; the others get lights up.
func (o *Owner) Yield() {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.closed {
		return
	}
	for _, s := range o.sinks {
		if y, ok := s.(yielder); !ok || y.Yield() != nil {
			_ = s.Send(o.safe, time.Now())
		}
	}
}

// send gives frames to every sink; while an alarm stands, the safe ones in their place.
func (o *Owner) send(frames []Frame, due time.Time) {
	if o.alarm && o.safe != nil {
		frames = o.safe
	}
	for _, s := range o.sinks {
		_ = s.Send(frames, due)
	}
}

// Prepare keeps a copy of the frames that are to be the last.
func (o *Owner) Prepare(safe []Frame) {
	copies := make([]Frame, len(safe))
	for i, f := range safe {
		copies[i] = Frame{f.Universe, slices.Clone(f.Slots)}
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	o.safe = copies
	o.cry()
}

// Stats counts, for each sink, what became of the frames.
func (o *Owner) Stats() []Stats {
	out := make([]Stats, len(o.sinks))
	for i, s := range o.sinks {
		out[i] = s.Stats()
	}
	return out
}

// Late says how far past their due times frames were handed out.
func (o *Owner) Late() Lateness {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.late.Sum()
}

// Summary is what became of one output.
type Summary struct {
	Name  string
	Stats Stats
	Error string
}

// Close sends the safe frame for a time, at least three times, and ends every
// sink, whatever the others do. It tells how each came out. A second call does
// nothing.
func (o *Owner) Close(ending time.Duration) ([]Summary, error) {
	if !o.silence() {
		return nil, nil
	}
	start := time.Now()
	for i := range int(ending/o.period) + lastWords {
		due := start.Add(time.Duration(i) * o.period)
		time.Sleep(time.Until(due))
		if o.safe != nil {
			o.send(o.safe, due)
		}
	}
	var all []error
	var out []Summary
	for _, s := range o.sinks {
		err := s.Close()
		sum := Summary{Name: s.Name(), Stats: s.Stats()}
		if err != nil {
			sum.Error = err.Error()
			all = append(all, err)
		}
		out = append(out, sum)
	}
	return out, errors.Join(all...)
}

// silence ends Send, and tells whether it had not ended before; from then on the
// sinks are the caller's alone.
func (o *Owner) silence() bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	first := !o.closed
	o.closed = true
	return first
}
