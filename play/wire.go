package play

import (
	"slices"
	"time"

	"lampblack/play/output"
	"lampblack/rig"
	"lampblack/show"
)

// Wire is where a run's frames go: the outputs of its own process, or those of another.
type Wire interface {
	// Send hands over frames that are to leave when they are due.
	Send(frames []output.Frame, due time.Time)
	// Prepare hands over the light in which the run ends.
	Prepare(safe []output.Frame)
	// Alarm lets nothing but that light leave, until it is over.
	Alarm(stands bool)
	// Stats says how each output does; Late how late frames have left.
	Stats() []output.Stats
	Late() output.Lateness
	// Close sends that light for a time, and ends the outputs.
	Close(over time.Duration) ([]output.Summary, error)
}

// stander is a wire that goes on without the run when it has to, and takes the light for
// that.
type stander interface {
	Stand(which output.Stand, frames []output.Frame)
}

// standEvery is how often such light is made anew: it is older by no more than that.
const standEvery = 200 * time.Millisecond

// standing makes light for a wire that goes on without the run.
type standing struct {
	wire   stander // nil for one that does not
	frame  *show.Frame
	frames []output.Frame
	made   time.Time
}

func (r *run) standBy() {
	if w, ok := r.wire.(stander); ok {
		r.stands = standing{wire: w, frame: r.place.Show().NewFrame()}
		r.stands.frames = framesOf(r.stands.frame.Universes)
	}
}

// stand makes the light in which the units are to stand if no frame follows this one: as it
// is, where it neither flashes nor has ultraviolet in it.
func (r *run) stand(now time.Time) {
	s := &r.stands
	if s.wire == nil || now.Sub(s.made) < standEvery {
		return
	}
	s.made = now
	shows := r.place.Show()
	copy(s.frame.Levels, r.frame.Levels)
	frames := r.frames
	if slices.ContainsFunc(r.frame.Flash, func(rate float32) bool { return rate != 0 }) {
		clear(s.frame.Flash)
		shows.EncodePassing(s.frame)
		frames = s.frames
	}
	s.wire.Stand(output.Calm, frames)
	if shows.Darken(s.frame.Levels) {
		shows.EncodePassing(s.frame)
		frames = s.frames
	}
	s.wire.Stand(output.Dim, frames)
}

// framesOf are universes as they go out, in the same memory.
func framesOf(universes []rig.Universe) []output.Frame {
	var out []output.Frame
	for i := range universes {
		u := &universes[i]
		out = append(out, output.Frame{Universe: uint16(u.Number), Slots: u.Slots[:]})
	}
	return out
}
