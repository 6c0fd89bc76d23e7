package admit

import (
	"time"
)

// bucket holds how much somebody may still ask for: so many at once, and so many a second
// after that.
type bucket struct {
	left float64
	at   time.Time
}

// pace is how much somebody may ask for.
type pace struct{ burst, second float64 }

// What each may ask for. A finger that moves a slider asks some 60 times a second, a page
// that loads some 15 times at once. Chosen, no source.
var (
	ofDevice   = pace{200, 100} // that is paired
	ofStranger = pace{60, 20}   // an address that nobody has paired: the page itself
	ofAll      = pace{600, 300} // of all addresses but this computer's together
)

// take takes one out, if there is one.
func (b *bucket) take(p pace, now time.Time) bool {
	if b.at.IsZero() {
		b.left = p.burst
	} else if d := now.Sub(b.at).Seconds(); d > 0 {
		b.left = min(p.burst, b.left+d*p.second)
	}
	b.at = now
	if b.left < 1 {
		return false
	}
	b.left--
	return true
}

// mostStrangers bounds how many addresses are kept apart; more of them share one bucket.
const mostStrangers = 256

// strangers are the buckets of addresses.
type strangers struct {
	by   map[string]*bucket
	rest bucket
}

func (s *strangers) take(address string, now time.Time) bool {
	b := s.by[address]
	if b == nil {
		if len(s.by) >= mostStrangers {
			for name, old := range s.by { // who has been quiet for long is forgotten
				if now.Sub(old.at) > time.Minute {
					delete(s.by, name)
				}
			}
		}
		if len(s.by) >= mostStrangers {
			return s.rest.take(ofStranger, now)
		}
		if s.by == nil {
			s.by = map[string]*bucket{}
		}
		b = &bucket{}
		s.by[address] = b
	}
	return b.take(ofStranger, now)
}

// window is how far the time of a request may be from ours: the way through a poor Wi-Fi,
// and the second to which a page knows the time. Chosen, no source.
const window = 30 * time.Second

// nonces remembers what was taken within the window, so that nothing counts twice. Two
// halves take turns: what is older than both can no longer come, by its time.
type nonces struct {
	now, before map[string]bool
	turned      time.Time
}

// mostNonces bounds one key's nonces of a window: far more than its pace lets through.
const mostNonces = 4 * 60 * 100

// first tells whether the nonce comes for the first time, and remembers it.
func (n *nonces) first(nonce string, now time.Time) bool {
	if n.now == nil || now.Sub(n.turned) > 2*window {
		if now.Sub(n.turned) > 4*window {
			n.now = nil
		}
		n.now, n.before, n.turned = map[string]bool{}, n.now, now
	}
	if n.now[nonce] || n.before[nonce] || len(n.now) >= mostNonces {
		return false
	}
	n.now[nonce] = true
	return true
}
