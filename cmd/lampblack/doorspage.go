package main

import (
	"context"
	"errors"
	"sync"
	"time"

	"lampblack/doors"
	"lampblack/play"
	"lampblack/play/hand"
	"lampblack/play/output"
	"lampblack/web"
)

// round is the round before doors as the pages have it.
type round struct {
	seen wires

	mu      sync.Mutex
	of      *doors.List
	written chan<- string // takes what it came to into the run's log; nil without a run
	last    string        // what was written
	ends    *time.Timer   // what is tried
}

// newRound is one of the computer alone.
func newRound() *round { return &round{of: doors.New(doors.Setup{Machine: doors.This()})} }

// begin begins a round anew.
func (r *round) begin(s doors.Setup, written chan<- string) {
	list := doors.New(s)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.of, r.written = list, written
}

// list is the round that goes on.
func (r *round) list() *doors.List {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.of
}

// said is what is in the night's report.
func (r *round) said() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.last
}

// Round tells how it stands.
func (r *round) Round() web.Round {
	list := r.list()
	return web.Round{Items: list.Items(), Sum: list.Sum().String(), Written: r.said()}
}

func (r *round) Ask()                         { r.list().Ask(context.Background()) }
func (r *round) TakeOut(id, why string) error { return r.list().TakeOut(id, why) }
func (r *round) Rest() error                  { return r.list().Rest(context.Background()) }
func (r *round) Tick(id string, s doors.State, note string) error {
	return r.list().Tick(id, s, note)
}

// tried is how long what is tried goes on without a word from the page: one that has lost its
// network ends nothing, and no show is to begin with a lamp that pulses.
const tried = 90 * time.Second

func (r *round) Try(id string) error {
	list := r.list()
	r.mu.Lock()
	if r.ends != nil {
		r.ends.Stop()
	}
	r.ends = time.AfterFunc(tried, func() { _ = list.Rest(context.Background()) }) // a run that has ended has no lamps
	r.mu.Unlock()
	return list.Try(context.Background(), id)
}

// rounds makes the round that of a show; the lamps and the outputs come with a run.
func (b *book) rounds(l *loaded) {
	b.setup, b.speakers = l.doorsSetup, loudspeakers(&l.files)
	alone := b.setup(&b.round.seen)
	alone.Outputs, alone.Pages = nil, b.server.Followers
	b.round.begin(alone, nil)
}

// goesRound lets the round reach the lamps and the outputs of the run, before it begins.
// said is what an earlier round of the night came to.
func (b *book) goesRound(sinks []output.Sink, written chan<- string, said string) {
	b.round.seen.of(sinks)
	s := b.setup(&b.round.seen)
	s.Pages = b.server.Followers
	pulse := pulses(b.Hand)
	s.Identify = func(ctx context.Context, unit string) error {
		if unit != "" && !b.idle && !b.held.Load() {
			return errors.New("lamps are tried while the show is held: hold first, or find one on the Focus page")
		}
		return pulse(ctx, unit)
	}
	s.TakeOut = func(unit, why string) error {
		return b.Hand(hand.Order{Do: hand.TakeOut, Units: []string{unit}, Why: why})
	}
	s.Speak = func(_ context.Context, name string) error {
		list, err := named(b.speakers, name)
		if !b.held.Load() {
			return errors.New("the test signal is for a show that is held: hold first")
		}
		if err == nil {
			b.ask(play.Command{Do: play.Test, Channel: list[0].Channel})
		}
		return err
	}
	if w := b.contacts.alarm; w != nil {
		s.Alarms = doorsAlarms(w.State)
	}
	b.round.begin(s, written)
	b.round.mu.Lock()
	defer b.round.mu.Unlock()
	b.round.last = said
}

// Finish takes what it came to into the night's report.
func (r *round) Finish() error {
	if err := r.Rest(); err != nil {
		return err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.written == nil {
		return errors.New("no run is attached that would keep it: begin it with lampblack open DIR --run --held")
	}
	text := nowAnd(r.of.Sum().String())
	select {
	case r.written <- text:
	default:
		return errors.New("the run does not answer: again in a moment")
	}
	r.last = text
	return nil
}
