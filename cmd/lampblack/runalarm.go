package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"lampblack/calendar"
	"lampblack/doors"
	"lampblack/evening"
	"lampblack/folder"
	"lampblack/play"
	"lampblack/play/alarm"
	"lampblack/play/hand"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// alarmInputs are the inputs of a show as package alarm has them.
func alarmInputs(b *show.Bill) []alarm.Input {
	var out []alarm.Input
	for i := range b.Alarms {
		e := &b.Alarms[i]
		if from, ok := e.Value.From(); ok {
			out = append(out, alarm.Input{Name: e.Name, From: from, Steady: e.Value.Debounce, Every: e.Value.Every, LostToo: e.Value.Lost == show.LostAlarms})
		}
	}
	return out
}

// ear is what listens for an alarm: the keeper, for a run that has one, so that an alarm is heard
// also while no run computes, or else this process.
type ear interface {
	play.Alarm
	Type(key string) bool
	Close() error
}

// hearAlarm listens to the show's alarm inputs, and lets the run have them; nil where there are
// none. An alarm that stood when the run was cut off stands again.
func (f *runFlags) hearAlarm(ctx context.Context, s *show.Show, o *play.Options) (ear, error) {
	stood := alarmStood(o)
	inputs := alarmInputs(&s.Bill)
	if len(inputs) == 0 && !stood.Stands {
		return nil, nil
	}
	stood.Inputs = alarmTrials(ctx, f.journal, f.zone(s), inputs)
	if toKeeper != nil {
		a, err := toKeeper.Listen(inputs, stood)
		if err != nil {
			return nil, err
		}
		o.Alarm = a
		return a, nil
	}
	w, err := alarm.Listen(ctx, inputs, alarm.Options{Stands: stood})
	if err != nil {
		return nil, err
	}
	o.Alarm = w
	return w, nil
}

// alarmStood is the alarm that stood when the run was cut off that is taken up.
func alarmStood(o *play.Options) alarm.State {
	states := []evening.State{o.Start}
	for _, s := range o.Starts {
		states = append(states, s)
	}
	for _, s := range states {
		if s.Alarm != "" {
			return alarm.State{Stands: true, Since: s.Alarmed, By: s.Alarm}
		}
	}
	return alarm.State{}
}

// alarmTrials says by a journal when each input was tried this night.
func alarmTrials(ctx context.Context, journal, zone string, inputs []alarm.Input) []alarm.Status {
	out := make([]alarm.Status, len(inputs))
	for i := range inputs {
		out[i].Name = inputs[i].Name
	}
	file, err := folder.OpenFile(ctx, journal, maxJournal)
	if err != nil {
		return out // there is none yet, or a pipe
	}
	defer file.Close()
	// Damaged lines are told by who takes the run up.
	_ = evening.Read(file, zone, func(e evening.Event) {
		if e.Kind != evening.AlarmTried || !tonight(e.Time) {
			return
		}
		for i := range out {
			if out[i].Name == e.Text {
				out[i].Tried = e.Time
			}
		}
	})
	return out
}

// tonight tells whether an instant is of the night that it is now.
func tonight(t time.Time) bool { return hand.NightOf(t.Local()) == hand.NightOf(time.Now()) }

// closeAlarm closes what hearAlarm opened.
func closeAlarm(w ear) error {
	if w == nil {
		return nil
	}
	return w.Close()
}

// alarmText says that an alarm stands, since when and by what; "" while none does.
func alarmText(s *alarm.State) string {
	if !s.Stands {
		return ""
	}
	return "ALARM: lights up, sound off, since " + s.Since.Local().Format("15:04:05") + " (" + source.Visible(s.By) + ")"
}

// alarmHint says what to do about an alarm that stands.
func alarmHint(s *alarm.State) string {
	if err := alarm.Still(*s); err != nil {
		return err.Error()
	}
	return "see that everybody is safe first; when whoever answers for the house says that all is well, reset it: r twice, or the button on the Night page twice"
}

// untried are the inputs that were not set off and reset this night, while the place tests
// itself; none at other times.
func untried(s *play.Status) (names []string) {
	if s.Hours.Is != calendar.Testing {
		return nil
	}
	for _, in := range s.Alarm.Inputs {
		if in.Fault == "" && !tonight(in.Tried) {
			names = append(names, in.Name)
		}
	}
	return names
}

// trialText asks for them, and says what to do; "" for none.
func trialText(s *play.Status) (text, hint string) {
	names := untried(s)
	if len(names) == 0 {
		return "", ""
	}
	return "self-test: the alarm was not tried today by " + strings.Join(names, ", "), "set it off now: the lights come up and the sound stops; then put it back, and " + doors.Reset
}

// alarmFault is what is wrong with the first input that can say nothing, and what to do; "" for
// none.
func alarmFault(s *alarm.State) (text, hint string) {
	for _, in := range s.Inputs {
		if in.Fault != "" {
			return "alarm input " + in.Name + " cannot be heard: " + in.Fault, in.Hint + "; until then an alarm does not come by it, so let somebody stand at the key for lights up"
		}
	}
	return "", ""
}

// tellAlarm says once that an alarm has come and was reset, and that an input is gone and back.
func (l *statusLine) tellAlarm(s *alarm.State) {
	was := l.alarm
	l.alarm = *s
	switch {
	case s.Stands && (!was.Stands || !s.Since.Equal(was.Since)):
		l.say("warning", alarmText(s))
		l.say("hint", alarmHint(s))
	case !s.Stands && was.Stands:
		l.say("note", "the alarm is reset, "+si.Say(time.Since(was.Since).Round(time.Second).Seconds(), "s")+" after it came: the lights stay up, and the show is held")
	}
	for i, in := range s.Inputs {
		before := ""
		if i < len(was.Inputs) {
			before = was.Inputs[i].Fault
		}
		switch {
		case in.Fault != "" && before == "":
			text, hint := alarmFault(&alarm.State{Inputs: []alarm.Status{in}})
			l.say("warning", text)
			l.say("hint", hint)
		case in.Fault == "" && before != "":
			l.say("note", "alarm input "+in.Name+" is heard again")
		}
	}
}

// alarmLine is what the line says before all else.
func alarmLine(s *play.Status) string {
	switch text, _ := alarmFault(&s.Alarm); {
	case s.Alarm.Stands:
		said := alarmHint(&s.Alarm)
		if s.Notice != "" {
			said = s.Notice
		}
		return alarmText(&s.Alarm) + "  " + said + "  |  "
	case text != "":
		return "ALARM INPUT GONE  "
	case len(untried(s)) > 0:
		return "TRY THE ALARM (" + source.Visible(strings.Join(untried(s), ", ")) + ")  "
	}
	return ""
}

// doorsAlarms is how the alarm's inputs stand, for the round before doors; nil for a show that
// has none.
func doorsAlarms(state func() alarm.State) func() []doors.Alarm {
	return func() []doors.Alarm {
		s := state()
		out := make([]doors.Alarm, len(s.Inputs))
		for i, in := range s.Inputs {
			out[i] = doors.Alarm{Name: in.Name, Stands: s.Stands, Says: in.Says, Fault: in.Fault, Cure: in.Hint}
			if in.Fault == "" && in.Says {
				out[i].Cure = in.Back
			}
			if tonight(in.Tried) {
				out[i].Tried = in.Tried.Local()
			}
		}
		return out
	}
}

// notListening is how the inputs stand while no run listens to them.
func notListening(b *show.Bill) func() alarm.State {
	var s alarm.State
	for _, in := range alarmInputs(b) {
		s.Inputs = append(s.Inputs, alarm.Status{Name: in.Name, Fault: "no run is attached", Hint: "begin it, held: lampblack open DIR --run --held"})
	}
	return func() alarm.State { return s }
}

// writeTrials writes to a log which inputs were tried since an instant.
func writeTrials(log *evening.Log, s alarm.State, since time.Time) {
	for _, in := range s.Inputs {
		if in.Tried.After(since) {
			log.Append(evening.Event{Time: in.Tried, Kind: evening.AlarmTried, Text: in.Name})
		}
	}
}

// alarmTrial is the alarm of a round before doors.
type alarmTrial struct {
	watch  *alarm.Watch
	orders chan<- play.Command // of the run that holds the lamps
}

// reset ends the alarm that was set off to try it, and takes its light away, so that lamps can be
// seen to pulse.
func (t *alarmTrial) reset(ctx context.Context) string {
	if !t.watch.State().Stands {
		return "no alarm stands"
	}
	came, err := t.watch.Reset()
	if err != nil {
		return err.Error()
	}
	for range 3 { // the run may hear of the reset a moment later
		select {
		case t.orders <- play.Command{Do: play.LightsDown}:
		case <-ctx.Done():
		}
		time.Sleep(20 * time.Millisecond)
	}
	if len(came) == 0 {
		return "the alarm is reset"
	}
	return fmt.Sprintf("the alarm is reset; %s seen to work", si.Count(len(came), "input is", "inputs are"))
}
