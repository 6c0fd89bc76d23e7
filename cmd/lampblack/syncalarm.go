package main

import (
	"context"
	"fmt"
	"slices"

	"lampblack/play/alarm"
	"lampblack/play/output"
	"lampblack/show"
	"lampblack/source"
)

// flashAlarm hears the show's alarm while sync has the lamps and the sound.
type flashAlarm struct {
	watch *alarm.Watch
	tell  func(what, text string)
	done  chan struct{} // closes when nothing is heard any more
}

// hearFlashAlarm listens to the inputs of a show. An alarm has the lights up at once, by a wire whose
// safe light is prepared, and ends what is measured.
func hearFlashAlarm(ctx context.Context, tell func(what, text string), b *show.Bill, wire *output.Owner, m *seats) (*flashAlarm, error) {
	inputs := alarmInputs(b)
	watch, err := alarm.Listen(ctx, inputs, alarm.Options{})
	if err != nil {
		return nil, err
	}
	a := &flashAlarm{watch, tell, make(chan struct{})}
	m.danger = func() error {
		if st := watch.State(); st.Stands {
			return fmt.Errorf("%s: nothing flashes until it is reset: r and enter, where sync was started", alarmText(&st))
		}
		return nil
	}
	if i := slices.IndexFunc(inputs, func(in alarm.Input) bool { return in.From.Kind == "key" }); i >= 0 {
		tell("note", "the alarm input "+source.Visible(inputs[i].Name)+" is a key, which is heard here with enter after it alone: let somebody stand at this keyboard")
	}
	go a.listen(wire, m)
	return a, nil
}

func (a *flashAlarm) listen(wire *output.Owner, m *seats) {
	defer close(a.done)
	var was alarm.State
	for st := range a.watch.Changes() {
		wire.Alarm(st.Stands)
		if st.Stands {
			m.cut()
		}
		a.says(&was, &st)
		was = st
	}
}

// says tells what has become another.
func (a *flashAlarm) says(was, st *alarm.State) {
	switch {
	case st.Stands && !was.Stands:
		a.tell("warning", alarmText(st))
		a.tell("hint", "see that everybody is safe first; when whoever answers for the house says that all is well, reset it: r and enter")
	case !st.Stands && was.Stands:
		a.tell("note", "the alarm is reset; the lights stay up until a place is measured")
	}
	before, _ := alarmFault(was)
	if text, hint := alarmFault(st); text != before && text != "" {
		a.tell("warning", text)
		a.tell("hint", hint)
	} else if text == "" && before != "" {
		a.tell("note", "all alarm inputs are heard again")
	}
}

// typed takes a line that was typed, and tells whether it was for the alarm.
func (a *flashAlarm) typed(line string) bool {
	if a.watch.Type(line) {
		return true
	}
	if line != "r" || !a.watch.State().Stands {
		return false
	}
	if _, err := a.watch.Reset(); err != nil {
		a.tell("warning", err.Error())
	}
	return true
}

func (a *flashAlarm) close() error {
	err := a.watch.Close()
	<-a.done
	return err
}

// nobodyPlays refuses to take the lamps and the sound from a run of the folder that is on.
func nobodyPlays(dir string) error {
	if name, ok := breathes(dir); ok {
		return hinted{fmt.Errorf("a run of this show is on (%s was written this moment): flashes and clicks would come among its light and sound", name), "end it first; seats are measured before the audience is in"}
	}
	return nil
}
