package output

import "sync"

// Allies are the component identifiers of senders that send the same on purpose: a machine that
// stands by, or that which it stands by for. They are no rivals. Any goroutine may use it; a nil
// one knows none.
type Allies struct {
	mu  sync.Mutex
	all map[[16]byte]bool
}

// Add takes one up.
func (a *Allies) Add(cid [16]byte) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.all == nil {
		a.all = map[[16]byte]bool{}
	}
	if len(a.all) < maxFaults {
		a.all[cid] = true
	}
}

// Has tells whether a sender is one.
func (a *Allies) Has(cid [16]byte) bool {
	if a == nil {
		return false
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.all[cid]
}

// ComponentID is the component identifier that outputs with such options have.
func ComponentID(o Options) [16]byte { return o.filled().CID }
