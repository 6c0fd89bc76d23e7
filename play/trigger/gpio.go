package trigger

import "time"

// gpioLine is a line of a GPIO chip.
type gpioLine interface {
	// Closed asks how the line stands now.
	Closed() (bool, error)
	// Wait returns the changes since the last call, in their order, or none when there
	// were none until an instant. When whole is false some were lost.
	Wait(until time.Time) (changes []gpioChange, whole bool, err error)
	Close() error
}

// gpioChange is a change of a line, and when it was.
type gpioChange struct {
	closed bool
	time   time.Time
}

// gpio follows a line until its chip ends. Between changes it is asked now and then, so
// that a chip which has gone is told in time.
func (f *feed) gpio(l gpioLine) error {
	f.found()
	for {
		now := time.Now() // changes that come while it is asked are later
		closed, err := l.Closed()
		if err != nil {
			return err
		}
		f.standAll(closed, now)
		for whole := true; whole; {
			var changes []gpioChange
			changes, whole, err = l.Wait(time.Now().Add(2 * looks))
			if err != nil {
				return err
			}
			for _, c := range changes {
				f.standAll(c.closed, c.time)
			}
			if len(changes) == 0 {
				break
			}
		}
	}
}

// standAll tells how the line stands. Two clocks are compared afresh with every reading,
// so a time may come out before the last; the order is that of the reading.
func (f *feed) standAll(closed bool, now time.Time) {
	if now.Before(f.last) {
		now = f.last
	}
	f.last = now
	for k := range f.of {
		f.stand(k, closed, now)
	}
}
