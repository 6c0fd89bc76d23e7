package main

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/beacon"
	"lampblack/play/course"
	"lampblack/play/hand"
	"lampblack/play/line"
	"lampblack/play/output"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// pairFlags say that two machines run the show, one of which stands by.
type pairFlags struct {
	pair    string
	standby bool
	heard   bool // the sound of a standby that goes on alone
}

func (f *pairFlags) flags(c *cobra.Command) {
	c.Flags().StringVar(&f.pair, "pair", "", "a word that another machine knows too, which stands by with the same show and --standby: docs/standby.md")
	c.Flags().BoolVar(&f.standby, "standby", false, "stand by for the machine with the same --pair: send its light behind its own, and go on alone when it is gone (E1.31 alone)")
	c.Flags().BoolVar(&f.heard, "standby-sound", false, "a standby that goes on alone plays the sound too")
}

// shortestWord bounds the word of a pair: what is sent could be tried out with every shorter one.
const shortestWord = 10

func (f *pairFlags) check(given bool) error {
	switch {
	case given && f.pair == "":
		return errors.New("--pair names no word: is it a variable that is empty?")
	case f.standby && f.pair == "":
		return hinted{errors.New("--standby needs the word of the other machine"), "--pair WORD, on both"}
	case f.heard && !f.standby:
		return hinted{errors.New("--standby-sound is for a machine that stands by, and this one does not"), "--pair WORD --standby --standby-sound, on the machine that stands by"}
	case f.pair != "" && len(f.pair) < shortestWord:
		return hinted{fmt.Errorf("the word of --pair has %s, and could be guessed", si.Count(len(f.pair), "letter", "letters")), fmt.Sprintf("%d at least: a few words that nobody thinks of", shortestWord)}
	}
	return nil
}

// behind are the outputs that can stand by; of the others it tells.
func behind(tell func(what, text string), lines []string) (out []string) {
	for _, text := range lines {
		if o, err := line.ParseOut(text); err == nil && o.Kind != "e131" {
			tell("note", text+": a machine that stands by sends nothing there: receivers choose between two machines in E1.31 alone")
			continue
		}
		out = append(out, text)
	}
	return out
}

// meetFor is how long a machine waits at its start for the other to say that it goes on alone: five
// of its messages.
const meetFor = 1200 * time.Millisecond

// paired is the other machine, as the run has it.
type paired struct {
	*beacon.Pair
	standby bool
	tell    func(what, text string)
	lamps   *byHand      // which knows what runs here
	last    beacon.Heard // that was followed last
	alone   bool         // this machine goes on alone

	mu             sync.Mutex           // guards what follows
	shown          *show.Place          // that runs
	shape, version string               // of that, as the other machine was told
	refused        bool                 // it was said that the other is not followed
	differ         time.Time            // since when the other has other texts; zero for the same
	stood          map[string]time.Time // since when troubles stand
}

// openPair begins to hear the other machine; nil where there is none. A main machine that comes
// back takes the show up from a standby that goes on alone.
func (f *runFlags) openPair(ctx context.Context, tell func(what, text string), lamps *byHand, o *play.Options) (*paired, error) {
	if f.pair == "" {
		return nil, nil
	}
	p, err := beacon.OpenPair(f.pair, f.standby)
	if err != nil {
		return nil, err
	}
	q := &paired{Pair: p, standby: f.standby, tell: tell, lamps: lamps}
	q.say(nil, false, false, true)
	others := o.Others
	o.Others = func() []play.Trouble {
		all := q.troubles(time.Now())
		if others != nil {
			all = append(all, others()...)
		}
		return all
	}
	if f.standby {
		return q, nil
	}
	if again == nil || time.Since(again.Died) > beacon.Gone { // else nobody can be alone yet
		q.meet(ctx, o)
	}
	o.Tell = func(zones []course.Told, happened bool) {
		q.say(zones, true, false, happened)
		if h, ok := q.Other(time.Now()); ok && toKeeper != nil {
			toKeeper.Paired(h.CID, h.Runs && q.fits(&h))
		}
	}
	o.Ends = func() {
		select {
		case <-gone(): // this is no end as it should be: the other machine goes on
		default:
			q.Bye()
		}
	}
	return q, nil
}

// say tells the other machine how this one stands, and which texts it runs now.
func (q *paired) say(zones []course.Told, runs, alone, now bool) {
	q.mu.Lock()
	if p := q.lamps.hand.Place(); p != q.shown {
		q.shown, q.shape = p, course.Shape(p)
	}
	q.version = q.lamps.version()
	q.Shows(q.version, q.shape)
	q.mu.Unlock()
	q.Say(zones, runs, alone, now)
}

// meet waits a moment for a machine that stands by and has gone on alone, and takes the show up
// from it.
func (q *paired) meet(ctx context.Context, o *play.Options) {
	for began := time.Now(); time.Since(began) < meetFor && ctx.Err() == nil; time.Sleep(20 * time.Millisecond) {
		if h, ok := q.Other(time.Now()); ok && h.Alone && q.fits(&h) {
			goesOnFrom(o, h.Zones)
			q.tell("note", nameOf(&h)+" has gone on alone: this machine takes the show up from it")
			return
		}
	}
}

func nameOf(h *beacon.Heard) string { return source.Visible(h.Machine) }

// goesOnFrom lets a run begin where another machine was: by its zones' names, or where there is
// but one, whose name may be that of the folder, in that.
func goesOnFrom(o *play.Options, zones []course.Told) {
	o.Starts = course.Starts(zones)
	for _, state := range o.Starts {
		o.Start = state
	}
}

// fits tells whether the other machine can run the same light: its show may have other texts, but
// not other units, zones, steps or waits. It says once where it does not.
func (q *paired) fits(h *beacon.Heard) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	if h.Shape == q.shape {
		return true
	}
	if !q.refused {
		q.refused = true
		q.tell("warning", nameOf(h)+" has another show, with other units, zones, steps or waits: it is not followed")
		q.tell("hint", copyThem)
	}
	return false
}

// Told is how the zones of the other machine stand.
func (q *paired) Told(now time.Time) ([]course.Told, bool) {
	h, ok := q.Other(now)
	if !ok || !h.Runs || !q.fits(&h) {
		return nil, false
	}
	if q.last.Machine == "" {
		q.tell("note", "standing by for "+nameOf(&h)+": its light goes out behind its own")
	}
	q.last = h
	if toKeeper != nil {
		toKeeper.Paired(h.CID, false)
	}
	return h.Zones, true
}

// leads is which texts the other machine runs, while this one follows it.
func (q *paired) leads() (version string, leads bool) {
	if q == nil || !q.standby {
		return "", false
	}
	h, ok := q.Other(time.Now())
	return h.Version, ok && h.Runs
}

// Ended tells whether the run of the other machine is over.
func (q *paired) Ended() bool {
	h, ok := q.Other(time.Now())
	return ok && h.Ended && q.last.Machine != ""
}

// gone closes when the keeper is gone; without one it never does.
func gone() <-chan struct{} {
	if toKeeper == nil {
		return nil
	}
	return toKeeper.Gone()
}

func (q *paired) close() error {
	if q == nil {
		return nil
	}
	return q.Pair.Close()
}

// standBy follows the other machine, goes on alone when it is gone, and gives way when it is
// back.
func (f *runFlags) standBy(ctx context.Context, dir string, o play.Options, q *paired) (sum play.Summary, err error) {
	wire := o.Wire
	if wire == nil {
		wire = output.Own(o.Sinks, play.Rate)
	}
	o.Wire, o.KeepsWire, o.Mixer = wire, true, &hand.Mixer{}
	o.Tell = func(zones []course.Told, _ bool) { q.say(zones, q.last.Machine != "", false, false) }
	q.tell("note", "standing by: nothing is sent before the other machine is heard")
	for {
		s := runs(q.lamps.hand.Place(), &o)
		last, over := play.Follow(ctx, s, o, q)
		if over {
			break
		}
		if _, there := q.Other(time.Now()); there { // with another show, as was said
			q.tell("warning", "this machine goes on alone")
		} else {
			q.tell("warning", nameOf(&q.last)+" says nothing any more: this machine goes on alone")
		}
		q.tell("hint", "keys and pages steer here now; it gives way by itself when the other is back")
		var back bool
		q.alone = true
		if sum, back, err = f.alone(ctx, dir, runs(q.lamps.hand.Place(), &o), o, q, last); err != nil || !back {
			break
		}
		q.alone = false
		q.tell("note", nameOf(&q.last)+" is back: this machine stands by again")
	}
	q.Bye()
	out, failed := wire.Close(200 * time.Millisecond)
	sum.Outputs = out
	return sum, errors.Join(err, failed)
}

// runs makes the options those of a place as it is solved now, and returns its show.
func runs(p *show.Place, o *play.Options) *show.Show {
	switch {
	case o.Place != nil:
		o.Place = p
	case o.Evening != nil:
		o.Evening = p.Zones[0].Evening
	}
	return p.Show
}

// alone runs the show from where it stood, until it is over or the other machine is back.
func (f *runFlags) alone(ctx context.Context, dir string, s *show.Show, o play.Options, q *paired, last []course.Told) (sum play.Summary, back bool, err error) {
	run, cancel := context.WithCancel(ctx)
	defer cancel()
	o.Start = evening.State{}
	goesOnFrom(&o, last)
	if o.Place == nil && o.Evening == nil {
		if err := f.openClock(run, q.tell, dir, s, &o); err != nil {
			return sum, false, err
		}
	}
	o.Tell = func(zones []course.Told, _ bool) { q.say(zones, true, true, false) }
	watched := make(chan bool, 1)
	go func() {
		t := time.NewTicker(50 * time.Millisecond)
		defer t.Stop()
		for {
			select {
			case <-run.Done():
				watched <- false
				return
			case <-t.C:
				if h, ok := q.Other(time.Now()); ok && h.Runs && q.fits(&h) {
					watched <- true
					cancel()
					return
				}
			}
		}
	}()
	sum, err = play.Run(run, s, o)
	cancel()
	return sum, <-watched, err
}
