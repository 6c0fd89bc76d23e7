package show

import (
	"slices"
	"time"

	"lampblack/score"
	"lampblack/soundtrack"
	"lampblack/source"
)

// Evening is a running order on one rig in one room: standing looks and pieces,
// one after another, each a show of its own that begins with the light that the
// step before leaves. So a jump to any step finds the light that the order says
// came before, whatever was done before it; a go begins with the light that is
// seen ([Evening.Enter]).
//
//	preshow ──go──▶ piece one ──its end──▶ interval ──go──▶ piece two ──▶ bows
//	  stands        runs                     stands           runs        stands
//
// Its light is a pure function of a step and of the seconds in it.
type Evening struct {
	Steps []Step
}

// Step is one step of an evening.
type Step struct {
	*OrderStep
	Show *Show // from the step's beginning; a standing look lasts its longest in it

	// Start is when the step begins if every standing look lasts its longest.
	Start time.Duration
}

// Usual is how long the step usually lasts: a piece always as long as it is, a
// standing look that does not say as long as at most.
func (s *Step) Usual() time.Duration {
	if s.Stands() && s.Usually > 0 {
		return time.Duration(s.Usually)
	}
	return s.Show.Usual()
}

// Length is how long the evening lasts at most.
func (e *Evening) Length() time.Duration {
	last := &e.Steps[len(e.Steps)-1]
	return last.Start + last.Show.Length
}

// At returns the index of the step at t of an evening whose standing looks all
// last their longest; the last from its end on.
func (e *Evening) At(t time.Duration) int {
	i := len(e.Steps) - 1
	for i > 0 && e.Steps[i].Start > t {
		i--
	}
	return i
}

// Index returns the step of a name, or -1.
func (e *Evening) Index(name string) int {
	for i := range e.Steps {
		if e.Steps[i].Name() == name {
			return i
		}
	}
	return -1
}

// CuesBefore is how many cues, as they are written, the steps before one have; a standing look
// is one.
func (e *Evening) CuesBefore(step int) int {
	n := 0
	for i := range step {
		n += e.Steps[i].Show.CuesWritten()
	}
	return n
}

// Names lists the names of the steps, in their order.
func (e *Evening) Names() []string {
	var out []string
	for i := range e.Steps {
		out = append(out, e.Steps[i].Name())
	}
	return out
}

// Evening makes the evening of a running order, whose folder's own piece s is.
// tracks has what was heard of the soundtracks of its other pieces, by the names
// of their files; without one, a piece goes by the times of its cues. Faults are
// those of cues that name moments which their tracks lack.
func (s *Show) Evening(o *Order, tracks map[string]*soundtrack.Track) (*Evening, source.Faults) {
	var faults source.Faults
	e := &Evening{}
	var before entry
	for i := range o.Steps {
		step := Step{OrderStep: &o.Steps[i]}
		switch {
		case step.Stands():
			step.Show = s.on(standing(s.Score, step.OrderStep), nil)
		case step.Own():
			step.Show = s.on(s.Score, s.Track)
			step.Show.texts = s.texts
		case step.score == nil:
			continue // its cues could not be read, and have their fault
		default:
			step.Show = s.on(step.score, tracks[step.Soundtrack.Name])
		}
		step.Show.Looks, step.Show.based, step.Show.implied = slices.Clone(s.based), s.based, o.implied || step.Show.implied
		step.Show.up, step.Show.upStill = s.up, s.upStill
		step.Show.plan.entry = before
		if step.Stands() {
			step.Show.Length = time.Duration(step.Most)
		}
		var own source.Faults
		step.Show.time(&own)
		if !step.Own() { // the folder's own piece has told its faults before
			faults = append(faults, own...)
		}
		if n := len(e.Steps); n > 0 {
			step.Start = e.Steps[n-1].Start + e.Steps[n-1].Show.Length
		}
		before = step.Show.leaves()
		e.Steps = append(e.Steps, step)
	}
	faults.Sort()
	return e, faults
}

// Enter is the show of a step that begins with the light which is seen when it
// begins, and not with what its order says: a go that comes before a standing
// look has risen, or a piece that ends within a bump, must not make the light
// leap. Where both are the same it is the step's own show.
func (e *Evening) Enter(step int, seen []float32) *Show {
	s := e.Steps[step].Show
	if slices.Equal(seen, s.plan.entry.levels) {
		return s
	}
	o := s.again()
	o.plan.entry = entry{levels: slices.Clone(seen)}
	o.compile()
	return o
}

// Enters tells with which light, by drive, the show begins.
func (s *Show) Enters() []float32 { return s.plan.entry.levels }

// standing is a standing look as a score of one cue, called by the step's name.
func standing(all *score.Score, s *OrderStep) *score.Score {
	zero := time.Duration(0)
	return &score.Score{Looks: all.Looks, Cues: []score.Cue{{Pos: s.Pos, Number: s.Standing, At: &zero, Look: s.Look, Up: s.Up}}}
}

// leaves is the light that a show leaves when it is over: that of its last look,
// bumps over. Flashing does not go on into the next step.
func (s *Show) leaves() entry {
	e := entry{levels: make([]float32, len(s.Rig.Drives))}
	end := s.Length
	for i := range s.plan.fades {
		end = max(end, s.plan.fades[i].start+max(s.plan.fades[i].up, s.plan.fades[i].down))
	}
	s.plan.base(e.levels, end)
	return e
}
