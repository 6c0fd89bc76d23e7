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
	"sync/atomic"
	"time"

	"lampblack/check/finding"
	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/play"
	"lampblack/play/fader"
	"lampblack/play/hand"
	"lampblack/score"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
	"lampblack/web"
)

// byHand is the lamps of a run as a person's hand has them: it takes orders, writes what is
// kept into the looks, and has looks worked out anew when a unit is out or a look has changed.
type byHand struct {
	dir     string
	journal string
	say     func(what, text string)
	hand    *hand.Hand
	// stage is the place that the run goes on with.
	stage func(*loaded) *show.Place

	files sync.Mutex // over mu; changes of files come one after another

	mu     sync.Mutex        // held for no work: the run's loop asks too
	back   string            // what undo would take back, "" for nothing
	outs   []string          // units without which the looks are worked out, or are about to be
	job    job               // that waits to be done
	works  bool              // one is done
	texts  map[string][]byte // of what runs
	sum    string            // of those
	wrong  string            // with the last
	count  atomic.Int64      // rises with whatever changes
	covers string            // how far the likes of units that are out bring what those did
	levels []float32
	aimed  []hand.Aimed

	said   string        // of what is wrong, on the terminal; the run's loop's own
	faders *fader.Set    // nil without any
	more   chan struct{} // tells the worker of a job
	done   chan struct{} // closes when it has ended
	book   *book         // that shows the show; may be nil
}

// job is what is to be worked out anew: the looks, and then let go of what was kept in them.
type job struct {
	todo    bool
	kept    hand.State
	changed bool   // the files were changed, and are to be checked
	text    string // what is another then, for the log; "" for the units that are out
}

// openByHand takes up what a hand had set tonight, and begins to take orders.
func openByHand(ctx context.Context, say func(what, text string), dir string, f *runFlags, s *show.Show, o *play.Options) (*byHand, error) {
	p := f.stage(s, o)
	l := &byHand{dir: dir, journal: f.journal, texts: f.texts, sum: versionOf(p, f.texts), say: say, stage: f.stageOf, more: make(chan struct{}, 1), done: make(chan struct{})}
	options := hand.Options{Dir: dir, Told: func(hand.State) { l.count.Add(1) }, Goes: func(came []hand.Came) { remember(memoHand, came) }}
	var from hand.State
	if came, ok := l.before(p.Show); ok {
		options.Came, from = came, came[len(came)-1].State
		l.outs, l.covers = f.out, coverWords(p.Show, f.out)
	} else {
		from = l.tonight(ctx)
		if f.resumes && (!o.Start.Instant.IsZero() || len(o.Starts) > 0) { // a run that was cut off is taken up
			from, _ = l.unlit(from, p.Show, "when the run was cut off")
		}
	}
	var err error
	if l.hand, o.Hand, err = hand.New(p, from, options); err != nil {
		say("warning", "what was set by hand tonight cannot be taken up: "+err.Error())
		options.Came = nil
		if l.hand, o.Hand, err = hand.New(p, hand.State{}, options); err != nil {
			return nil, err
		}
	}
	if l.aimed, err = hand.LoadChart(ctx, dir); err != nil && ctx.Err() == nil {
		say("warning", "which units are aimed cannot be read: "+err.Error())
	}
	if names := from.Strangers(s.Rig); len(names) > 0 {
		say("warning", strangers(names))
		say("hint", "the rest is taken up; write the names of now into "+hand.TonightFile+", or set it anew")
	}
	l.open(f)
	l.look(ctx)
	go l.work(ctx)
	l.without()
	return l, nil
}

// strangers tells of names in tonight.yaml that lead nowhere.
func strangers(names []string) string {
	return hand.TonightFile + " names what rig.yaml has not, and which therefore changes nothing: " + source.First(names, 8)
}

// open opens the faders of the show, which trim its systems.
func (l *byHand) open(f *runFlags) {
	if f.files == nil || f.files.Triggers == nil || len(f.files.Triggers.Moves()) == 0 {
		return
	}
	var list []fader.Fader
	for _, m := range f.files.Triggers.Moves() {
		list = append(list, fader.Fader{Name: m.System, Fader: m.Fader})
	}
	l.faders = fader.Open(list, fader.Options{
		Moved: func(system string, factor float64) {
			if err := l.Hand(hand.Order{Do: hand.TrimTo, System: system, Level: factor}); err != nil {
				l.say("warning", "the fader of "+system+": "+err.Error())
			}
		},
		Level: func(system string) float64 {
			state, _ := l.hand.State()
			for _, t := range state.Trims {
				if t.System == system {
					return t.Factor
				}
			}
			return 1
		},
	})
}

// tonight is what a hand has set for this night. What is of another night is left where it
// is, and told.
func (l *byHand) tonight(ctx context.Context) hand.State {
	s, night, ok, err := hand.Load(ctx, l.dir)
	switch {
	case ctx.Err() != nil: // it was told to end, and has read nothing
		return hand.State{}
	case err != nil:
		l.say("warning", "what was set by hand tonight cannot be read: "+err.Error())
		l.say("hint", "the show runs without it; mend or remove "+hand.TonightFile)
		return hand.State{}
	case !ok || s.Nothing():
		return hand.State{}
	case night != hand.NightOf(time.Now()):
		l.say("note", "what was set by hand in the night of "+night+" is not taken over: "+s.String())
		l.say("hint", "`lampblack tonight "+l.dir+" --take` takes it over, --drop drops it, --write writes it into the looks")
		return hand.State{}
	}
	l.say("note", "by hand tonight: "+s.String())
	return s
}

// Hand carries out an order.
func (l *byHand) Hand(o hand.Order) error {
	if err := l.hand.Order(o); err != nil {
		return err
	}
	l.without()
	return nil
}

// without has the looks worked out anew when other units are out than they were worked out
// for, whichever order brought that: dropping all brings units back too.
func (l *byHand) without() {
	state, _ := l.hand.State()
	outs := state.OutUnits()
	l.mu.Lock()
	other := !slices.Equal(outs, l.outs)
	l.outs = outs
	switch {
	case len(outs) == 0:
		l.covers = ""
	case other:
		l.covers = "its part is being given to its likes: some seconds"
	}
	l.mu.Unlock()
	if other {
		l.again(job{})
	}
}

// errNothingHeld is told to who keeps what is not there.
var errNothingHeld = errors.New("nothing is set by hand, so there is nothing to keep")

// Keep writes light into a look: without any, what is held, which is let go once the look has
// come.
func (l *byHand) Keep(look string, held []hand.Held) error {
	var kept hand.State
	if len(held) == 0 {
		state, _ := l.hand.State()
		held, kept.Held = state.Held, state.Held
	}
	if err := hand.Valid(held); err != nil {
		return err
	}
	parts := hand.Keeps(l.hand.Show(), held)
	if len(parts) == 0 {
		return errNothingHeld
	}
	return l.change(fmt.Sprintf("%s, in look %s", hand.State{Held: held}.String(), look), kept, func(data []byte) ([]byte, error) {
		return score.Keep(show.ScoreFile, data, look, parts)
	})
}

// Write writes the trims into all looks, and lets go of them.
func (l *byHand) Write() error {
	state, _ := l.hand.State()
	kept := hand.State{Trims: state.Trims}
	if len(kept.Trims) == 0 {
		return errors.New("there are no trims to write into the looks")
	}
	s := l.hand.Show()
	return l.change(kept.String()+", in all looks", kept, func(data []byte) ([]byte, error) {
		return hand.WriteTrims(s, show.ScoreFile, data, kept.Trims)
	})
}

// change changes the score's text, and has the looks worked out anew.
func (l *byHand) change(text string, kept hand.State, with func([]byte) ([]byte, error)) error {
	l.files.Lock()
	defer l.files.Unlock()
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if err := l.sameUnits(ctx); err != nil {
		return err
	}
	_, err := ledger.Make(ctx, l.dir, handName, func(t *ledger.Texts) (string, error) {
		before := t.Read(show.ScoreFile)
		if before == nil {
			return "", fmt.Errorf("%s is missing from the show's folder", show.ScoreFile)
		}
		after, err := with(before)
		t.Put(show.ScoreFile, after)
		return text, err
	})
	if err != nil && !errors.Is(err, ledger.ErrUnchanged) { // what is written so already is let go of all the same
		return err
	}
	l.look(ctx)
	l.again(job{kept: kept, changed: true, text: "written into the looks by hand: " + text})
	return nil
}

// handName is who a hand is to those who take its changes back.
const handName = "by hand"

// look asks what undo would take back.
func (l *byHand) look(ctx context.Context) {
	back := ""
	if log, err := ledger.Read(ctx, l.dir, 1); err == nil && log.Undo != nil {
		if back = log.Undo.What; log.Undo.Who != handName {
			back += ", by " + log.Undo.Who
		}
	}
	l.mu.Lock()
	l.back = back
	l.mu.Unlock()
	l.count.Add(1)
}

// sameUnits refuses to write the names of units that rig.yaml has no longer into the looks: the
// show would not start any more.
func (l *byHand) sameUnits(ctx context.Context) error {
	f, err := folder.Open(ctx, l.dir)
	if err != nil {
		return err
	}
	defer f.Close()
	files, _ := show.Read(f) // what is wrong with them is told when the looks are worked out anew
	if files.Rig != nil && !slices.Equal(files.Rig.UnitNames(), l.hand.Show().Rig.UnitNames()) {
		return hand.ErrOther
	}
	return nil
}

// Undo takes the last change of the show's files back, whoever made it.
func (l *byHand) Undo() error {
	l.files.Lock()
	defer l.files.Unlock()
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	e, err := ledger.Undo(ctx, l.dir, handName)
	if err != nil {
		return err
	}
	l.look(ctx)
	l.again(job{changed: true, text: "taken back by hand: " + e.What})
	return nil
}

// Aimed notes that a unit is aimed, or that it is not.
func (l *byHand) Aimed(unit string, done bool, note string) error {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	l.files.Lock()
	defer l.files.Unlock()
	list, err := hand.Note(ctx, l.dir, l.hand.Show().Rig, unit, done, note, time.Now())
	if err != nil {
		return err
	}
	l.mu.Lock()
	l.aimed = list
	l.mu.Unlock()
	l.count.Add(1)
	return nil
}

// again has the looks worked out anew, soon. Jobs that come while one is done are one.
func (l *byHand) again(j job) {
	l.mu.Lock()
	if l.job.todo, l.job.changed = true, l.job.changed || j.changed; l.job.text != "" && j.text != "" {
		j.text = l.job.text + "; " + j.text
	}
	l.job.text = cmp.Or(j.text, l.job.text)
	l.job.kept.Held = append(l.job.kept.Held, j.kept.Held...)
	l.job.kept.Trims = append(l.job.kept.Trims, j.kept.Trims...)
	l.count.Add(1)
	l.mu.Unlock()
	select {
	case l.more <- struct{}{}:
	default:
	}
}

// busy tells whether something is worked out anew, or is about to be.
func (l *byHand) busy() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.works || l.job.todo
}

// work does jobs, until ctx ends.
func (l *byHand) work(ctx context.Context) {
	defer close(l.done)
	for {
		select {
		case <-ctx.Done():
			return
		case <-l.more:
		}
		l.mu.Lock()
		j := l.job
		l.job, l.works = job{}, j.todo
		l.mu.Unlock()
		if !j.todo {
			continue
		}
		err := l.do(ctx, j)
		wrong := ""
		if err != nil && ctx.Err() == nil {
			wrong = err.Error() // tell says it
		}
		l.mu.Lock()
		l.wrong, l.works = wrong, false
		l.mu.Unlock()
		l.count.Add(1)
	}
}

// do works the looks out anew, hands them to the run, and then checks them: what is on the
// stage was asked for by a person who sees it, and waits for no check.
func (l *byHand) do(ctx context.Context, j job) error {
	state, _ := l.hand.State()
	next, err := solve(ctx, io.Discard, l.dir, reading{out: state.OutUnits(), night: true})
	if err != nil {
		return fmt.Errorf("the looks cannot be worked out anew, and stay as they were: %w", err)
	}
	defer next.close()
	if next.show == nil {
		return errors.New("the looks stay as they were, for the files have a fault: " + firstStop(next.findings))
	}
	if err := l.hand.Replace(l.stage(next), j.kept, cmp.Or(j.text, outWords(state.OutUnits()))); err != nil {
		return fmt.Errorf("the looks stay as they were: %w", err)
	}
	l.pinned(ctx, next.texts, versionOf(l.hand.Place(), next.texts))
	covers := coverWords(next.show, state.OutUnits())
	l.mu.Lock()
	l.covers = covers
	l.mu.Unlock()
	if !j.changed {
		return nil
	}
	found, err := next.check(ctx)
	if err != nil {
		return err
	}
	next.findings = append(next.findings, found...)
	if l.book != nil {
		l.book.changed(ctx, next)
	}
	if len(finding.Stops(next.findings)) > 0 {
		return errors.New("as it is kept the show has what stops its next run: " + firstStop(next.findings))
	}
	return nil
}

// outWords says without which units looks are worked out.
func outWords(out []string) string {
	if len(out) == 0 {
		return "worked out anew with all units"
	}
	return "worked out anew without " + source.First(out, 8)
}

// running are the texts of what runs.
func (l *byHand) running() map[string][]byte {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.texts
}

// version is the sum of the texts of what runs.
func (l *byHand) version() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.sum
}

// pinned keeps the texts of what runs from now on, and their sum.
func (l *byHand) pinned(ctx context.Context, texts map[string][]byte, version string) {
	l.mu.Lock()
	l.texts, l.sum = texts, version
	l.mu.Unlock()
	pin(ctx, l.journal, texts)
}

// coverWords says how far the likes of units that are out bring what those did.
func coverWords(s *show.Show, out []string) string {
	if len(out) == 0 {
		return ""
	}
	lacks := s.Lacks()
	if len(lacks) == 0 {
		return "its likes bring all that it did"
	}
	worst := lacks[0]
	text := fmt.Sprintf("its likes reach part of the way: in look %s, %s has %.0f %% less light", worst.Look, worst.On, 100*worst.Share)
	if n := len(lacks) - 1; n > 0 {
		text += "; " + si.Count(n, "other look lacks", "other looks lack") + " less than that"
	}
	return text
}

// firstStop is the first finding that stops a run, in words.
func firstStop(list []finding.Finding) string {
	for _, f := range finding.Stops(list) {
		return strings.TrimSpace(f.Place + ": " + f.Text)
	}
	return "see lampblack check"
}

// trouble is what the hand holds, and what is wrong: that it cannot be kept, what the last change
// of the looks came to, or that faders are away.
func (l *byHand) trouble() (state hand.State, wrong string) {
	state, wrong = l.hand.State()
	if wrong == "" {
		l.mu.Lock()
		wrong = l.wrong
		l.mu.Unlock()
	}
	if wrong == "" && l.faders != nil {
		if err := l.faders.Away(); err != nil {
			wrong = "faders do not answer: plug the controller in, the sliders of the pages work meanwhile: " + err.Error()
		}
	}
	return state, wrong
}

// tell says on the terminal what has become wrong; it is called by the run's loop.
func (l *byHand) tell() {
	_, wrong := l.trouble()
	if wrong != l.said && wrong != "" {
		l.say("warning", wrong)
	}
	l.said = wrong
}

// Lamps tells pages how things stand.
func (l *byHand) Lamps() web.Lamps {
	state, wrong := l.trouble()
	l.mu.Lock()
	defer l.mu.Unlock()
	out := web.Lamps{Wrong: wrong, Look: state.Look, Held: state.Held, Trims: state.Trims, Outs: state.Outs, Focus: state.Focus, Levels: l.levels, Covers: l.covers, Aimed: hand.Still(l.hand.Show().Rig, l.aimed)}
	if !state.Nothing() {
		out.Holds = state.String()
	}
	out.Undo = l.back
	return out
}

// follow takes in where the run is, and tells what pages are to know of the hand.
func (l *byHand) follow(s *play.Status) (holds, wrong string, count int) {
	state, wrong := l.trouble()
	l.mu.Lock()
	defer l.mu.Unlock()
	l.levels = s.Levels
	if !state.Nothing() {
		holds = state.String()
	}
	return holds, wrong, int(l.count.Load())
}

// close waits until nothing is done any more; the context has ended.
func (l *byHand) close() {
	<-l.done
	if l.faders != nil {
		_ = l.faders.Close()
	}
}
