package output

import (
	"fmt"
	"path/filepath"
	"sync"
	"time"

	"lampblack/play/line"
)

// awaited is an output whose device or network may not be there yet. mu parts whoever sends
// from who asks how it does.
type awaited struct {
	spec line.Out
	open func() (Sink, error)
	name string

	mu   sync.Mutex
	sink Sink  // nil until it could be opened
	why  error // it could not
}

// Await opens an output as [Open] does; one whose device, network or disk is not there is
// looked for as one that went away is, once it is given to [Carry]. Its error is that of a
// line that does not read.
func Await(spec string, o Options) (Sink, error) {
	s, err := line.ParseOut(spec)
	if err != nil {
		return nil, err
	}
	o = o.filled()
	sink, err := open(s, o)
	if err == nil {
		return sink, nil
	}
	return &awaited{spec: s, open: func() (Sink, error) { return open(s, o) }, name: nameOf(s, o), why: err}, nil
}

// nameOf is the name that the output will have.
func nameOf(s line.Out, o Options) string {
	switch s.Kind {
	case "e131":
		return (&e131{base: base{spec: s}}).Name()
	case "artnet":
		return (&art{base: base{spec: s}}).Name()
	case "serial":
		return (&device{base: base{spec: s}, label: serialLabel}).Name()
	case "widget":
		return (&device{base: base{spec: s}, label: widgetLabel}).Name()
	}
	path := s.Place
	if !filepath.IsAbs(path) {
		path = filepath.Join(o.Dir, path)
	}
	return "file " + path
}

func (a *awaited) now() (Sink, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.sink, a.why
}

// Yield lets receivers follow another source, where the output is there.
func (a *awaited) Yield() error {
	if sink, _ := a.now(); sink != nil {
		if y, ok := sink.(yielder); ok {
			return y.Yield()
		}
	}
	return errNoOther
}

// networked tells whether its Send never waits.
func (a *awaited) networked() bool { return a.spec.Kind == "e131" || a.spec.Kind == "artnet" }

func (a *awaited) Name() string        { return a.name }
func (a *awaited) Pace() time.Duration { return a.spec.Pace() }

// Send says why nothing leaves, until it could be opened.
func (a *awaited) Send(frames []Frame, due time.Time) error {
	sink, why := a.now()
	if sink == nil {
		return fmt.Errorf("%s: %w", a.name, why)
	}
	return sink.Send(frames, due)
}

func (a *awaited) Stats() Stats {
	if sink, _ := a.now(); sink != nil {
		return sink.Stats()
	}
	return Stats{}
}

// Sending is what the output sends: nothing, until there is one.
func (a *awaited) Sending() (Sending, bool) {
	sink, _ := a.now()
	if s, ok := sink.(sender); ok {
		return s.Sending()
	}
	return Sending{ArtNet: a.spec.Kind == "artnet", By: []string{}}, a.networked() && !a.spec.Preview
}

// Reopen opens it, for the first time or again. What is no device and no network stays as it
// failed: a capture with a hole would tell a false time.
func (a *awaited) Reopen() error {
	sink, _ := a.now()
	if r, ok := sink.(reopener); ok {
		return r.Reopen()
	}
	if sink != nil {
		return nil
	}
	opened, err := a.open()
	a.mu.Lock()
	defer a.mu.Unlock()
	a.sink, a.why = opened, err
	if err != nil {
		a.sink = nil
		return fmt.Errorf("%s: %w", a.name, err)
	}
	return nil
}

func (a *awaited) Close() error {
	if sink, _ := a.now(); sink != nil {
		return sink.Close()
	}
	return nil
}
