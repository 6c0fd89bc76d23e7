package trigger

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"lampblack/play/line"
)

// Trigger is one trigger of a list.
type Trigger struct {
	Name string
	From line.Trigger
	Rules
	Repeats bool // each time that it is said to be closed still is a press: a heartbeat
}

// Pair is a place that is entered past one trigger and left past another.
type Pair struct{ Place, Enters, Leaves string }

// List is what a show listens to. Names are unique.
type List struct {
	Triggers []Trigger
	Pairs    []Pair
}

// Fired says that a trigger fired.
type Fired struct {
	Name  string
	Time  time.Time // at which it counted
	Since time.Time // at which the contact closed, or the press
}

// Options of a Set; the zero value is that of a set with nothing to remember.
type Options struct {
	// Log is what fired before, in any order: counts and the time for which triggers
	// are deaf go on from there. Contacts are read afresh.
	Log []Fired
	// Heard is called with all that comes, if it is not nil, from one goroutine at a
	// time. It must not wait.
	Heard func(Heard)
	// Stands is called as a contact is known to stand otherwise than before, or fires, if it
	// is not nil: from one goroutine, as soon as that is known. It must not wait.
	Stands func(Standing)

	system *system // what the machine offers; tests put another in its place
}

// Heard is something that came to a trigger, or what became of it.
type Heard struct {
	Name string
	Time time.Time
	Text string // for a person, as "closes", "fires"
	Hint string // what to do, if something is wrong
}

// Standing is how a contact stands from an instant on, whatever it starts.
type Standing struct {
	Name  string
	Time  time.Time
	Level Level
	Fires bool // it fires with that: a press has no level
}

// Limits of firings that wait to be received: so many in all, and beyond those so many
// of each trigger, so that one that chatters costs no other its own.
const (
	firedSize  = 256
	waitingOne = 16
)

// Set listens to triggers. Its methods may be called from any goroutine.
type Set struct {
	list  List
	heard func(Heard)
	stood func(Standing)
	in    *inbox
	fired chan Fired
	stop  chan struct{}
	done  chan struct{}

	receivers []receiver
	waiting   []Fired    // beyond those in fired; owned by run
	saying    sync.Mutex // held while heard is called

	mu      sync.Mutex // guards what follows
	states  []State
	places  []place // where each trigger's edges come from, as it stands
	tallies []Tally
	dropped uint64 // firings that nobody received
	closed  bool
}

// Open listens to what a list names, until Close or the end of ctx. A device that is
// not there is no error: it is looked for until it is, and Status says so. The error
// is for a list that contradicts itself.
func Open(ctx context.Context, list List, o Options) (*Set, error) {
	if err := list.check(); err != nil {
		return nil, err
	}
	s := &Set{list: list, heard: o.Heard, stood: o.Stands, in: newInbox(len(list.Triggers)), fired: make(chan Fired, firedSize),
		stop: make(chan struct{}), done: make(chan struct{}),
		states: make([]State, len(list.Triggers)), places: make([]place, len(list.Triggers)), tallies: make([]Tally, len(list.Pairs))}
	if s.heard == nil {
		s.heard = func(Heard) {}
	}
	s.restore(o.Log, time.Now())
	if o.system == nil {
		o.system = &thisSystem
	}
	go s.run(ctx)
	s.listen(o.system)
	return s, nil
}

// check finds what no set can listen to. Files are checked where they are read; this is
// for lists that come from elsewhere.
func (l *List) check() error {
	seen := map[string]bool{}
	var errs []error
	for _, t := range l.Triggers {
		if seen[t.Name] || t.Name == "" {
			errs = append(errs, fmt.Errorf("two triggers are called %q, or it is no name", t.Name))
		}
		seen[t.Name] = true
		if min(t.Debounce, t.Rearm, t.Dwell) < 0 {
			errs = append(errs, fmt.Errorf("trigger %s has a time below 0", t.Name))
		}
	}
	for _, p := range l.Pairs {
		if !seen[p.Enters] || !seen[p.Leaves] || p.Enters == p.Leaves {
			errs = append(errs, fmt.Errorf("place %s wants two triggers of the list, got %q and %q", p.Place, p.Enters, p.Leaves))
		}
	}
	return errors.Join(errs...)
}

// restore takes up what a log says. What it says of the future, as when the clock was
// set back, happened at the latest now: a trigger must not be deaf for a year.
func (s *Set) restore(log []Fired, now time.Time) {
	log = slices.Clone(log)
	slices.SortStableFunc(log, func(a, b Fired) int { return a.Time.Compare(b.Time) })
	for _, f := range log {
		i := s.index(f.Name)
		if i < 0 {
			continue // it was called otherwise then
		}
		if f.Time.After(now) {
			f.Time = now
		}
		s.states[i] = s.states[i].Resume(f.Time)
		s.tally(f.Name, Fires)
	}
}

func (s *Set) index(name string) int {
	return slices.IndexFunc(s.list.Triggers, func(t Trigger) bool { return t.Name == name })
}

// Fired delivers what fires, in order. It is closed by Close.
func (s *Set) Fired() <-chan Fired { return s.fired }

// Press presses a trigger by its name, wherever else it listens: the page's buttons
// and tests do. It reports whether there is one.
func (s *Set) Press(name string) bool {
	i := s.index(name)
	if i >= 0 {
		s.in.put(i, Edge{time.Now(), Presses})
	}
	return i >= 0
}

// Type presses the trigger of a key, by the name that a line has for it, and reports
// whether there is one.
func (s *Set) Type(key string) bool {
	i := slices.IndexFunc(s.list.Triggers, func(t Trigger) bool { return t.From.Kind == "key" && t.From.Place == key })
	if i >= 0 {
		s.in.put(i, Edge{time.Now(), Presses})
	}
	return i >= 0
}

// run judges what comes, and what falls due by itself, until the set is closed; what
// had come by then is judged.
func (s *Set) run(ctx context.Context) {
	defer close(s.done)
	timer := time.NewTimer(time.Hour)
	defer timer.Stop()
	defer s.look()
	pace := pacer{began: time.Now()} // edges may come in a flood as well
	for {
		timer.Reset(s.wait(time.Now()))
		var out chan Fired // nil, which never takes, while nothing waits
		var first Fired
		if len(s.waiting) > 0 {
			out, first = s.fired, s.waiting[0]
		}
		select {
		case out <- first:
			s.waiting = slices.Delete(s.waiting, 0, 1)
			continue
		case <-s.in.wake:
		case <-timer.C:
		case <-s.stop:
			return
		case <-ctx.Done():
			return
		}
		now := time.Now()
		s.look()
		pace.rests(now, time.Now())
	}
}

// look judges what has come and what has fallen due.
func (s *Set) look() {
	for _, a := range s.in.take() {
		s.judge(a.of, &a.Edge, a.Time)
	}
	now := time.Now()
	for i := range s.states {
		s.judge(i, nil, now)
	}
}

// wait is how long until something falls due by itself.
func (s *Set) wait(now time.Time) time.Duration {
	wait := time.Hour
	for i, t := range s.list.Triggers {
		if due, ok := t.Due(s.states[i]); ok {
			wait = min(wait, due.Sub(now))
		}
	}
	return wait
}

// judge takes an edge, or lets the time pass, and tells what comes of it. States are
// written here alone, so reading them here needs no lock.
func (s *Set) judge(i int, e *Edge, now time.Time) {
	t, before := &s.list.Triggers[i], s.states[i]
	var after State
	var out []Outcome
	if e != nil {
		after, out = t.After(before, *e)
		s.tell(t.Name, before, *e)
	} else {
		after, out = t.At(before, now)
	}
	s.mu.Lock()
	s.states[i] = after
	for _, o := range out {
		s.tally(t.Name, o.Verdict)
	}
	s.mu.Unlock()
	fires := slices.ContainsFunc(out, func(o Outcome) bool { return o.Verdict == Fires })
	if s.stood != nil && (fires || after.Level != before.Level) {
		s.stood(Standing{Name: t.Name, Time: now, Level: after.Level, Fires: fires})
	}
	for _, o := range out {
		s.say(Heard{Name: t.Name, Time: o.Time, Text: o.String()})
		if o.Verdict == Fires {
			s.send(Fired{t.Name, o.Time, o.Since})
		}
	}
}

// tell says what came, if it is news.
func (s *Set) tell(name string, before State, e Edge) {
	text := e.Change.String()
	switch {
	case e.Change == Opens && before.Raw == Opened, e.Change == Closes && before.Raw == Closed, e.Change == Loses:
		return // the place tells of what is lost, and why
	case e.Change == Opens && before.Raw == Unknown:
		text = "is open"
	case e.Change == Closes && before.Raw == Unknown:
		text = "is closed"
	}
	s.say(Heard{Name: name, Time: e.Time, Text: text})
}

// tally counts a verdict where it is a passage in or out.
func (s *Set) tally(name string, v Verdict) {
	for i, p := range s.list.Pairs {
		switch t := &s.tallies[i]; {
		case v == Doubtful && (name == p.Enters || name == p.Leaves):
			*t = t.Doubts()
		case v == Fires && name == p.Enters:
			*t = t.Enters()
		case v == Fires && name == p.Leaves:
			*t = t.Leaves()
		}
	}
}

// send hands a firing over, lets it wait, or counts it where nobody receives.
func (s *Set) send(f Fired) {
	if len(s.waiting) == 0 {
		select {
		case s.fired <- f:
			return
		default:
		}
	}
	same := 0
	for _, w := range s.waiting {
		if w.Name == f.Name {
			same++
		}
	}
	if same < waitingOne {
		s.waiting = append(s.waiting, f)
		return
	}
	s.mu.Lock()
	s.dropped++
	s.mu.Unlock()
}

// Empty says that somebody has seen a place empty, and reports whether there is such
// a place.
func (s *Set) Empty(name string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, p := range s.list.Pairs {
		if p.Place == name {
			s.tallies[i] = s.tallies[i].Empty()
			return true
		}
	}
	return false
}

func (s *Set) closing() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.closed
}

// Close stops listening, and returns when all of that has ended.
func (s *Set) Close() error {
	s.mu.Lock()
	before := s.closed
	s.closed = true
	s.mu.Unlock()
	if before {
		<-s.done
		return nil
	}
	for _, r := range s.receivers {
		_ = r.Close()
	}
	close(s.stop)
	<-s.done
	close(s.fired)
	return nil
}
