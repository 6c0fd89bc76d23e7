package trigger

import (
	"slices"
	"time"
)

// pins are the control pins of a serial line.
type pins interface {
	// Read tells which pins are on.
	Read() (on []string, err error)
	Close() error
}

// poll is how often pins are read. The system tells of no change that could be waited
// for and called off; hands and beams take longer than this.
const poll = 5 * time.Millisecond

// pins looks at the pins until the device ends.
func (f *feed) pins(p pins) error {
	f.found()
	tick := time.NewTicker(poll)
	defer tick.Stop()
	for {
		on, err := p.Read()
		if err != nil {
			return err
		}
		now := time.Now()
		for k, t := range f.from {
			f.stand(k, slices.Contains(on, t.Pin), now)
		}
		<-tick.C
	}
}
