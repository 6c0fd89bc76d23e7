package chase

import (
	"lampblack/play/line"
	"time"
)

// Sender follows the show and tells another machine where it is.
type Sender interface {
	// Update says that the show is at a position, and whether it runs. It is
	// to be called at least every 50 ms, from one goroutine.
	Update(at time.Time, position time.Duration, running bool)
	Name() string
	Stats() Stats
	Close() error
}

// OpenSender opens timecode out: "mtc" or "ltc".
func OpenSender(text string) (Sender, error) {
	s, err := line.ParseClock(text)
	if err != nil {
		return nil, err
	}
	switch s.Kind {
	case "mtc":
		port, err := OpenPort(s.Device)
		if err != nil {
			return nil, err
		}
		return NewMIDITimeCode(port, s.Start), nil
	case "ltc":
		return OpenLinearTimecode(s.Device, s.Start, s.Samples)
	}
	panic("chase: a clock of kind " + s.Kind)
}
