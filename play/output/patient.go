package output

import (
	"fmt"
	"io"
)

// mostWaiting is how much of a capture is remembered while its disk takes nothing: hours of
// a show, which pack to some kilobytes a second.
const mostWaiting = 64 << 20

// patient writes in order, and remembers what a disk that is full does not take: a capture
// without a hole tells a true time.
type patient struct {
	w     io.Writer
	most  int // octets that may wait
	waits []byte
	why   error // the disk takes nothing
}

// Write fails only when too much waits.
func (p *patient) Write(b []byte) (int, error) {
	p.waits = append(p.waits, b...)
	p.flush()
	if len(p.waits) > p.most {
		return 0, p.why
	}
	return len(b), nil
}

// flush writes what waits, as far as the disk takes it.
func (p *patient) flush() {
	if len(p.waits) == 0 {
		return
	}
	n, err := p.w.Write(p.waits)
	p.waits = append(p.waits[:0], p.waits[max(n, 0):]...)
	p.why = err
	if err == nil && len(p.waits) > 0 {
		p.why = io.ErrShortWrite
	}
}

// tell says what is wrong with the disk, or that nothing is.
func (p *patient) tell(to *health) {
	if p.why == nil {
		to.clear(Full, "disk")
		return
	}
	to.set(Fault{Cause: Full, Degree: Partly, Who: "disk", Text: fmt.Sprintf("%v: what is recorded waits in memory", p.why),
		Hint: "make room on that disk, or put it back: it is written then; the show goes on"})
}
