package play

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"lampblack/evening"
	"lampblack/play/output"
	"lampblack/si"
)

// Trouble is something that is wrong while a run goes on, beside its clock.
type Trouble struct {
	Of string // the output's name, or [Computer]
	output.Fault
}

// Computer is what a trouble is of that no output has alone.
const Computer = "this computer"

func (t *Trouble) String() string { return t.Of + ": " + t.Text }

// troubles are those of a run, and what the journal has of them.
type troubles struct {
	looked time.Time
	all    []Trouble
	lost   []bool    // by output
	told   []Trouble // that the journal has, but for outputs that are lost
}

// lookEvery is how often outputs are asked how they do.
const lookEvery = 100 * time.Millisecond

// look asks the outputs how they do, and tells the journal what has changed. It asks
// nobody but this program: outputs look after themselves.
func (r *run) look(now time.Time) {
	w := &r.wrong
	if now.Sub(w.looked) < lookEvery {
		return
	}
	w.looked = now
	stats := r.wire.Stats()
	if len(w.lost) < len(stats) {
		w.lost = make([]bool, len(stats))
	}
	w.all = nil
	for i := range stats {
		for _, f := range stats[i].State.Faults {
			w.all = append(w.all, Trouble{r.o.Sinks[i].Name(), f})
		}
		r.lostAndFound(now, i, &stats[i].State)
	}
	r.punctual(now)
	r.softened(now)
	w.all = append(w.all, r.o.Hearing.wrong(now)...)
	for _, s := range r.o.Senders {
		if t, wrong := troubleOf(s); wrong {
			w.all = append(w.all, t)
		}
	}
	if r.o.Others != nil {
		w.all = append(w.all, r.o.Others()...)
	}
	slices.SortStableFunc(w.all, func(a, b Trouble) int { return int(b.Degree - a.Degree) })
	r.others(now)
}

// faulty is a sender, or what it sends through, that knows why nothing leaves.
type faulty interface {
	Fault() (since time.Time, err error)
}

// troubleOf is what is wrong with a sender.
func troubleOf(s Sender) (Trouble, bool) {
	f, ok := s.(faulty)
	if !ok {
		return Trouble{}, false
	}
	since, err := f.Fault()
	if err == nil {
		return Trouble{}, false
	}
	return Trouble{s.Name(), output.Fault{Cause: output.Gone, Degree: output.Partly, Since: since, Text: err.Error(),
		Hint: "the other machine is told nothing: look at its plug and its power; it is taken up by itself"}}, true
}

// lostAndFound tells the journal that nothing of an output arrives any more, or that it
// does again.
func (r *run) lostAndFound(now time.Time, i int, s *output.State) {
	lost := !s.Works()
	if lost == r.wrong.lost[i] {
		return
	}
	r.wrong.lost[i] = lost
	name := r.o.Sinks[i].Name()
	if lost {
		r.place.Note(now, evening.OutputLost, name+": "+s.Faults[0].Text)
		return
	}
	r.place.Note(now, evening.OutputFound, name+": back after "+si.Say(s.Away.Seconds(), "s"))
}

// punctual tells of frames that were late or missed in the last ten seconds.
func (r *run) punctual(now time.Time) {
	n, much := r.recent.Of(now, uint64(r.late().Behind+r.missed))
	r.lately = int(n)
	if !much {
		return
	}
	r.wrong.all = append(r.wrong.all, Trouble{Computer, output.Fault{Cause: output.Slow, Degree: output.Partly, Who: "computer", Since: now,
		Text: "frames are made late, or not at all", Hint: "close other programs, plug the charger in, and switch power saving off"}})
}

// others tells the journal what else has changed.
func (r *run) others(now time.Time) {
	w := &r.wrong
	same := func(t *Trouble) func(Trouble) bool {
		return func(o Trouble) bool { return o.Of == t.Of && o.Cause == t.Cause && o.Who == t.Who }
	}
	var told []Trouble
	for _, t := range w.all {
		if t.Degree != output.Partly || t.Of == TheLight { // which has an event of its own
			continue
		}
		i := slices.IndexFunc(w.told, same(&t))
		if i < 0 {
			kind := evening.Fault
			if t.Of == Computer {
				kind = evening.Late
			}
			r.place.Note(now, kind, t.String())
		} else if t.Of == Computer {
			t.Since = w.told[i].Since
		}
		told = append(told, t)
	}
	for _, t := range w.told {
		if slices.ContainsFunc(told, same(&t)) {
			continue
		}
		kind := evening.FaultOver
		if t.Of == Computer {
			kind = evening.OnTime
		}
		r.place.Note(now, kind, t.String())
	}
	w.told = told
}

// health says how the outputs do, for the daily self-test: a look stands meanwhile, and
// whoever walks through sees the lamps.
func (r *run) health() string {
	var wrong []string
	for i := range r.wrong.all {
		if t := &r.wrong.all[i]; t.Degree > output.Aside {
			wrong = append(wrong, t.String())
		}
	}
	if len(wrong) == 0 {
		return fmt.Sprintf("%s, none says that anything is wrong", si.Count(len(r.o.Sinks), "output", "outputs"))
	}
	return strings.Join(wrong, "; ")
}
