package editing

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"lampblack/amend"
	"lampblack/check/finding"
	"lampblack/ledger"
	"lampblack/show"
	"lampblack/source"
)

// Solved is a show as it was read and worked out.
type Solved struct {
	Files  show.Files
	Base   *show.Show   // of the folder itself; nil where its texts do not read
	Shown  *show.Show   // the piece of it that is looked at
	Turns  []show.Turns // of an evening, or of the zones of a place
	Sound  string       // the file of the piece's own sound, "" for none
	Faults source.Faults
	// Check runs the checks over it.
	Check func(context.Context) ([]finding.Finding, error)
}

// Options say what a show is worked out by.
type Options struct {
	Dir string
	// Solve reads the folder with other texts laid over it, nil for one that is not there, and
	// works it out from what was before. With quick it stops where the light in the room would
	// have to be worked out: Base is nil then, without a fault.
	Solve func(ctx context.Context, over map[string][]byte, from *Solved, quick bool) (*Solved, error)
	// Changed is told of what stands now, and what was found in it; while stale tells that the
	// findings are those of before. It is called for one after another.
	Changed func(s *Solved, found []finding.Finding, stale bool)
	// Told is told what went wrong behind a change that was written, and Faulty what is wrong with
	// texts that do not make a show; the show stays as it was then. Either may be nil.
	Told   func(error)
	Faulty func(source.Faults)
}

// Work is a show that is open for changing. It is safe for use by many goroutines; changes come
// one after another.
type Work struct {
	o Options

	making sync.Mutex // a change

	mu     sync.Mutex // guards what follows
	now    *Solved
	faults source.Faults // of the texts as they stand, which may not be those of now
	found  []finding.Finding
	stop   context.CancelFunc // of what is worked out behind the last change
	count  int                // of changes
	work   sync.WaitGroup
	ended  bool
}

// New opens a show for changing that was worked out already.
func New(o Options, now *Solved, found []finding.Finding) *Work {
	if o.Told == nil {
		o.Told = func(error) {}
	}
	if o.Faulty == nil {
		o.Faulty = func(source.Faults) {}
	}
	return &Work{o: o, now: now, faults: now.Faults, found: found, stop: func() {}}
}

// Refused is that a change would leave the show with a fault that it has not now.
type Refused struct{ Faults source.Faults }

func (r *Refused) Error() string {
	f := r.Faults[0]
	text := f.Text
	if f.Hint != "" {
		text += ": " + f.Hint
	}
	if n := len(r.Faults) - 1; n > 0 {
		text += fmt.Sprintf("; and %d more", n)
	}
	return text
}

// Change makes changes, all or none.
func (w *Work) Change(ctx context.Context, who string, changes []amend.Change) (ledger.Entry, error) {
	return w.edit(ctx, who, func(t *ledger.Texts) (string, error) { return amend.Apply(t, changes) })
}

// edit makes an edit of the texts that leaves the show no worse, and has it shown.
func (w *Work) edit(ctx context.Context, who string, with func(*ledger.Texts) (string, error)) (ledger.Entry, error) {
	w.making.Lock()
	defer w.making.Unlock()
	var next *Solved
	e, err := ledger.Make(ctx, w.o.Dir, who, func(t *ledger.Texts) (said string, err error) {
		said, next, err = w.apply(ctx, t, with)
		return said, err
	})
	if err == nil {
		w.take(next)
	}
	return e, err
}

// Try is what changes would come to; nothing is written. Where only working out the light in the
// room would tell, it returns ErrSlow.
func (w *Work) Try(ctx context.Context, changes []amend.Change) (*Solved, error) {
	t, err := ledger.Look(ctx, w.o.Dir)
	if err != nil {
		return nil, err
	}
	_, next, err := w.apply(ctx, t, func(t *ledger.Texts) (string, error) { return amend.Apply(t, changes) })
	if err == nil && next.Shown == nil {
		err = ErrSlow
	}
	return next, err
}

// ErrSlow is that what a change comes to takes seconds to work out.
var ErrSlow = errors.New("the light in the room is to be worked out for that: some seconds, once it is written")

// apply makes changes to texts, and works out what they come to.
func (w *Work) apply(ctx context.Context, t *ledger.Texts, with func(*ledger.Texts) (string, error)) (said string, next *Solved, err error) {
	if said, err = with(t); err != nil {
		return "", nil, err
	}
	w.mu.Lock()
	from, known := w.now, w.faults
	w.mu.Unlock()
	next, err = w.o.Solve(ctx, t.Changed(), from, true)
	if err != nil {
		return "", nil, err
	}
	if next.Shown == nil && next.Faults.Err() == nil {
		next.Faults = append(next.Faults, next.Files.Foretold()...)
	}
	if more := added(known, next.Faults); len(more) > 0 {
		return "", nil, &Refused{more}
	}
	return said, next, nil
}

// added are the faults that were not there before, wherever they stand now; mild ones do not count.
func added(before, after source.Faults) (out source.Faults) {
	known := map[string]int{}
	for _, f := range before {
		known[f.File+"\n"+f.Text]++
	}
	for _, f := range after {
		if key := f.File + "\n" + f.Text; known[key] > 0 {
			known[key]--
		} else if !f.Mild {
			out = append(out, f)
		}
	}
	return out
}

// Undo takes back what was written last, whoever wrote it.
func (w *Work) Undo(ctx context.Context, who string) (ledger.Entry, error) {
	return w.turn(ctx, who, ledger.Undo)
}

// Redo writes again what was taken back.
func (w *Work) Redo(ctx context.Context, who string) (ledger.Entry, error) {
	return w.turn(ctx, who, ledger.Redo)
}

func (w *Work) turn(ctx context.Context, who string, do func(context.Context, string, string) (ledger.Entry, error)) (ledger.Entry, error) {
	w.making.Lock()
	defer w.making.Unlock()
	e, err := do(ctx, w.o.Dir, who)
	if err == nil {
		err = w.again(ctx)
	}
	return e, err
}

// Foreign takes in what another program may have written. With sounds something else than texts
// has changed, too.
func (w *Work) Foreign(ctx context.Context, sounds bool) error {
	w.making.Lock()
	defer w.making.Unlock()
	wrote, err := ledger.Note(ctx, w.o.Dir, ledger.Outside, "")
	if err != nil || !wrote && !sounds {
		return err
	}
	return w.again(ctx)
}

// Reload works the show out as its folder stands, where something else than its texts is another.
func (w *Work) Reload(ctx context.Context) error {
	w.making.Lock()
	defer w.making.Unlock()
	return w.again(ctx)
}

// again reads the folder as it stands.
func (w *Work) again(ctx context.Context) error {
	next, err := w.o.Solve(ctx, nil, w.Now(), true)
	if err == nil {
		w.take(next)
	}
	return err
}

// Now is the show as it was worked out last.
func (w *Work) Now() *Solved {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.now
}

// Log lists the newest edits.
func (w *Work) Log(ctx context.Context, most int) (ledger.Log, error) {
	return ledger.Read(ctx, w.o.Dir, most)
}

// Written is what a text of the show says at a place; nothing where it has none.
func (w *Work) Written(ctx context.Context, name string, at amend.Path) (source.Plain, error) {
	t, err := ledger.Look(ctx, w.o.Dir)
	if err != nil {
		return source.Plain{}, err
	}
	return amend.At(t, name, at)
}

// take has what was written shown, and then works out and checks what is left, which ends when
// the next change comes.
func (w *Work) take(next *Solved) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.ended {
		return
	}
	w.stop()
	ctx, stop := context.WithCancel(context.Background())
	w.stop = stop
	w.count++
	count := w.count
	w.faults = next.Faults
	if next.Shown != nil {
		w.now = next
		w.o.Changed(next, w.found, true)
	}
	w.work.Go(func() {
		defer stop()
		if err := w.finish(ctx, count, next); err != nil && ctx.Err() == nil {
			w.o.Told(err)
		}
	})
}

// finish works out and checks what a change has come to.
func (w *Work) finish(ctx context.Context, count int, next *Solved) (err error) {
	if next.Shown == nil {
		if next, err = w.o.Solve(ctx, nil, w.Now(), false); err != nil {
			return err
		}
		if next.Shown == nil {
			w.keep(count, next, finding.FromFaults(next.Faults), false)
			return nil
		}
		w.keep(count, next, nil, true)
	}
	found, err := next.Check(ctx)
	if err == nil {
		w.keep(count, next, append(finding.FromFaults(next.Faults), found...), false)
	}
	return err
}

// keep has the show of a change known and shown, unless there was another since. Without Shown
// the book goes on with the show that it has.
func (w *Work) keep(count int, s *Solved, found []finding.Finding, stale bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if count != w.count || w.ended {
		return
	}
	w.faults = s.Faults
	if s.Shown == nil {
		w.o.Changed(w.now, found, false)
		w.o.Faulty(s.Faults)
		return
	}
	w.now = s
	if !stale {
		w.found = found
	}
	w.o.Changed(s, w.found, stale)
}

// Settled waits until nothing is worked out any more.
func (w *Work) Settled() { w.work.Wait() }

// Close ends what is worked out behind the last change.
func (w *Work) Close() {
	w.mu.Lock()
	w.ended = true
	w.stop()
	w.mu.Unlock()
	w.work.Wait()
}
