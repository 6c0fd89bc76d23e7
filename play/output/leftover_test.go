package output_test

import (
	"testing"
	"time"

	"lampblack/play/leaktest"
	"lampblack/play/output"
)

// Sinks that hear as well as send (other sources, nodes that ask), behind a
// mailbox, leave nothing when they are closed.
func TestClosedSinksLeaveNothing(t *testing.T) {
	for _, spec := range []string{"e131 multicast interface lo", "e131 127.0.0.1 sync 7", "artnet nodes port 16454", "artnet 127.0.0.1 sync port 16455"} {
		leaktest.Check(t, func() {
			s, err := output.Open(spec, output.Options{})
			if err != nil {
				t.Logf("%s: left out on this machine: %v", spec, err)
				return
			}
			m := output.Mailbox(s)
			for level := range byte(3) {
				_ = m.Send([]output.Frame{{Universe: 1, Slots: []byte{level}}}, time.Now())
			}
			if err := m.Close(); err != nil {
				t.Errorf("%s: %v", spec, err)
			}
		})
	}
}
