package device

import (
	"io"
	"sync"
	"time"

	"lampblack/play/retry"
)

// Kept is a device that is used from a goroutine of its own, and looked for again when
// it is away. Its methods may be called from any goroutine.
type Kept struct {
	open func() (io.Closer, error)
	use  func(io.Closer) error
	stop chan struct{}
	done chan struct{}

	mu     sync.Mutex // guards what follows
	device io.Closer  // the last that was opened; nil before the first
	away   error      // why there is no device now
	closed bool
}

// Keep opens a device and calls use with it, and does so again whenever use has
// returned, which tells why: io.EOF for the end of the device. What use waits for must
// end when the device is closed. The error is that of the first opening; the device is
// looked for in spite of it, until Close.
func Keep[D io.Closer](open func() (D, error), use func(D) error) (*Kept, error) {
	k := &Kept{stop: make(chan struct{}), done: make(chan struct{})}
	k.open = func() (io.Closer, error) {
		d, err := open()
		if err != nil {
			return nil, err // and not a device that is nil
		}
		return d, nil
	}
	k.use = func(d io.Closer) error { return use(d.(D)) }
	device, err := k.again()
	go k.run(device)
	return k, err
}

// run uses the device until Close; between its end and its return it tries now and
// then.
func (k *Kept) run(device io.Closer) {
	defer close(k.done)
	var times retry.Times
	times.Lost(time.Now())
	for {
		if device != nil {
			began := time.Now()
			err := k.use(device)
			_ = device.Close()
			k.lost(err)
			// A device that opens and ends at once is no better than none.
			if now := time.Now(); now.Sub(began) > retry.Last {
				times.Lost(now)
			} else {
				times.Tried(now)
			}
		}
		timer := time.NewTimer(times.Wait(time.Now()))
		select {
		case <-k.stop:
			timer.Stop()
			return
		case <-timer.C:
		}
		if device, _ = k.again(); device == nil {
			times.Tried(time.Now())
		}
	}
}

func (k *Kept) lost(err error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.away = err
}

// again opens the device anew, nil if it is not there or no longer wanted.
func (k *Kept) again() (io.Closer, error) {
	device, err := k.open()
	k.mu.Lock()
	defer k.mu.Unlock()
	if err != nil {
		k.away = err
		return nil, err
	}
	if k.closed {
		_ = device.Close()
		return nil, nil
	}
	k.device, k.away = device, nil
	return device, nil
}

// Away is why there is no device now, nil while there is one.
func (k *Kept) Away() error {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.away
}

// Close lets the device go, and returns when the use of it has ended.
func (k *Kept) Close() error {
	k.mu.Lock()
	before, device := k.closed, k.device
	k.closed = true
	k.mu.Unlock()
	if before {
		<-k.done
		return nil
	}
	close(k.stop)
	if device != nil {
		_ = device.Close() // ends a use that waits
	}
	<-k.done
	return nil
}
