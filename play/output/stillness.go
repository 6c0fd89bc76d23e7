package output

import "time"

// Times of ANSI E1.31, clause 6.6, which Art-Net recommends too.
const (
	// repeats is how often values are sent before a universe may fall still.
	repeats = 3
	// keepAlive is the time between packets of a still universe: 800 to
	// 1000 ms. The keeper looks every keeperTick, so it is 900 to 950 ms.
	keepAlive  = 900 * time.Millisecond
	keeperTick = 50 * time.Millisecond
	// abandoned is the time without a call of Send after which the keeper sends
	// the repeats that are left: some frames of the slowest show, so that it
	// does not add to the packets of one that goes on.
	abandoned = 80 * time.Millisecond
	// settle is the time between the last packets of a sink that closes: a
	// frame of a full universe at 44 a second.
	settle = 23 * time.Millisecond
)

// stillness decides when a universe is to be sent. at is when the last packet left,
// zero before the first.
type stillness struct {
	left int // repeats still to send
	at   time.Time
}

// due reports whether a Send with these values must put them on the wire. Three times,
// as any one datagram may be lost and nothing else would say so before the next change.
func (s *stillness) due(changed bool, now time.Time) bool {
	if changed {
		s.left = repeats
	}
	return s.left > 0 || now.Sub(s.at) >= keepAlive
}

// overdue reports whether the keeper must send the values once more.
func (s *stillness) overdue(now time.Time) bool {
	if s.at.IsZero() {
		return false
	}
	quiet := now.Sub(s.at)
	return quiet >= keepAlive || s.left > 0 && quiet >= abandoned
}

func (s *stillness) sent(now time.Time) {
	s.at = now
	s.left = max(0, s.left-1)
}
