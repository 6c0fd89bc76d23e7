package desk

import (
	"context"
	"fmt"
	"time"

	"lampblack/show"
)

// Options tune Reduce. The zero value works.
type Options struct {
	// Offset moves every recall: positive is later. show.Timing.Offset gives
	// that for the centre seat; a desk's own latency is always made up for.
	Offset time.Duration
}

// Plan is a show as a desk can hold it.
type Plan struct {
	Desk   *Desk
	Show   *show.Show
	Scenes []Scene // by number
	Slots  []Slot  // of the desk, from slot 1
	// Readdressed lists the units that need another address, on a desk whose
	// patch is fixed and does not reach them all.
	Readdressed []Readdress
	Recalls     []Sent        // by time
	Order       []int         // indexes in Scenes: the order to program them in
	Moves       int           // fader moves to program all scenes in that order
	Fade        time.Duration // the one time to set on a desk that has one
	Losses      []Loss        // worst first
	Harm        float64       // what the audience misses, CIEDE2000 times seconds
	// Chosen is the harm of the choice of scenes and steps, before slots are
	// shared; Standing the part of it that is looks for which another scene
	// stands. It is proven that no choice of as many looks has a Standing of
	// less than AtLeast.
	Chosen, Standing, AtLeast float64

	eye     *eye
	need    *demand
	of      []int          // by state of the demand: index in Scenes
	steps   map[pair][]int // scenes between two, from the first to the second
	variant map[int]int    // by ask: the copy of its scene that has its time
}

// Scene is a state that the desk stores.
type Scene struct {
	Number  int // of the desk, from 1
	Bank    int // and the place in it, from 1
	Place   int
	Name    string
	Values  []byte        // by slot of the desk
	Trigger *Trigger      // nil when only a hand recalls it
	Fade    time.Duration // of a desk whose scenes have their own
	Uses    int           // recalls in the show
	First   time.Duration // first use; -1 for scenes that the run does not use

	page   [512]byte // the universe as wanted
	levels []float32 // what units make of it
	shown  []float32 // by the desk
	sight  sight     // as the desk shows it
}

// Reduce fits the show into the desk.
func Reduce(ctx context.Context, s *show.Show, d *Desk, o Options) (*Plan, error) {
	if len(s.Cues) == 0 {
		return nil, fmt.Errorf("fit %q into %s: the show has no cues", s.Bill.Title, d.Name)
	}
	p := &Plan{Desk: d, Show: s, eye: newEye(s)}
	p.need = demands(s, p.eye, d.universe())
	reach := 0
	for _, t := range d.triggers() {
		if t != nil {
			reach++
		}
	}
	if reach == 0 {
		return nil, fmt.Errorf("fit %q into %s: no note or program recalls a scene", s.Bill.Title, d.Name)
	}
	spare := d.Scenes - reach
	if spare == 0 {
		reach-- // lights up must have its place, whatever else is left out
	}
	if reach == 0 {
		return nil, fmt.Errorf("fit %q into %s: one scene is too few for a show and lights up", s.Bill.Title, d.Name)
	}
	best, run, err := p.chooseScenes(ctx, reach)
	if err != nil {
		return nil, err
	}
	p.keep(best, run)
	if err := p.shareSlots(); err != nil {
		return nil, fmt.Errorf("fit %q into %s: %w", s.Bill.Title, d.Name, err)
	}
	p.recall(o)
	p.settle()
	p.space()
	p.count()
	p.order()
	p.report()
	return p, nil
}

func (d *Desk) universe() int { return max(d.Universe, 1) }
