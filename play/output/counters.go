package output

import (
	"sync"
	"sync/atomic"
	"time"
)

// counters are a sink's Stats while it works.
type counters struct {
	sent, packets, dropped, late, reconnects atomic.Uint64

	health health

	mu   sync.Mutex
	last string // guarded by mu
}

// frame counts a call of Send that leaves at now.
func (c *counters) frame(due, now time.Time, err error) {
	if err != nil {
		c.dropped.Add(1)
		c.failed(err)
		return
	}
	c.sent.Add(1)
	if !due.IsZero() && now.Sub(due) > LateAfter {
		c.late.Add(1)
	}
}

func (c *counters) failed(err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.last = err.Error()
}

// with adds what whoever carries frames to a sink has counted.
func (s Stats) with(own Stats) Stats {
	s.Dropped += own.Dropped
	s.Reconnects += own.Reconnects
	if s.LastError == "" {
		s.LastError = own.LastError
	}
	s.State = s.State.Add(own.State)
	return s
}

func (c *counters) stats() Stats {
	c.mu.Lock()
	defer c.mu.Unlock()
	return Stats{Sent: c.sent.Load(), Packets: c.packets.Load(), Dropped: c.dropped.Load(), Late: c.late.Load(),
		Reconnects: c.reconnects.Load(), LastError: c.last, State: c.health.now()}
}
