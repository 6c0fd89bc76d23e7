package play

import (
	"errors"
	"io"
	"sync"
	"time"

	"lampblack/living"
	devices "lampblack/play/device"
	"lampblack/play/output"
	"lampblack/soundtrack"
)

// input is sound that comes in.
type input interface {
	io.Closer
	format() format
	// late is how long what comes in has been under way before it is handed over.
	late() time.Duration
	// each hands over sound as it comes, whole frames, with the instant that it came at, until the
	// input has ended, which Close does.
	each(take func(samples []float32, at time.Time)) error
}

// mostHeard is how many channels of an input are listened to.
const mostHeard = 8

// errNoInput means that an input of the name is not there.
var errNoInput = errors.New("there is no sound input")

// Hearing listens to sound that comes in while a run goes on: what it hears, the run's light goes
// by. An input that is away is looked for, and heard again when it is back.
type Hearing struct {
	ear    *living.Ear
	wanted string
	began  time.Time
	kept   *devices.Kept
	record *recording // nil where nothing is kept

	mu    sync.Mutex
	since time.Time // it is away; zero while it is there
}

// Hear begins to listen to an input, "" for the system's own choice. What is heard is recorded
// into what keep opens, unless that is nil. The error is that of the first opening; the input is
// looked for in spite of it, until Close.
func Hear(wanted string, keep Keep) (*Hearing, error) {
	return hear(wanted, keep, func() (input, error) { return openInput(wanted) })
}

func hear(wanted string, keep Keep, open func() (input, error)) (*Hearing, error) {
	h := &Hearing{ear: living.NewEar(), wanted: wanted, began: time.Now()}
	if keep != nil {
		h.record = record(keep)
	}
	var err error
	h.kept, err = devices.Keep(open, h.use)
	return h, err
}

// use listens until the input ends.
func (h *Hearing) use(in input) error {
	f := in.format()
	live := soundtrack.NewLive(f.rate, f.channels)
	clock := arrivals{rate: float64(f.rate)}
	late := min(max(in.late(), 0), 100*time.Millisecond) // some say what they could hold, and not what they do
	piece := f.rate / 100 * f.channels
	return in.each(func(samples []float32, at time.Time) {
		first := clock.take(len(samples)/f.channels, at.Sub(h.began))
		if h.record != nil {
			h.record.take(f, samples)
		}
		for len(samples) > 0 { // so that nothing of what it says is passed over
			n := min(piece, len(samples))
			live.Feed(samples[:n])
			samples = samples[n:]
			heard := live.Heard()
			h.ear.Hear(heard, first+heard.At-late)
		}
	})
}

// arrivals tells when the first sample of a stream came, by all that came since: what comes
// late does so by chance, and never comes early. The two clocks drift by less than 200 parts in
// a million.
type arrivals struct {
	rate  float64
	n     int64
	last  time.Duration
	first time.Duration
}

const (
	drifts = 200e-6
	hole   = 300 * time.Millisecond // later than that sound was lost
)

func (a *arrivals) take(frames int, at time.Duration) (first time.Duration) {
	a.n += int64(frames)
	this := at - time.Duration(float64(a.n)/a.rate*float64(time.Second))
	drifted := a.first + time.Duration(drifts*float64(at-a.last))
	if a.last == 0 || this < drifted || this > drifted+hole {
		drifted = this
	}
	a.first, a.last = drifted, at
	return a.first
}

// goOn says when the next frame is seen.
func (h *Hearing) goOn(now time.Time) {
	if h != nil {
		h.ear.Go(now.Sub(h.began))
	}
}

// ears is what light goes by; nil for a run that hears nothing.
func (h *Hearing) ears() *living.Ear {
	if h == nil {
		return nil
	}
	return h.ear
}

// says tells what is heard, and what stands in silence, for the run's goroutine.
func (h *Hearing) says(silent string) string {
	switch {
	case h == nil:
		return ""
	case h.ear.Hushed() > 0 && silent != "":
		return h.ear.String() + ", " + silent + " stands"
	case h.ear.Hushed() > 0:
		return h.ear.String() + ", slow time"
	}
	return h.ear.String()
}

// wrong is what is wrong with the input, or with what is recorded of it.
func (h *Hearing) wrong(now time.Time) (out []Trouble) {
	if h == nil {
		return nil
	}
	const of = "live sound"
	h.mu.Lock()
	defer h.mu.Unlock()
	switch err := h.kept.Away(); {
	case err == nil:
		h.since = time.Time{}
	default:
		if h.since.IsZero() {
			h.since = now
		}
		text, hint := h.awayText(err)
		out = append(out, Trouble{of, output.Fault{Cause: output.Unheard, Degree: output.Partly, Who: "input", Since: h.since, Text: text, Hint: hint}})
	}
	if h.record != nil {
		if since, text := h.record.over(); text != "" {
			out = append(out, Trouble{of, output.Fault{Cause: output.Full, Degree: output.Partly, Who: "recording", Since: since, Text: text, Hint: "the show goes on; what was recorded up to there can be listened to"}})
		}
	}
	return out
}

func (h *Hearing) awayText(err error) (text, hint string) {
	const back = "; light goes by slow time meanwhile, and it is taken up by itself"
	switch {
	case errors.Is(err, errNoInput):
		return err.Error(), "plug it in and switch it on, or name another in show.yaml: `lampblack sound` lists them" + back
	case errors.Is(err, ErrNoDevice):
		return "no sound can be heard on this computer: " + err.Error(), "start its sound server" + back
	case errors.Is(err, io.EOF):
		return "the sound input is gone", "look at its plug" + back
	}
	return err.Error(), "look at its plug" + back
}

// Close ends listening, and the recording.
func (h *Hearing) Close() error {
	err := h.kept.Close()
	if h.record != nil {
		err = errors.Join(err, h.record.close())
	}
	return err
}
