package chase

import (
	"io"
	"os"
	"sync"
	"time"

	"lampblack/play/line"
	"lampblack/play/retry"
	"lampblack/wire/timecode"
)

// Source reads timecode from a device for a Follower, and looks for the device
// when it is away.
type Source struct {
	*Follower
	open func() (io.ReadCloser, error)
	read func(io.Reader) error
	stop chan struct{}
	done chan struct{}

	mu     sync.Mutex // guards what follows
	device io.ReadCloser
	last   string
	closed bool
}

// Follow opens timecode in: "mtc" or "ltc". Other is called with every other
// message of a MIDI port, valid only during the call, if it is not nil.
func Follow(text string, other func(at time.Time, message []byte)) (*Source, error) {
	s, err := line.ParseClock(text)
	if err != nil {
		return nil, err
	}
	f := NewFollower(map[string]string{"mtc": "MIDI time code from ", "ltc": "linear timecode from "}[s.Kind]+s.Device, s.Start.Offset())
	open := func() (io.ReadCloser, error) { return openDevice(s.Device, os.O_RDONLY) }
	switch s.Kind {
	case "mtc":
		in := &MIDIInput{Follower: f, Other: other}
		return newSource(f, open, in.Follow)
	case "ltc":
		var rate []timecode.Rate
		if s.Rated {
			rate = append(rate, s.Rate)
		}
		return newSource(f, open, func(r io.Reader) error { return NewAudioInput(f, s.Samples, rate...).Follow(r) })
	}
	panic("chase: a clock of kind " + s.Kind)
}

func newSource(f *Follower, open func() (io.ReadCloser, error), read func(io.Reader) error) (*Source, error) {
	device, err := open()
	if err != nil {
		return nil, err
	}
	s := &Source{Follower: f, open: open, read: read, device: device, stop: make(chan struct{}), done: make(chan struct{})}
	go s.run(device)
	return s, nil
}

// run reads until Close; between the end of a device and its return it tries
// now and then.
func (s *Source) run(device io.ReadCloser) {
	defer close(s.done)
	var times retry.Times
	for {
		began := time.Now()
		if device != nil {
			err := s.read(device)
			device.Close()
			s.failed(err)
		}
		if now := time.Now(); now.Sub(began) > retry.Last {
			times.Lost(now)
		} else {
			times.Tried(now) // a device that opens and ends at once is no better than none
		}
		timer := time.NewTimer(times.Wait(time.Now()))
		select {
		case <-s.stop:
			timer.Stop()
			return
		case <-timer.C:
		}
		device = s.again()
	}
}

func (s *Source) failed(err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.closed {
		s.last = err.Error()
	}
}

// again opens the device anew, nil if it is not there or no longer wanted.
func (s *Source) again() io.ReadCloser {
	device, err := s.open()
	if err != nil {
		s.failed(err)
		return nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		device.Close()
		return nil
	}
	s.device = device
	return device
}

// LastError is why the device was last lost or not found, "" if it never was.
func (s *Source) LastError() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.last
}

// Close stops reading.
func (s *Source) Close() error {
	s.mu.Lock()
	before, device := s.closed, s.device
	s.closed = true
	s.mu.Unlock()
	if before {
		return nil
	}
	close(s.stop)
	device.Close() // ends a read that waits
	<-s.done
	return nil
}
