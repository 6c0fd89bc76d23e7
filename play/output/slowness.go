package output

import (
	"sync/atomic"
	"time"
)

// slowness counts what a sink was late with, or what newer frames overtook before it took
// them, in the last ten seconds. But for overtaken it belongs to the carrier.
type slowness struct {
	overtaken atomic.Uint64 // since the beginning
	late      uint64        // since the beginning
	before    [10]uint64    // the sum of both at the end of each of the last seconds
	second    int64
}

// More than tellSlow frames of the 440 of ten seconds are worth a word, and it is over at
// calmSlow: one that comes and goes is told once. Common practice, no source.
const (
	tellSlow = 10
	calmSlow = 2
)

// count takes in a frame that was handed over at now, and how long it had lain there; it
// returns how many of the last ten seconds were late or overtaken.
func (s *slowness) count(now time.Time, lay time.Duration) uint64 {
	if lay > LateAfter {
		s.late++
	}
	sum := s.late + s.overtaken.Load()
	n := uint64(len(s.before))
	second := now.Unix()
	if s.second == 0 || second-s.second > int64(n) { // it began, or nothing went for long
		s.second = second
		for i := range s.before {
			s.before[i] = sum
		}
	}
	for ; s.second < second; s.second++ {
		s.before[uint64(s.second)%n] = sum
	}
	return sum - s.before[uint64(second)%n]
}

// punctual tells whether the sink keeps up. One with a rate of its own is meant to be
// overtaken.
func (m *mailbox) punctual() {
	if p, ok := m.sink.(pacer); ok && p.Pace() > 0 {
		return
	}
	now := time.Now()
	switch n := m.slow.count(now, now.Sub(m.reading.posted)); {
	case n > tellSlow:
		m.counters.health.set(Fault{Cause: Slow, Degree: Partly, Who: "pace", Text: "frames leave late, or newer ones overtake them", Hint: reasonOf(Slow)})
	case n <= calmSlow:
		m.counters.health.clear(Slow, "pace")
	}
}
