package output

import (
	"errors"
	"fmt"
	"time"

	"lampblack/play/line"
)

// Talk is the device of a widget output, for who asks it and waits for its answers. No sink
// may have it at the same time.
type Talk struct {
	port
	answers
}

// answers is a device that can be listened to.
type answers interface {
	// ReadWithin waits so long for some octets; none, and no error, when none come.
	ReadWithin(b []byte, most time.Duration) (int, error)
}

// OpenTalk opens the device of a widget output.
func OpenTalk(s *line.Out) (*Talk, error) {
	p, err := openWidget(s)
	if err != nil {
		return nil, err
	}
	a, ok := p.(answers)
	if !ok {
		return nil, errors.Join(fmt.Errorf("%s cannot be listened to on this system", s.Place), p.Close())
	}
	return &Talk{p, a}, nil
}

// openWidget opens the device of a widget, at the rate that was named or at its usual one.
func openWidget(s *line.Out) (port, error) {
	baud := s.Baud
	if baud == 0 {
		baud = widgetBaud
	}
	return openPort(s.Place, baud)
}
