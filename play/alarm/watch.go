package alarm

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"

	"lampblack/play/line"
	"lampblack/play/trigger"
	"lampblack/si"
)

// Input is one thing that may say alarm. Names are unique in a list.
type Input struct {
	Name    string
	From    line.Trigger
	Steady  time.Duration // it must say so for this long, against noise on a long wire
	Every   time.Duration // a heartbeat that must come at least so often; 0 is an input that says alarm
	LostToo bool          // that it is gone is an alarm as well
}

// State is how the alarm stands.
type State struct {
	Stands bool
	Since  time.Time // it came
	By     string    // the input that said so first, and why where it did not say so itself
	Inputs []Status  // in the list's order
}

// Status is how an input stands.
type Status struct {
	Name  string
	Says  bool      // alarm, now
	Fault string    // why it can say nothing now, "" while it can
	Hint  string    // what to do about that
	Back  string    // what is to be done before a reset while it says alarm
	Came  time.Time // when it said alarm last, by itself; zero for never
	Tried time.Time // when that was reset: it works, from the contact to the lights
}

// Options of a Watch; the zero value is that of one which has nothing to take up.
type Options struct {
	// Stands is an alarm that stood when the run was cut off: it stands until it is reset. Its
	// Inputs say when each was tried.
	Stands State
	// Open opens triggers; nil is trigger.Open.
	Open func(context.Context, trigger.List, trigger.Options) (*trigger.Set, error)
}

// Watch listens. Its methods may be called from any goroutine.
type Watch struct {
	set     *trigger.Set
	changes chan State
	stop    chan struct{}
	wake    chan struct{} // a heartbeat has come
	ended   sync.WaitGroup

	mu     sync.Mutex // guards what follows
	inputs []Input
	state  State
	beaten []time.Time // of each input: its last heartbeat, or when it was first listened for
	begun  time.Time
	closed bool
}

// Listen listens to the inputs until Close or the end of ctx. A device that is not there is
// looked for, and told by State. The error is for a list that contradicts itself.
func Listen(ctx context.Context, inputs []Input, o Options) (*Watch, error) {
	w := &Watch{inputs: slices.Clone(inputs), changes: make(chan State, 1), stop: make(chan struct{}), wake: make(chan struct{}, 1)}
	w.state = State{Stands: o.Stands.Stands, Since: o.Stands.Since, By: o.Stands.By}
	now := time.Now()
	w.begun = now
	var list trigger.List
	for i := range w.inputs {
		in := &w.inputs[i]
		w.beaten = append(w.beaten, now)
		list.Triggers = append(list.Triggers, trigger.Trigger{Name: in.Name, From: in.From, Rules: trigger.Rules{Debounce: in.Steady}, Repeats: in.Every > 0})
		st := Status{Name: in.Name, Back: in.back()}
		for _, before := range o.Stands.Inputs {
			if before.Name == in.Name {
				st.Came, st.Tried = before.Came, before.Tried
			}
		}
		w.state.Inputs = append(w.state.Inputs, st)
	}
	open := o.Open
	if open == nil {
		open = trigger.Open
	}
	if w.state.Stands {
		w.tell()
	}
	var err error
	if w.set, err = open(ctx, list, trigger.Options{Heard: w.heard, Stands: w.stood}); err != nil {
		return nil, fmt.Errorf("listen for an alarm: %w", err)
	}
	w.ended.Go(w.drain)
	w.ended.Go(func() { w.beats(ctx) })
	return w, nil
}

// Changes delivers how the alarm stands when it has come or was reset, or an input has
// become another. Of what nobody received in time the newest is delivered: nothing is lost
// by it, for an alarm stands until it is reset. It is closed by Close.
func (w *Watch) Changes() <-chan State { return w.changes }

// State is how the alarm stands now.
func (w *Watch) State() State {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.copy()
}

// copy is the state for others. Callers hold mu.
func (w *Watch) copy() State {
	s := w.state
	s.Inputs = slices.Clone(s.Inputs)
	return s
}

// Type says that a key was typed, by the name that lines have for it, and tells whether it is
// an input's: a button that is plugged in as a keyboard.
func (w *Watch) Type(key string) bool { return w.set.Type(key) }

// tell hands the state to whoever receives, the newest for one that was not received. Callers
// hold mu, or have the watch to themselves.
func (w *Watch) tell() {
	if w.closed {
		return
	}
	select {
	case <-w.changes:
	default:
	}
	w.changes <- w.copy()
}

// raise lets an alarm stand. Callers hold mu.
func (w *Watch) raise(i int, now time.Time, why string) {
	if !w.state.Stands {
		w.state.Stands, w.state.Since = true, now
		w.state.By = w.inputs[i].Name
		if why != "" {
			w.state.By += ": " + why
		}
	}
	w.tell()
}

// stood takes how a contact stands from now on.
func (w *Watch) stood(s trigger.Standing) {
	w.mu.Lock()
	defer w.mu.Unlock()
	i := w.index(s.Name)
	in, st := &w.inputs[i], &w.state.Inputs[i]
	if in.Every > 0 {
		if s.Fires {
			w.beat(i, s.Time)
		}
		return
	}
	closed := s.Level == trigger.Closed
	switch {
	case closed || s.Fires:
		st.Says, st.Came = closed, s.Time
		w.raise(i, s.Time, "")
	case s.Level == trigger.Opened && st.Says:
		st.Says = false
		w.tell()
	case s.Level == trigger.Unknown && st.Fault != "": // what came just before it went was told after that
		st.Says = in.LostToo
	}
}

// heard takes what is said of the devices: that one is gone, with what to do, or is back.
func (w *Watch) heard(h trigger.Heard) {
	w.mu.Lock()
	defer w.mu.Unlock()
	i := w.index(h.Name)
	in, st := &w.inputs[i], &w.state.Inputs[i]
	switch {
	case h.Hint != "":
		st.Fault, st.Hint = h.Text, h.Hint
		if in.Every > 0 { // its beats are waited for, whatever else is wrong
			break
		}
		if st.Says = in.LostToo && h.Time.Sub(w.begun) >= arrives; st.Says {
			w.raise(i, h.Time, gone+h.Text)
			return
		}
	case h.Text == "is listened to" && st.Fault != "":
		if st.Fault, st.Hint = "", ""; in.Every == 0 {
			st.Says = false
		}
	default:
		return
	}
	w.tell()
}

// gone begins why an input that is lost says alarm.
const gone = "it is gone: "

// arrives is how long an input may take to be there at the beginning, before that it is not
// counts as a loss: senders of slots repeat what stands every second or so (ANSI E1.31, 6.6.2).
const arrives = 3 * time.Second

func (w *Watch) index(name string) int {
	return slices.IndexFunc(w.inputs, func(in Input) bool { return in.Name == name })
}

// drain takes what fires, which stood has told already.
func (w *Watch) drain() {
	for range w.set.Fired() {
	}
}

// beat takes in that a heartbeat has come. Callers hold mu.
func (w *Watch) beat(i int, now time.Time) {
	w.beaten[i] = now
	if st := &w.state.Inputs[i]; st.Says {
		st.Says = false
		w.tell()
	}
	select {
	case w.wake <- struct{}{}:
	default:
	}
}

// beats raises the alarm of heartbeats that do not come, and of inputs that never came.
func (w *Watch) beats(ctx context.Context) {
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		select {
		case <-w.stop:
			return
		case <-ctx.Done():
			return
		case <-w.wake:
		case <-timer.C:
		}
		if next, ok := w.overdue(time.Now()); ok {
			timer.Reset(next)
		}
	}
}

// overdue raises what is overdue, and tells how long it is until the next would be; ok is false
// where nothing will be.
func (w *Watch) overdue(now time.Time) (next time.Duration, ok bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	next = time.Hour
	for i := range w.inputs {
		in, st := &w.inputs[i], &w.state.Inputs[i]
		left := w.beaten[i].Add(in.Every).Sub(now)
		if in.Every == 0 {
			left = w.begun.Add(arrives).Sub(now)
		}
		switch {
		case in.Every == 0 && !in.LostToo, st.Says:
		case left > 0:
			next, ok = min(next, left), true
		case in.Every > 0:
			st.Says, st.Came = true, now
			w.raise(i, now, "its heartbeat has not come for "+si.Say(in.Every.Seconds(), "s"))
		case st.Fault != "":
			st.Says = true
			w.raise(i, now, gone+st.Fault)
		}
	}
	return next, ok
}

// backs say what ends what an input says.
var backs = map[string]string{
	"osc":    "let the other side send 0 first",
	"notes":  "let its note go first",
	"e131":   "let the other side take its slot down first",
	"artnet": "let the other side take its slot down first",
	"pins":   "put the contact back first",
	"gpio":   "put the contact back first",
	"pipe":   `let the other side write "open" first`,
}

// back is what ends what this one says.
func (i *Input) back() string {
	if i.Every > 0 {
		return "let its heartbeat come again first"
	}
	return backs[i.From.Kind]
}

// Says is the error of a reset while an input still says alarm: Fault is why one that is gone
// says nothing else, and Back what is to be done first.
type Says struct{ Input, Fault, Back string }

func (e *Says) Error() string {
	if e.Fault != "" {
		return fmt.Sprintf("the alarm stays: %s is gone (%s), and that counts as one; %s", e.Input, e.Fault, e.Back)
	}
	return fmt.Sprintf("the alarm stays: %s still says alarm; %s", e.Input, e.Back)
}

// Still is why an alarm cannot be reset: the first input that says so still, as a [*Says]; nil
// where none does.
func Still(s State) error {
	for _, in := range s.Inputs {
		switch {
		case in.Says && in.Fault != "":
			return &Says{in.Name, in.Fault, in.Hint}
		case in.Says:
			return &Says{in.Name, "", in.Back}
		}
	}
	return nil
}

// Reset ends the alarm that stands, and returns the names of the inputs that had said so
// themselves. While one still does it returns a [*Says]. Without an alarm it does nothing.
func (w *Watch) Reset() (came []string, err error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if !w.state.Stands {
		return nil, nil
	}
	if err := Still(w.state); err != nil {
		return nil, err
	}
	now := time.Now()
	for i := range w.state.Inputs {
		if st := &w.state.Inputs[i]; !st.Came.Before(w.state.Since) {
			st.Tried = now
			came = append(came, st.Name)
		}
	}
	w.state.Stands, w.state.Since, w.state.By = false, time.Time{}, ""
	w.tell()
	return came, nil
}

// Close stops listening, and returns when all of that has ended.
func (w *Watch) Close() error {
	w.mu.Lock()
	before := w.closed
	w.closed = true
	w.mu.Unlock()
	if before {
		w.ended.Wait()
		return nil
	}
	close(w.stop)
	err := w.set.Close()
	w.ended.Wait()
	close(w.changes)
	return err
}
