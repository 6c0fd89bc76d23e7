package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"time"

	"lampblack/check/finding"
	"lampblack/play"
	"lampblack/play/hand"
	"lampblack/show"
	"lampblack/source"
	"lampblack/web"
)

// What a person may want of an edit of the show's files while it runs. The run knows nothing
// of it.
const (
	editNow  play.Action = "edit now"         // it is taken
	editCue  play.Action = "edit at cue"      // it is taken when the next cue begins
	editNot  play.Action = "edit not tonight" // it stays in the files
	editBack play.Action = "edit back"        // the show runs as before the last that was taken
)

// isEdit tells whether an action is one of an edit.
func isEdit(do play.Action) bool {
	return slices.Contains([]play.Action{editNow, editCue, editNot, editBack}, do)
}

// edits watches the files of a show that runs. Who rehearses has a good edit on the stage as
// soon as it is written, and back with a key; in the evening it is offered. One that has a
// fault is told, and changes nothing.
type edits struct {
	l        *byHand
	say      func(what, text string)
	rehearse bool
	given    bool                                // the outputs are those of the command line
	leads    func() (version string, leads bool) // which texts another machine runs, while this one follows it
	done     chan struct{}
	takes    sync.WaitGroup // what is taken at a cue, or as the other machine takes it

	mu     sync.Mutex // guards what follows
	offer  *edit      // that is offered, or waits for its cue
	atCue  bool
	taking bool   // as the other machine has
	cue    string // what stood when it was put off until the next
	now    string // what stands, as the run said last
	before *edit  // what ran before the last that was taken
	fault  string // of the last edit, which is not offered
}

// edit is one that can be taken.
type edit struct {
	names   string // of the files
	said    string // in the log, when it is taken
	place   *show.Place
	version string // of that
	texts   map[string][]byte
}

// watchEdits begins to watch; it ends with ctx.
func watchEdits(ctx context.Context, l *byHand, say func(what, text string), f *runFlags, leads func() (string, bool)) *edits {
	e := &edits{l: l, say: say, rehearse: f.rehearses, given: len(f.outputs) > 0, leads: leads, done: make(chan struct{})}
	go e.watch(ctx)
	return e
}

func (e *edits) watch(ctx context.Context) {
	defer close(e.done)
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	known := stampsOf(e.l.dir, edited)
	if again != nil {
		known = nil // what runs may be older than the folder
	}
	var last map[string]stamp
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		now := stampsOf(e.l.dir, edited)
		if changedFiles(known, now) == nil {
			last = nil
			continue
		}
		if changedFiles(last, now) != nil || e.l.busy() { // it is being written, maybe by the hand
			last = now
			continue
		}
		names := changedFiles(known, now)
		known, last = now, nil
		e.look(ctx, strings.Join(names, ", "))
	}
}

// edited tells whether a file is a text of the show, and not what belongs to a night.
func edited(path string) bool {
	return isText(path) && path != hand.TonightFile && path != hand.FocusFile
}

// changedFiles are the names that are other files than before, or only there once.
func changedFiles(a, b map[string]stamp) (names []string) {
	for name, s := range b {
		if a[name] != s {
			names = append(names, name)
		}
	}
	for name := range a {
		if _, is := b[name]; !is {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// look reads the show as it was changed, and takes or offers it.
func (e *edits) look(ctx context.Context, names string) {
	e.l.files.Lock()
	defer e.l.files.Unlock()
	state, _ := e.l.hand.State()
	next, err := solve(ctx, io.Discard, e.l.dir, reading{out: state.OutUnits(), night: true})
	if err != nil {
		e.bad(ctx, names, err.Error())
		return
	}
	defer next.close()
	if next.show == nil {
		e.bad(ctx, names, firstStop(next.findings))
		return
	}
	place := e.l.stage(next)
	version := versionOf(place, next.texts)
	if version == e.l.version() { // by the hand, or back to what runs
		e.set(nil, "")
		return
	}
	found, err := next.check(ctx)
	if err != nil {
		e.bad(ctx, names, err.Error())
		return
	}
	if stops := finding.Stops(found); len(stops) > 0 {
		e.bad(ctx, names, firstStop(found))
		return
	}
	if others := e.fixed(place, next); len(others) > 0 || !e.l.hand.Takes(place) {
		e.set(nil, fmt.Sprintf("%s changed: %s. A run takes that over only as it begins, and this one goes on as it was", names, cmp.Or(source.First(others, 8), "other units, zones, steps or waits")))
		e.tell("note")
		e.say("hint", "end it and start it again, in an interval, to have it; or change the looks and cues alone, and those are offered")
		return
	}
	o := &edit{source.Visible(names), "changed while it ran, and taken: " + source.Visible(names), place, version, next.texts}
	e.set(o, "")
	if _, leads := e.leads(); leads {
		e.say("note", o.names+" changed: "+mainDecides)
		return
	}
	if e.rehearse {
		e.take(o)
		return
	}
	e.say("note", o.names+" changed. The run goes on as it was: e takes the change now, c when the next cue begins, i leaves it for another day")
}

// set puts down what is offered, and what is wrong with the last edit.
func (e *edits) set(o *edit, fault string) {
	e.mu.Lock()
	e.offer, e.fault, e.atCue = o, fault, false
	e.mu.Unlock()
	e.l.count.Add(1)
}

// bad tells of an edit that has a fault.
func (e *edits) bad(ctx context.Context, names, fault string) {
	if ctx.Err() != nil {
		return
	}
	e.set(nil, names+" changed, and cannot be taken: "+fault)
	e.tell("warning")
	e.say("hint", "the run goes on as it was; mend the file, and it is looked at again")
}

func (e *edits) tell(what string) {
	e.mu.Lock()
	text := e.fault
	e.mu.Unlock()
	e.say(what, text)
}

// take lets the run go on with an edit. What ran before can be taken back.
func (e *edits) take(o *edit) {
	before := &edit{"what ran before", "back to what ran before", e.l.hand.Place(), e.l.version(), e.l.running()}
	if err := e.l.hand.Replace(o.place, hand.State{}, o.said); err != nil {
		e.set(nil, o.names+" changed, and cannot be taken: "+err.Error())
		e.tell("warning")
		return
	}
	e.l.pinned(context.Background(), o.texts, o.version)
	e.mu.Lock()
	e.before = before
	e.mu.Unlock()
	e.set(nil, "")
	e.say("note", o.names+" is taken: the light goes over to it within a second; z goes back to what ran before")
}

// mainDecides is told of edits on a machine that stands by.
const mainDecides = "it is taken here as soon as the main machine takes the same"

// errNoEdit is told to who takes what is not there.
var errNoEdit = errors.New("no change of the files is offered")

// refuses says why nothing can be done of what a person wants of an edit; "" where it can.
func (e *edits) refuses(do play.Action) string {
	_, leads := e.leads()
	e.mu.Lock()
	defer e.mu.Unlock()
	switch {
	case leads:
		return "which texts run, the main machine says while it is heard; a change of the files here: " + mainDecides
	case do == editBack && e.before == nil:
		return "no change of the files was taken that could be taken back"
	case do != editBack && e.offer == nil:
		return errNoEdit.Error()
	}
	return ""
}

// order carries out what a person wants of an edit.
func (e *edits) order(do play.Action) {
	e.mu.Lock()
	o, before := e.offer, e.before
	e.mu.Unlock()
	why := e.refuses(do)
	switch {
	case why != "":
		e.say("note", why)
	case do == editBack:
		e.take(before)
	case o == nil: // it has gone meanwhile
	case do == editNow:
		e.take(o)
	case do == editCue:
		e.mu.Lock()
		e.atCue, e.cue = true, e.now
		e.mu.Unlock()
		e.say("note", o.names+" is taken when the next cue begins")
	case do == editNot:
		e.set(nil, "")
		e.say("note", o.names+" is not taken tonight; the next start takes it")
	}
}

// follow takes what waits for a cue when one begins, and what the other machine has taken; it
// is called from the run's loop.
func (e *edits) follow(s *play.Status) {
	version, leads := e.leads()
	e.mu.Lock()
	defer e.mu.Unlock()
	if leads {
		e.goWith(version)
		return
	}
	e.now = fmt.Sprintf("%d/%s", s.State.Step, s.State.Cue)
	if !e.atCue || e.offer == nil || e.now == e.cue {
		return
	}
	o := e.offer
	e.atCue = false
	e.takes.Go(func() { e.take(o) })
}

// goWith takes what the other machine runs, where the folder has it, or where it ran here
// before. The lock is held.
func (e *edits) goWith(version string) {
	for _, o := range []*edit{e.offer, e.before} {
		if o != nil && o.version == version && !e.taking && version != e.l.version() {
			e.taking = true
			e.takes.Go(func() {
				e.take(o)
				e.mu.Lock()
				e.taking = false
				e.mu.Unlock()
			})
			return
		}
	}
}

// close waits until nothing is looked at or taken any more; the context has ended.
func (e *edits) close() {
	<-e.done
	e.takes.Wait()
}

// page is what the pages say of edits.
func (e *edits) page() web.Edit {
	e.mu.Lock()
	defer e.mu.Unlock()
	p := web.Edit{Back: e.before != nil}
	switch {
	case e.offer != nil && e.atCue:
		p.Text, p.Offered = "changed: "+e.offer.names+", which is taken when the next cue begins", true
	case e.offer != nil:
		p.Text, p.Offered = "changed: "+e.offer.names+"; the run goes on as it was", true
	case e.fault != "":
		p.Text = e.fault
	}
	return p
}
