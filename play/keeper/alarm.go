package keeper

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"lampblack/play/alarm"
)

// hearing is what a keeper hears of an alarm: it listens itself, so that an alarm brings the
// lights up also while no run computes. What the run asks for comes over the line.
type hearing struct {
	mu     sync.Mutex // guards what follows
	watch  *alarm.Watch
	inputs []alarm.Input
	line   *link // to the run that is told; nil for none
	ended  sync.WaitGroup
}

// wish is what a run wants to be listened to.
type wish struct {
	Inputs []alarm.Input
	Stands alarm.State // what stood when the run was cut off that is taken up
}

// verdict is what became of a reset.
type verdict struct {
	Came  []string
	Says  *alarm.Says `json:",omitempty"`
	Error string
}

// listen listens to what a run wishes. A run that follows one that died finds what that had
// asked for, and the alarm as it stands.
func (k *keeper) listen(l *link, body []byte) error {
	var o wish
	if err := json.Unmarshal(body, &o); err != nil {
		return errCut
	}
	h := &k.hearing
	h.mu.Lock()
	same := h.watch != nil && slices.Equal(o.Inputs, h.inputs)
	h.mu.Unlock()
	if !same {
		if err := k.listenAnew(o); err != nil {
			return l.writeJSON(listened, verdict{Error: err.Error()})
		}
	}
	h.mu.Lock()
	h.line = l
	h.mu.Unlock()
	if err := l.writeJSON(listened, verdict{}); err != nil {
		return err
	}
	return l.writeJSON(alarms, h.watch.State())
}

// listenAnew ends what was listened to and listens to something else. An alarm that stands goes
// on.
func (k *keeper) listenAnew(o wish) error {
	if was := k.deaf(); was.Stands {
		o.Stands = was
	}
	w, err := alarm.Listen(context.Background(), o.Inputs, alarm.Options{Stands: o.Stands})
	if err != nil {
		return err
	}
	h := &k.hearing
	h.mu.Lock()
	h.watch, h.inputs = w, o.Inputs
	h.mu.Unlock()
	h.ended.Go(func() {
		for s := range w.Changes() {
			k.cry(s)
		}
	})
	return nil
}

// cry lets the wire have the alarm at once, and then the run.
func (k *keeper) cry(s alarm.State) {
	if w, closed := k.now(); w != nil && !closed {
		w.owner.Alarm(s.Stands)
	}
	k.hearing.mu.Lock()
	l := k.hearing.line
	k.hearing.mu.Unlock()
	if l != nil {
		_ = l.writeJSON(alarms, s) // one that is dead is told by the next that comes
	}
}

// alarmed tells whether an alarm stands, by what the keeper hears itself; hears is false where it
// listens to nothing, and the run alone knows.
func (k *keeper) alarmed() (stands, hears bool) {
	k.hearing.mu.Lock()
	w := k.hearing.watch
	k.hearing.mu.Unlock()
	if w == nil {
		return false, false
	}
	return w.State().Stands, true
}

// deaf ends listening, and returns how the alarm stood.
func (k *keeper) deaf() (s alarm.State) {
	h := &k.hearing
	h.mu.Lock()
	w := h.watch
	h.watch = nil
	h.mu.Unlock()
	if w != nil {
		s = w.State()
		_ = w.Close()
		h.ended.Wait()
	}
	return s
}

// ofAlarm takes what a run says of the alarm: that a key was typed, or that it is to be reset.
func (k *keeper) ofAlarm(l *link, what kind, body []byte) error {
	k.hearing.mu.Lock()
	w := k.hearing.watch
	k.hearing.mu.Unlock()
	switch {
	case w == nil:
		return nil
	case what == typed:
		w.Type(string(body))
		return nil
	}
	came, err := w.Reset()
	v := verdict{Came: came}
	if err != nil && !errors.As(err, &v.Says) {
		v.Error = err.Error()
	}
	return l.writeJSON(wasReset, v)
}

// Alarm is the alarm of a run whose keeper listens. Its methods may be called from any
// goroutine; Reset waits for the keeper, for a moment.
type Alarm struct {
	wire    *Wire
	inputs  []alarm.Input
	changes chan alarm.State

	mu     sync.Mutex // guards what follows
	state  alarm.State
	closed bool
}

// answers is how long the keeper may take for an answer of the alarm.
const answers = 2 * time.Second

// Listen has the keeper listen to alarm inputs. stands is what stood when the run was cut off
// that is taken up, and when each input was tried.
func (w *Wire) Listen(inputs []alarm.Input, stands alarm.State) (*Alarm, error) {
	a := &Alarm{wire: w, inputs: slices.Clone(inputs), changes: make(chan alarm.State, 1)}
	first := make(chan struct{})
	w.alarm.Store(&hears{a, sync.OnceFunc(func() { close(first) })})
	if err := w.writeJSON(listens, wish{inputs, stands}); err != nil {
		return nil, errors.Join(ErrGone, err)
	}
	v, err := w.verdict(w.listened)
	if err != nil {
		return nil, err
	}
	if v.Error != "" {
		return nil, errors.New(v.Error)
	}
	select {
	case <-first:
		return a, nil
	case <-w.over:
		return nil, ErrGone
	}
}

// hears is an alarm that the keeper tells of.
type hears struct {
	*Alarm
	told func() // it has been told how it stands
}

// verdict waits for an answer of the keeper.
func (w *Wire) verdict(from <-chan verdict) (verdict, error) {
	timer := time.NewTimer(answers)
	defer timer.Stop()
	select {
	case v := <-from:
		return v, nil
	case <-w.over:
		return verdict{}, ErrGone
	case <-timer.C:
		return verdict{}, fmt.Errorf("the process that owns the outputs has not answered for %v", answers)
	}
}

// take takes how the alarm stands. A reader that has not taken the last finds the newest.
func (a *Alarm) take(s alarm.State) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.closed {
		return
	}
	a.state = s
	select {
	case <-a.changes:
	default:
	}
	a.changes <- s
}

// Changes delivers how the alarm stands, as [alarm.Watch.Changes] does.
func (a *Alarm) Changes() <-chan alarm.State { return a.changes }

// State is how it stands, as the keeper said last.
func (a *Alarm) State() alarm.State {
	a.mu.Lock()
	defer a.mu.Unlock()
	s := a.state
	s.Inputs = slices.Clone(s.Inputs)
	return s
}

// Reset ends an alarm that stands, as [alarm.Watch.Reset] does.
func (a *Alarm) Reset() (came []string, err error) {
	select {
	case <-a.wire.wasReset: // of one that was given up
	default:
	}
	if err := a.wire.write(reset, nil); err != nil {
		return nil, errors.Join(ErrGone, err)
	}
	v, err := a.wire.verdict(a.wire.wasReset)
	switch {
	case err != nil:
		return nil, err
	case v.Says != nil:
		return nil, v.Says
	case v.Error != "":
		return nil, errors.New(v.Error)
	}
	return v.Came, nil
}

// Type says that a key was typed, and tells whether it is an input's.
func (a *Alarm) Type(key string) bool {
	is := slices.ContainsFunc(a.inputs, func(in alarm.Input) bool { return in.From.Kind == "key" && in.From.Place == key })
	if is {
		_ = a.wire.write(typed, func(b []byte) []byte { return append(b, key...) })
	}
	return is
}

// Close ends what Changes delivers. The keeper goes on listening until the run is over: it may
// be that this one is failing.
func (a *Alarm) Close() error {
	a.mu.Lock()
	defer a.mu.Unlock()
	if !a.closed {
		a.closed = true
		close(a.changes)
	}
	return nil
}
