package doors

import (
	"context"
	"time"
)

// Alarm is an input of the alarm, as the run has it.
type Alarm struct {
	Name   string
	Stands bool      // the alarm does, by whatever input
	Says   bool      // this one says alarm now
	Fault  string    // why it can say nothing now, "" while it can
	Cure   string    // what to do about that, or before it can be reset
	Tried  time.Time // when it was last set off and reset this day; zero for not yet
}

// Reset says how an alarm is reset.
const Reset = "reset the alarm: r (twice in a run), or twice the button on the Night page"

// alarms are good when they were set off and reset today, and not else: only that shows that the
// lights come up.
func (l *List) alarms() {
	if l.setup.Alarms == nil {
		return
	}
	for i, a := range l.setup.Alarms() {
		now := func() Answer {
			list := l.setup.Alarms()
			if i >= len(list) {
				return Answer{NotGood, "this input is not listened to", alarmCure}
			}
			return list[i].judge()
		}
		c := l.add(House, "alarm "+a.Name, "the alarm comes by "+a.Name, Answer{}, func(context.Context) Answer { return now() })
		c.now = now
	}
}

const alarmCure = "look at the contact, its wire and its adapter; the house lights and the exits are looked at apart, and do not hang on this"

// judge says how an input stands.
func (a *Alarm) judge() Answer {
	switch {
	case a.Fault != "":
		return Answer{NotGood, "it cannot be heard: " + a.Fault, a.Cure}
	case a.Says:
		return Answer{NotGood, "it says alarm now", a.Cure + "; then " + Reset}
	case a.Stands:
		return Answer{NotGood, "an alarm stands", Reset}
	case a.Tried.IsZero():
		return Answer{Open, Look + "set it off now: the lights come up and the sound stops; then put it back, and " + Reset, alarmCure}
	}
	return Answer{Good, "tried today at " + a.Tried.Format("15:04"), alarmCure}
}
