package output

import (
	"sync/atomic"
	"time"
)

// slowness counts what a sink was late with, and what newer frames overtook before it took
// them. But for overtaken it belongs to the carrier.
type slowness struct {
	overtaken atomic.Uint64
	late      uint64
	recent    Recent
}

// punctual tells whether the sink keeps up, when it has taken a letter. One with a rate of
// its own is meant to be overtaken.
func (m *mailbox) punctual() {
	if p, ok := m.sink.(pacer); ok && p.Pace() > 0 {
		return
	}
	now := time.Now()
	if now.Sub(m.reading.posted) > LateAfter {
		m.slow.late++
	}
	if _, much := m.slow.recent.Of(now, m.slow.late+m.slow.overtaken.Load()); !much {
		m.counters.health.clear(Slow, "pace")
		return
	}
	m.counters.health.set(Fault{Cause: Slow, Degree: Partly, Who: "pace", Text: "frames leave late, or newer ones overtake them", Hint: reasonOf(Slow)})
}
