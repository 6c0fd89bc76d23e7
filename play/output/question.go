package output

import (
	"errors"
	"io"
	"net"
	"sync"
	"sync/atomic"
	"time"
)

// question is one way to ask a receiver whether it is there.
type question struct {
	ask   func() error
	end   func()                    // of what hears the answers; it waits for that
	heard atomic.Pointer[time.Time] // when the newest answer came; nil before any
}

// hear takes what read brings for answers, where it is one by isAnswer, until the socket is
// closed; end closes it and waits.
func (q *question) hear(socket io.Closer, read func(b []byte) (int, error), isAnswer func(b []byte) bool) {
	var hearing sync.WaitGroup
	hearing.Go(func() {
		b := make([]byte, 2048)
		for {
			n, err := read(b)
			switch {
			case errors.Is(err, net.ErrClosed):
				return
			case err != nil:
				time.Sleep(keeperTick) // it came back
			case isAnswer(b[:n]):
				q.answered()
			}
		}
	})
	q.end = func() { socket.Close(); hearing.Wait() }
}

func (q *question) answered() {
	now := time.Now()
	q.heard.Store(&now)
}
