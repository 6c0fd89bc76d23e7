package play

import (
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"lampblack/evening"
	"lampblack/play/alarm"
	"lampblack/si"
)

// Alarm is what may say that there is danger; an [alarm.Watch] is one.
type Alarm interface {
	// Changes delivers how the alarm stands whenever that is another, the newest first. It is
	// closed when nothing is listened to any more.
	Changes() <-chan alarm.State
	State() alarm.State
	// Reset ends an alarm that stands, and returns the names of the inputs that had said so
	// themselves; while one still does, an [alarm.Says].
	Reset() (came []string, err error)
}

// listening is what a run knows of its alarm. changes are for the run's loop: the newest.
type listening struct {
	changes chan alarm.State
	last    alarm.State // as the log has it
	again   time.Time   // until then a second order resets
}

// hearAlarm lets an alarm reach the wire and the loudspeakers without waiting for the loop, and
// then the loop. It returns what ends that.
//
//	inputs ─▶ Alarm ─▶ ┬─▶ Owner: safe frames, whatever the loop sends
//	                   ├─▶ Speakers: silence
//	                   └─▶ the loop: time held, the log, the pages
func (r *run) hearAlarm() (stop func()) {
	if r.o.Alarm == nil {
		return func() {}
	}
	r.alarm.changes = make(chan alarm.State, 1)
	end := make(chan struct{})
	var done sync.WaitGroup
	hear := func(s alarm.State) {
		r.wire.Alarm(s.Stands)
		if on := r.speakers(); on != nil {
			on.Silence(s.Stands)
		}
		select { // of what the loop has not taken the newest counts
		case <-r.alarm.changes:
		default:
		}
		r.alarm.changes <- s
	}
	hear(r.o.Alarm.State())
	done.Go(func() {
		changes := r.o.Alarm.Changes()
		for {
			select {
			case s, ok := <-changes:
				if !ok {
					return
				}
				hear(s)
			case <-end:
				return
			}
		}
	})
	return func() { close(end); done.Wait() }
}

// alarmed takes how the alarm stands from now on into the zones and the log.
func (r *run) alarmed(now time.Time, s alarm.State) {
	was := r.alarm.last
	r.alarm.last = s
	r.noteInputs(now, was, s)
	stood := r.place.Alarmed()
	if stood && was.Stands && !s.Since.Equal(was.Since) { // it was reset, and came again
		r.alarmOver(now, was, s)
		stood = false
	}
	switch {
	case s.Stands && !stood:
		r.place.Alarm(now, s.By)
		if on := r.speakers(); on != nil {
			on.Quiet(0)
		}
	case !s.Stands && stood && was.Stands: // else it is another machine's, which this one stands by for
		r.alarmOver(now, was, s)
	}
}

// alarmOver writes that an alarm was reset, and which inputs are seen to work by it.
func (r *run) alarmOver(now time.Time, was, s alarm.State) {
	for i, in := range s.Inputs {
		if before := statusOf(was, i); !in.Tried.Equal(before.Tried) {
			r.place.Note(now, evening.AlarmTried, in.Name)
		}
	}
	text := "by hand"
	if was.By != "" {
		text += ", after " + si.Say(now.Sub(was.Since).Round(time.Second).Seconds(), "s") + "; it had come from " + was.By
	}
	r.place.AlarmOver(now, text)
}

// noteInputs writes what has become another of single inputs: that one is gone, or back, or
// says alarm while one stands.
func (r *run) noteInputs(now time.Time, was, s alarm.State) {
	for i, in := range s.Inputs {
		before := statusOf(was, i)
		switch {
		case in.Fault != before.Fault && in.Fault != "":
			r.place.Note(now, evening.AlarmLost, in.Name+": "+in.Fault)
		case before.Fault != "" && in.Fault == "":
			r.place.Note(now, evening.AlarmFound, in.Name)
		}
		if s.Stands && was.Stands && s.Since.Equal(was.Since) && in.Says && !in.Came.Equal(before.Came) {
			r.place.Note(now, evening.AlarmSet, in.Name)
		}
	}
}

// statusOf is how an input stood; the zero value where nothing was known.
func statusOf(s alarm.State, i int) alarm.Status {
	if i < len(s.Inputs) {
		return s.Inputs[i]
	}
	return alarm.Status{}
}

// sure is how long after an order to reset an alarm the second counts.
const sure = 3 * time.Second

// resetAlarm resets the alarm when it is asked for a second time before long. That an input
// still says alarm is said at the first. An alarm that is in the log alone, of a run or of a
// machine that heard it, ends with that.
func (r *run) resetAlarm(now time.Time) {
	heard := r.o.Alarm != nil && r.o.Alarm.State().Stands
	switch {
	case !heard && !r.place.Alarmed():
		r.place.Say(now, "no alarm stands")
		return
	case !now.Before(r.alarm.again):
		if heard {
			if err := alarm.Still(r.o.Alarm.State()); err != nil {
				r.place.Say(now, err.Error())
				return
			}
		}
		r.alarm.again = now.Add(sure)
		r.place.Say(now, "alarm reset: once more within "+si.Say(sure.Seconds(), "s")+" to do it. The lights stay up, and time stands")
		return
	}
	r.alarm.again = time.Time{}
	if !heard {
		r.place.AlarmOver(now, "by hand")
		return
	}
	var says *alarm.Says
	if _, err := r.o.Alarm.Reset(); errors.As(err, &says) {
		r.place.Say(now, says.Error())
	} else if err != nil {
		r.place.Say(now, "the alarm was not reset: "+err.Error())
	}
}

// trials is which inputs of the alarm were tried, for the daily self-test: those that came and
// were reset since a day ago.
func (r *run) trials(now time.Time) string {
	if r.o.Alarm == nil {
		return ""
	}
	var tried, not []string
	for _, in := range r.o.Alarm.State().Inputs {
		switch {
		case in.Fault != "":
			not = append(not, in.Name+" (gone: "+in.Fault+")")
		case in.Tried.IsZero() || now.Sub(in.Tried) > 24*time.Hour:
			not = append(not, in.Name)
		default:
			tried = append(tried, fmt.Sprintf("%s at %s", in.Name, in.Tried.Format("15:04")))
		}
	}
	text := ""
	if len(tried) > 0 {
		text += "; the alarm was tried: " + strings.Join(tried, ", ")
	}
	if len(not) > 0 {
		text += "; the alarm is to be tried: set off " + strings.Join(not, ", ") + ", and reset it"
	}
	return text
}
