package desk

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"lampblack/room"
	"lampblack/show"
)

// Plan is a show as a desk can hold it. It is finished when Reduce returns it, and then
// read only.
type Plan struct {
	Desk   *Desk
	Show   *show.Show
	Scenes []Scene // by number
	Slots  []Slot  // of the desk, from slot 1
	// Off lists the units that must be off at the mains: the desk has nothing
	// for them, and where they hang they would follow what is meant for others,
	// or do what they do without data.
	Off []Off
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
	floor   []float64 // lx of the floor's mean, by drive at full
	need    *demand
	way     way
	scenes  int            // that messages reach
	stand   []int          // by unit of the rig: its address from 1 at this desk, 0 for none
	of      []int          // by state of the demand: index in Scenes
	steps   map[pair][]int // scenes between two, from the first to the second
	variant map[int]int    // by ask: the copy of its scene that has its time
	choice  *outcome
	run     []int // the states that the choice is among
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
	flash  []float32 // by unit, Hz: what the show asks for
	hand   bool      // lights up
	shown  []float32 // by the desk
	sight  sight     // as the desk shows it
}

// Reduce fits the show into the desk, in the way of using it that loses least. It fails
// where no way of using the desk keeps every unit out of what it must not do, and
// returns the error of the last way tried. ctx ends the search for scenes between two
// numbers of them.
func Reduce(ctx context.Context, s *show.Show, d *Desk) (*Plan, error) {
	fail := func(err error) (*Plan, error) {
		return nil, fmt.Errorf("fit %q into %s: %w", s.Bill.Title, d.Name, err)
	}
	if len(s.Cues) == 0 {
		return fail(errors.New("the show has no cues"))
	}
	if !slices.Contains(s.Rig.Universes(), d.universe()) {
		return fail(fmt.Errorf("no unit listens to universe %d, which the desk feeds", d.universe()))
	}
	base := &Plan{Desk: d, Show: s, eye: newEye(s)}
	base.floor = floorRow(s)
	base.need = demands(s, base.eye, d.universe())
	base.need.compare(base.eye)
	if err := base.reach(); err != nil {
		return fail(err)
	}
	var best *Plan
	var failed error
	chosen := map[FadeKind]*Plan{} // the scenes do not depend on the patch
	for _, w := range d.ways() {
		p := chosen[w.fade]
		if p == nil {
			p = base.with(w)
			if err := p.chooseScenes(ctx, p.scenes); err != nil {
				return fail(err)
			}
			chosen[w.fade] = p
		}
		q := p.with(w)
		if err := q.finish(); err != nil {
			failed = err
			continue
		}
		if q.better(best) {
			best = q
		}
		if best.Harm == 0 {
			break
		}
	}
	if best == nil {
		return fail(failed)
	}
	return best, nil
}

// with returns a copy of a plan that has no scenes yet, for one way. The copy shares
// what does not depend on the way: the eye, the demand, the choice of scenes.
func (p *Plan) with(w way) *Plan {
	q := *p
	q.way = w
	return &q
}

// reach counts the scenes that messages can recall. Lights up must have its
// place, whatever else is left out.
func (p *Plan) reach() error {
	for _, t := range p.Desk.triggers() {
		if t != nil {
			p.scenes++
		}
	}
	if p.scenes == 0 {
		return errors.New("no note or program recalls a scene")
	}
	if p.Desk.Scenes == p.scenes {
		p.scenes--
	}
	if p.scenes == 0 {
		return errors.New("one scene is too few for a show and lights up")
	}
	return nil
}

// finish makes a whole plan of the choice of scenes. The order matters: what a slot
// feeds decides what is seen, that decides which fades cross what must not be, and only
// recalls that are known can be counted, placed and spaced.
func (p *Plan) finish() error {
	p.keep()
	if err := p.shareSlots(); err != nil {
		return err
	}
	if err := p.recallCleanly(); err != nil {
		return err
	}
	p.settle()
	p.space()
	p.count()
	p.order()
	p.write()
	p.report()
	return nil
}

// floorRow is the mean illuminance of the floor and of what lies flat on it, for
// every drive at full.
func floorRow(s *show.Show) []float64 {
	t := s.Transport
	names := []string{room.FloorName}
	for _, f := range s.Room.Surfaces {
		if f.Value.Faces[2] > 0 && f.Value.Faces[0] == 0 && f.Value.Faces[1] == 0 && f.Value.Centre[2] < .1 {
			names = append(names, f.Name)
		}
	}
	sum, area := make([]float64, len(t.Light)), 0.0
	for _, name := range names {
		for _, place := range t.Find(name) {
			area += t.Places[place].Area
			for d, w := range t.Row(place, room.Photopic) {
				sum[d] += float64(w * t.Places[place].Area)
			}
		}
	}
	for d := range sum {
		sum[d] /= max(area, 1e-9)
	}
	return sum
}

// floorLux is the mean illuminance of the floor.
func (p *Plan) floorLux(levels []float32) float64 {
	sum := 0.0
	for d, w := range p.floor {
		sum += float64(w * float64(levels[d]))
	}
	return sum
}

func (d *Desk) universe() int { return max(d.Universe, 1) }
