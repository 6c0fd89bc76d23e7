package play

import (
	"errors"
	"fmt"
	"strconv"
	"time"

	"lampblack/evening"
	"lampblack/play/course"
)

// beside carries out what a person wants of the sound beside the order, and tells whether that
// was all. What stops all goes on to the zones.
func (r *run) beside(now time.Time, c Command) (done bool) {
	if c.Do == ResetAlarm {
		r.resetAlarm(now)
		return true
	}
	if r.place.Alarmed() {
		r.place.Say(now, course.Standing)
		return true
	}
	on := r.speakers()
	switch c.Do {
	case StopAll:
		if on != nil {
			on.Quiet(max(c.At, Quiet))
		}
		return false
	case Level:
		r.place.Lower(now, c.Zone, c.Level, c.At)
	case Extra:
		r.extra(now, c.Name)
	case Hush:
		if on != nil {
			on.Quiet(max(c.At, Quiet))
		}
	case Test:
		r.test(now, c.Channel)
	default:
		return false
	}
	return true
}

// speakers is the sound device, nil while there is none.
func (r *run) speakers() *Speakers {
	if r.o.Speakers == nil {
		return nil
	}
	return r.o.Speakers()
}

// extra plays an extra sound.
func (r *run) extra(now time.Time, name string) {
	on := r.speakers()
	if on == nil {
		r.place.Say(now, "there is no sound device for extra sounds")
		return
	}
	switch err := on.Extra(name); {
	case err == nil:
		r.place.Note(now, evening.Extra, name)
	case errors.Is(err, ErrNoExtra):
		r.place.Say(now, "extra sound "+name+" is not there: see what was said of it at the beginning")
	default:
		r.place.Say(now, "extra sound "+name+" is not heard: "+err.Error())
	}
}

// test plays the test signal on a channel, but not into a show.
func (r *run) test(now time.Time, channel int) {
	on := r.speakers()
	switch {
	case on == nil:
		r.place.Say(now, "there is no sound device to test")
	case !r.place.Held():
		r.place.Say(now, "the test signal is for a show that is held: hold first")
	default:
		if err := on.Test(channel); err != nil {
			r.place.Say(now, "no test signal: "+err.Error())
			return
		}
		r.place.Say(now, fmt.Sprintf("the test signal plays on channel %d", channel))
	}
}

// triggered plays the extra sounds of a trigger.
func (r *run) triggered(now time.Time, trigger string) {
	if r.place.Alarmed() {
		return
	}
	for _, name := range r.o.Extras[trigger] {
		r.extra(now, name)
	}
}

// otherDevice writes that the sound has moved to another device than was asked for, or back.
func (r *run) otherDevice(now time.Time, b *Beside) {
	if !b.Device || b.Absent == r.absent {
		return
	}
	kind, name := evening.Fault, b.Absent
	if name == "" {
		kind, name = evening.FaultOver, r.absent
	}
	r.absent = b.Absent
	r.place.Note(now, kind, "sound: the device "+strconv.Quote(name)+" is not there, and another is played on")
}

// Beside is what is heard beside the order.
type Beside struct {
	Extras []string // that are heard
	Tests  bool     // a test signal is heard
	Absent string   // the device that was asked for, while another is played on
	Device bool     // there is one
}

// heard says what is heard beside the order.
func (r *run) heard() (b Beside) {
	on := r.speakers()
	if on == nil {
		return b
	}
	b.Device, b.Absent, b.Tests = true, on.Absent(), on.Tests()
	for _, name := range on.Extras() {
		if name != "" {
			b.Extras = append(b.Extras, name)
		}
	}
	return b
}
