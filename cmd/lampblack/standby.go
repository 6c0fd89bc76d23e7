package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/beacon"
	"lampblack/play/course"
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
	version string
	tell    func(what, text string)
	warned  bool // that the other has another version
	last    beacon.Heard
}

// openPair begins to hear the other machine; nil where there is none. A main machine that comes
// back takes the show up from a standby that goes on alone.
func (f *runFlags) openPair(ctx context.Context, tell func(what, text string), s *show.Show, o *play.Options) (*paired, error) {
	if f.pair == "" {
		return nil, nil
	}
	p, err := beacon.OpenPair(f.pair, f.standby)
	if err != nil {
		return nil, err
	}
	q := &paired{Pair: p, version: string(f.stage(s, o).Show.Version()), tell: tell}
	q.Say(q.version, nil, false, false, true)
	if f.standby {
		return q, nil
	}
	if again == nil || time.Since(again.Died) > beacon.Gone { // else nobody can be alone yet
		q.meet(ctx, o)
	}
	o.Tell = func(zones []course.Told, happened bool) {
		q.Say(q.version, zones, true, false, happened)
		if h, ok := q.Other(time.Now()); ok && toKeeper != nil {
			toKeeper.Paired(h.CID, h.Runs && q.same(&h))
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

// meet waits a moment for a machine that stands by and has gone on alone, and takes the show up
// from it.
func (q *paired) meet(ctx context.Context, o *play.Options) {
	for began := time.Now(); time.Since(began) < meetFor && ctx.Err() == nil; time.Sleep(20 * time.Millisecond) {
		if h, ok := q.Other(time.Now()); ok && h.Alone && q.same(&h) {
			goesOnFrom(o, h.Zones)
			q.tell("note", source.Visible(h.Machine)+" has gone on alone: this machine takes the show up from it")
			return
		}
	}
}

// goesOnFrom lets a run begin where another machine was: by its zones' names, or where there is
// but one, whose name may be that of the folder, in that.
func goesOnFrom(o *play.Options, zones []course.Told) {
	o.Starts = course.Starts(zones)
	for _, state := range o.Starts {
		o.Start = state
	}
}

// same tells whether the other machine runs the same show, and says so once where it does not.
func (q *paired) same(h *beacon.Heard) bool {
	if h.Version == q.version || h.Version == "" {
		return true
	}
	if !q.warned {
		q.warned = true
		q.tell("warning", source.Visible(h.Machine)+" has another version of this show: it is not followed")
		q.tell("hint", "copy the folder anew, or pack it on the one and open it on the other")
	}
	return false
}

// Told is how the zones of the other machine stand.
func (q *paired) Told(now time.Time) ([]course.Told, bool) {
	h, ok := q.Other(now)
	if !ok || !h.Runs || !q.same(&h) {
		return nil, false
	}
	if q.last.Machine == "" {
		q.tell("note", "standing by for "+source.Visible(h.Machine)+": its light goes out behind its own")
	}
	q.last = h
	if toKeeper != nil {
		toKeeper.Paired(h.CID, false)
	}
	return h.Zones, true
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
func (f *runFlags) standBy(ctx context.Context, dir string, s *show.Show, o play.Options, q *paired) (sum play.Summary, err error) {
	wire := o.Wire
	if wire == nil {
		wire = output.Own(o.Sinks, play.Rate)
	}
	o.Wire, o.KeepsWire = wire, true
	o.Tell = func(zones []course.Told, _ bool) { q.Say(q.version, zones, true, false, false) }
	q.tell("note", "standing by: nothing is sent before the other machine is heard")
	for {
		last, over := play.Follow(ctx, s, o, q)
		if over {
			break
		}
		q.tell("warning", source.Visible(q.last.Machine)+" says nothing any more: this machine goes on alone")
		q.tell("hint", "keys and pages steer here now; it gives way by itself when the other is back")
		var back bool
		if sum, back, err = f.alone(ctx, dir, s, o, q, last); err != nil || !back {
			break
		}
		q.tell("note", source.Visible(q.last.Machine)+" is back: this machine stands by again")
	}
	q.Bye()
	out, failed := wire.Close(200 * time.Millisecond)
	sum.Outputs = out
	return sum, errors.Join(err, failed)
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
	o.Tell = func(zones []course.Told, _ bool) { q.Say(q.version, zones, true, true, false) }
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
				if h, ok := q.Other(time.Now()); ok && h.Runs && q.same(&h) {
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
