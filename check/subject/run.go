package subject

import (
	"context"
	"runtime"
	"slices"
	"sync"
	"time"

	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
	"lampblack/source"
)

// Run is one run of the checks over one subject. The families measure one
// after the other and add what they find.
type Run struct {
	Subject
	*finding.Report
	Ctx context.Context // of the run; who works for long looks at it

	// Show is what was written, for limits that judge a score by its own
	// wishes; nil for a subject that has none.
	Show *show.Show

	// Only, when not empty, are the findings that are wanted: limits that tell none of them need
	// not measure.
	Only []string

	traced   *Trace
	settings []Setting
}

// Family is some limits that share a model; its package states the model, its
// sources and what it does not see.
type Family struct {
	Tells   finding.Tells // all its findings
	Scored  bool          // judges what was written, and is left out for a subject that is no show
	Measure func(*Run)
}

// Limit is one row of a family's table: how it measures, and what it tells.
type Limit[T any] struct {
	Measure func(T)
	Tells   finding.Tells
}

// NewFamily makes a family of its table. Open makes what its limits share, once
// for each run.
func NewFamily[T any](open func(*Run) T, table ...Limit[T]) Family {
	f := Family{Tells: finding.Tells{}, Measure: func(r *Run) {
		shared := open(r)
		for _, l := range table {
			if r.Ctx.Err() == nil && r.wants(l.Tells) {
				l.Measure(shared)
			}
		}
	}}
	for _, l := range table {
		for id, about := range l.Tells {
			f.Tells[id] = about
		}
	}
	return f
}

// wants tells whether any of what a limit tells is wanted. Of one that shares what it tells with others
// nothing is known.
func (r *Run) wants(tells finding.Tells) bool {
	return len(r.Only) == 0 || len(tells) == 0 || slices.ContainsFunc(r.Only, func(id string) bool { return tells[id] != "" })
}

// OfScore marks the family as one that judges what was written.
func (f Family) OfScore() Family {
	f.Scored = true
	return f
}

// Unit returns the name of a unit.
func (r *Run) Unit(i int) string { return r.Rig().Units[i].Name.Name }

// UnitNames returns the names of units, sorted.
func (r *Run) UnitNames(units []int) []string {
	out := make([]string, len(units))
	for i, u := range units {
		out[i] = r.Unit(u)
	}
	slices.Sort(out)
	return out
}

// eye returns an eye (an index in Transport.Eyes) as room.yaml has it. It returns an
// empty eye for a name that the room lacks, which the reader of room.yaml makes
// impossible.
func (r *Run) eye(e int) *room.Eye {
	name := r.Transport().Places[r.Transport().Eyes[e]].Name
	for _, list := range [][]room.Eye{r.Room().Seats, r.Room().People} {
		for i := range list {
			if list[i].Name == name {
				return &list[i]
			}
		}
	}
	return &room.Eye{}
}

// EyeName names an eye of the room: "seat front left", "performer left".
func (r *Run) EyeName(e int) string {
	p := &r.Transport().Places[r.Transport().Eyes[e]]
	return finding.Thing(string(p.Kind), p.Name)
}

// LensAs is what is taken of the lens of a unit that an eye looks into.
func (r *Run) LensAs(unit int) string {
	if r.Rig().Units[unit].Guessed(rig.GuessedLens) {
		return "an even lens of a tenth of its front, as its type does not say (lens: [0.1 m, 0.06 m])"
	}
	return "an even lens"
}

// IsChild tells whether the eye is a child's.
func (r *Run) IsChild(e int) bool { return r.eye(e).Child }

// EyePos is where an eye stands in room.yaml.
func (r *Run) EyePos(e int) source.Pos { return r.eye(e).Pos }

// Until returns when the look of a cue is replaced. A bump replaces nothing, so bumps
// are passed over; the last look stands to the end of the show, or to the end of its
// own fade where that is later.
func (r *Run) Until(cue int) time.Duration { return r.Show.StaysUntil(cue) }

// Stands returns when a look is first there, and the cues that bring it. The span is
// that of the first cue alone: one instance to show a person, while the names are those
// of all. A look that no cue brings has no cues, which tells it apart.
func (r *Run) Stands(look int) (from, to time.Duration, cues []string) {
	for i := range r.Show.Cues {
		c := &r.Show.Cues[i]
		if c.Look != look {
			continue
		}
		if cues == nil {
			from, to = c.Start, r.Until(i)
			if c.Bump() {
				to = c.Complete
			}
		}
		cues = append(cues, c.Number.Name)
	}
	return from, to, cues
}

// Each runs f for 0 to n-1 on all cores and waits for it. What f writes must lie apart
// by i, as nothing is locked.
func Each(n int, f func(i int)) {
	var wait sync.WaitGroup
	next := make(chan int, n)
	for i := range n {
		next <- i
	}
	close(next)
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() {
			for i := range next {
				f(i)
			}
		})
	}
	wait.Wait()
}
