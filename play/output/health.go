package output

import (
	"cmp"
	"slices"
	"sync"
	"sync/atomic"
	"time"
)

// State is how an output does now: what is wrong with it, the gravest first, and for how
// long it was away the last time. The zero value is that nothing is known to be wrong.
type State struct {
	Faults []Fault
	Back   time.Time     // when the last fault that stopped it was over; zero for never
	Away   time.Duration // how long that one lasted
}

// Fault is one thing that is wrong with an output. An output has at most one for each
// Cause and Who.
type Fault struct {
	Cause  Cause
	Degree Degree
	Who    string    // the part of it, for programs: an interface, an address, another sender
	Since  time.Time // when it was noticed
	Text   string    // for the person at the computer
	Hint   string    // what to do about it
}

// Cause is a kind of fault, for programs.
type Cause string

// What can be wrong.
const (
	NoLink     Cause = "no link"     // the interface has no carrier, is off or is not there
	Elsewhere  Cause = "other way"   // packets leave by another interface than they did
	NoWay      Cause = "no way"      // the system does not know where to send
	Refused    Cause = "refused"     // the receiver is there, and takes nothing on that port
	Silent     Cause = "silent"      // who answered does so no more
	NoNode     Cause = "no node"     // nobody asks for a Port-Address that is sent
	Rival      Cause = "rival"       // another program sends the same universes
	Twin       Cause = "second run"  // another run of this program does
	Gone       Cause = "gone"        // a device was pulled, or is not there yet
	Full       Cause = "full"        // there is no room on a disk
	Failed     Cause = "failed"      // anything else that sending came to
	Slow       Cause = "slow"        // frames leave late, or newer ones overtake them
	Unwritten  Cause = "not written" // what happens cannot be written down
	NoSecond   Cause = "no second"   // the other machine of a pair is not heard
	TwoAlike   Cause = "two alike"   // another machine plays this one's part of a pair
	OtherWord  Cause = "other word"  // another machine speaks of a pair with another word
	OtherTexts Cause = "other texts" // the other machine of a pair runs other texts of the show
	Unheard    Cause = "unheard"     // live sound does not come in
	Flashing   Cause = "flashing"    // light was held that would have flashed too often
	Unknowable Cause = "unknowable"  // whether anybody receives it; said once
)

// Degree tells how much of an output suffers.
type Degree int

// From what is no fault to what leaves lamps without their light.
const (
	Aside  Degree = iota // worth one word, and nothing is wrong
	Partly               // it works, but not for all who should have it
	Wholly               // nothing arrives
)

// Grave is the gravest fault, and whether there is any beyond what is said aside.
func (s State) Grave() (Fault, bool) {
	if len(s.Faults) == 0 || s.Faults[0].Degree == Aside {
		return Fault{}, false
	}
	return s.Faults[0], true
}

// Works tells whether anything arrives, as far as that is known.
func (s State) Works() bool { return len(s.Faults) == 0 || s.Faults[0].Degree < Wholly }

// Has is the fault of a cause, the gravest first.
func (s State) Has(c Cause) (Fault, bool) {
	i := slices.IndexFunc(s.Faults, func(f Fault) bool { return f.Cause == c })
	if i < 0 {
		return Fault{}, false
	}
	return s.Faults[i], true
}

// Add is the state with what another part of the same output knows.
func (s State) Add(o State) State {
	if len(o.Faults) > 0 {
		s.Faults = slices.Concat(s.Faults, o.Faults)
		slices.SortStableFunc(s.Faults, graver)
	}
	if o.Back.After(s.Back) {
		s.Back, s.Away = o.Back, o.Away
	}
	return s
}

// graver puts the graver fault first; of equal ones a cable that is out, which explains the
// others, then that which was noticed first.
func graver(a, b Fault) int {
	explains := func(f Fault) int {
		if f.Cause == NoLink {
			return 0
		}
		return 1
	}
	return cmp.Or(cmp.Compare(b.Degree, a.Degree), cmp.Compare(explains(a), explains(b)), a.Since.Compare(b.Since), cmp.Compare(a.Cause, b.Cause), cmp.Compare(a.Who, b.Who))
}

// health keeps a State. Whoever sends, watches or listens tells it; any goroutine may ask.
// failing keeps a frame that leaves from taking the lock while there is nothing to clear.
type health struct {
	failing atomic.Bool // a fault of sending stands
	state   atomic.Pointer[State]
	mu      sync.Mutex // guards changes of state
}

// maxFaults bounds what a hostile network can make us tell.
const maxFaults = 64

// now is the state; its faults are not to be changed.
func (h *health) now() State {
	if s := h.state.Load(); s != nil {
		return *s
	}
	return State{}
}

// set tells of a fault. One that stands already keeps the time at which it was noticed.
func (h *health) set(f Fault) {
	h.mu.Lock()
	defer h.mu.Unlock()
	s := h.now()
	i := s.index(f.Cause, f.Who)
	switch {
	case i < 0 && len(s.Faults) >= maxFaults:
		return
	case i < 0:
		f.Since = time.Now()
		s.Faults = append(slices.Clone(s.Faults), f)
	default:
		f.Since = s.Faults[i].Since
		if f == s.Faults[i] {
			return
		}
		s.Faults = slices.Clone(s.Faults)
		s.Faults[i] = f
	}
	slices.SortStableFunc(s.Faults, graver)
	h.state.Store(&s)
}

// clear says that a fault is over; there need not be one.
func (h *health) clear(c Cause, who string) {
	h.drop(func(f Fault) bool { return f.Cause == c && f.Who == who })
}

// clearAll says that all faults of a cause are over, but for those of some.
func (h *health) clearAll(c Cause, but ...string) {
	h.drop(func(f Fault) bool { return f.Cause == c && !slices.Contains(but, f.Who) })
}

func (h *health) drop(over func(Fault) bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	s := h.now()
	if !slices.ContainsFunc(s.Faults, over) {
		return
	}
	now := time.Now()
	stood := !s.Works()
	since := now
	for _, f := range s.Faults {
		if f.Degree == Wholly && f.Since.Before(since) {
			since = f.Since
		}
	}
	s.Faults = slices.DeleteFunc(slices.Clone(s.Faults), over)
	if stood && s.Works() {
		s.Back, s.Away = now, now.Sub(since)
	}
	h.state.Store(&s)
}

func (s *State) index(c Cause, who string) int {
	return slices.IndexFunc(s.Faults, func(f Fault) bool { return f.Cause == c && f.Who == who })
}

// sending is the Who of what sending itself came to: there is one such fault at a time.
const sending = "sending"

// failed says that a frame did not leave, and why.
func (h *health) failed(err error) {
	f := faultOf(err)
	f.Who = sending
	h.drop(func(o Fault) bool { return o.Who == sending && o.Cause != f.Cause })
	h.set(f)
	h.failing.Store(true)
}

// left says that a frame has left.
func (h *health) left() {
	if h.failing.Swap(false) {
		h.drop(func(f Fault) bool { return f.Who == sending })
	}
}
