package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"time"

	"lampblack/evening"
	"lampblack/folder"
	"lampblack/play"
	"lampblack/show"
	"lampblack/si"
)

// maxJournal bounds a journal that is read: a year of cues every ten seconds is
// a third of it.
const maxJournal = 2 << 30

// maxAway is how long ago a run may have ended that is taken up. One that was held then would
// else stand for ever, and begin another evening in its middle.
const maxAway = 2 * time.Hour

// goesOn is how long after its end a run goes on by itself, where it would be by now. After
// that it comes back held and silent: the audience has seen the light stand, or come up, and a
// person decides.
const goesOn = 10 * time.Second

// takenUp is a run that was cut off, as its journal has it.
type takenUp struct {
	*runFlags
	words io.Writer
	file  io.ReadSeeker
	lived time.Time // when it did last
	now   time.Time
}

// resume makes o.Start the state in which the journal says that a run was cut
// off. A run that has ended, or would be over by now, leaves nothing to take up.
func (f *runFlags) resume(ctx context.Context, words io.Writer, s *show.Show, o *play.Options) error {
	switch {
	case f.resumes && f.journal == "":
		return errors.New("--resume needs the journal of the run that was cut off, and there is none")
	case !f.resumes && again == nil || f.journal == "":
		return nil
	}
	file, err := folder.OpenFile(ctx, f.journal, maxJournal)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err := ctx.Err(); err != nil { // it was told to end, and has read nothing
		return err
	}
	if err != nil { // a show that begins anew is better than none
		say(words, "warning", fmt.Sprintf("read journal: %v: the run begins anew", err))
		say(words, "hint", "--from and --step take it where it was")
		return nil
	}
	defer file.Close()
	t := &takenUp{runFlags: f, words: words, file: file, now: time.Now()}
	if again != nil {
		t.lived = again.Died
	} else if info, err := file.Stat(); err == nil {
		t.lived = info.ModTime()
	}
	if f.place != nil {
		return t.zones(o)
	}
	state, err := t.heldBy(s.Bill.Title)
	if err != nil {
		return err
	}
	o.Start.Pass = state.Pass
	stands := false
	if e := o.Evening; e != nil && state.Step > 0 {
		step := &e.Steps[min(state.Step, len(e.Steps))-1]
		s, stands = step.Show, step.Stands() || len(step.Show.Waits) > 0
	}
	if state.Step == 0 || !t.fits(&state) {
		return nil
	}
	if !stands && state.On(t.now).In >= s.Length {
		if again == nil && !state.Held {
			return nil
		}
		state.In, state.Held, state.Speed, state.Instant = s.Length, true, 0, t.now // its last look stands until go
	}
	o.Start = state
	t.say("", state.On(t.now).In, state)
	if v := string(s.Version()); state.Version != "" && state.Version != v {
		say(words, "warning", "the show was changed since: its light may be another than the one that was running (version "+state.Version+" then, "+v+" now)")
	}
	return nil
}

// fits tells whether the state of a run that was cut off is taken up. Where that was not just
// now it is held as it was then.
func (t *takenUp) fits(state *evening.State) bool {
	lived := t.lived
	if lived.Before(state.Instant) || lived.After(t.now) {
		lived = state.Instant
	}
	away := t.now.Sub(lived)
	if away > maxAway {
		return false
	}
	if (away > goesOn || again != nil && again.Hold) && !state.Held {
		*state = state.On(lived)
		state.Held, state.Speed = true, 0
	}
	return true
}

// say tells how a run is taken up.
func (t *takenUp) say(where string, at time.Duration, state evening.State) {
	text := "the journal says that a run was cut off: going on" + where + " at " + si.FormatTime(at)
	switch {
	case state.LightsUp:
		text += ", lights up: lights down, then go"
	case state.Held:
		text += ", held: go goes on"
	}
	say(t.words, "note", text)
}

// heldBy folds the events of a zone in a journal. Lines that are damaged are told and left
// out.
func (t *takenUp) heldBy(zone string) (state evening.State, err error) {
	if _, err := t.file.Seek(0, io.SeekStart); err != nil {
		return state, fmt.Errorf("read journal: %w", err)
	}
	if err := evening.Read(t.file, zone, func(e evening.Event) { state = state.After(e) }); err != nil {
		say(t.words, "warning", fmt.Sprintf("journal %s: %v: left out", t.journal, err))
	}
	return state, nil
}

// zones takes up the zones of a place that was cut off: each where it would be by now.
func (t *takenUp) zones(o *play.Options) error {
	o.Starts = map[string]evening.State{}
	for i := range t.place.Zones {
		z := &t.place.Zones[i]
		state, err := t.heldBy(z.Name)
		if err != nil {
			return err
		}
		if state.Step == 0 || state.Step > len(z.Evening.Steps) || !t.fits(&state) {
			continue
		}
		o.Starts[z.Name] = state
		step := &z.Evening.Steps[state.Step-1]
		t.say(" in "+z.Name+", "+step.Name(), state.On(t.now).In, state)
		if v := string(step.Show.Version()); state.Version != "" && state.Version != v {
			say(t.words, "warning", z.Name+" was changed since: its light may be another than the one that was running")
		}
	}
	return nil
}
