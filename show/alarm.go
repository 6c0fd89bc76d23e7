package show

import (
	"fmt"
	"strings"
	"time"

	"lampblack/play/line"
	"lampblack/si"
	"lampblack/source"
)

// AlarmInput is one thing that may say that there is danger, as it stands in show.yaml.
type AlarmInput struct {
	source.Pos
	Source   source.Ref    `key:"source,required"` // a line, as line.ParseTrigger reads it
	Debounce time.Duration `key:"debounce"`        // it must say so for so long
	Every    time.Duration `key:"every"`           // a heartbeat that must come at least so often
	Lost     Lost          `key:"lost"`            // what it is when its device is gone: Tell when empty

	line *line.Trigger // nil when it could not be read
}

// From is what the input listens to; ok is false when its source does not read.
func (a *AlarmInput) From() (l line.Trigger, ok bool) {
	if a.line == nil {
		return line.Trigger{}, false
	}
	return *a.line, true
}

// Say says in words what the input listens to, and what its loss is.
func (a *AlarmInput) Say() string {
	text := "its source cannot be read"
	if a.line != nil {
		text = a.line.Say()
	}
	if a.Every > 0 {
		text += ", a heartbeat that must come every " + si.Say(a.Every.Seconds(), "s")
	}
	if a.Lost == LostAlarms {
		text += "; its loss is an alarm"
	}
	return text
}

// Lost says what it is when a device is gone.
type Lost string

// What a loss may be.
const (
	LostTells  Lost = "tell"  // the person at the show is told
	LostAlarms Lost = "alarm" // and it is an alarm
)

// Choices lists them.
func (Lost) Choices() []string { return []string{string(LostTells), string(LostAlarms)} }

// Bounds of alarm inputs: noise is over in some hundredths of a second, and an alarm must not
// wait longer; a heartbeat that comes once an hour is one still.
const (
	mostAlarms      = 50
	longestSteady   = 500 * time.Millisecond
	shortestBeat    = 500 * time.Millisecond
	longestBeat     = time.Hour
	alarmSourceHint = `as "pins /dev/ttyUSB0 carrier normally closed", "gpio gpiochip0 line 17 normally closed", "key f12", "osc 9000 /alarm" or "e131 universe 9 slot 1 above 128"`
)

// checkAlarm finds what is wrong with the alarm's inputs.
func (f *Files) checkAlarm(faults *source.Faults) {
	b := &f.Bill
	if len(b.Alarms) > mostAlarms {
		faults.Add(b.Pos, "", "%d alarm inputs are more than the %d of one show", len(b.Alarms), mostAlarms)
		b.Alarms = b.Alarms[:mostAlarms]
	}
	if len(b.Alarms) > 0 && b.Alarm != nil && !*b.Alarm {
		faults.Add(b.Alarms[0].Pos, "leave alarm input out: those that are named end the dark", "`alarm input: no` says that no alarm ends the show, and alarm inputs names one")
		b.Alarm = nil
	}
	used := f.listened()
	for i := range b.Alarms {
		e := &b.Alarms[i]
		a := &e.Value
		if a.Pos.Line == 0 {
			faults.Add(e.Pos, alarmSourceHint, "alarm input %q names no source", e.Name)
			continue
		}
		a.read(e.Name, faults)
		a.bound(e.Name, faults)
		if a.line == nil {
			continue
		}
		for _, at := range placesOf(a.line) {
			if other, taken := used[at]; taken {
				faults.Add(a.Source.Pos, "give the alarm a port, a device or a key that nothing else listens to", "alarm input %q and %s listen in one place: what comes there is both, or reaches one alone", e.Name, other)
				break
			}
		}
	}
}

// listened is what triggers, faders and extra sounds listen to.
func (f *Files) listened() map[string]string {
	used := map[string]string{}
	if f.Triggers != nil {
		for _, t := range f.Triggers.Triggers {
			if l, ok := t.Value.From(); ok {
				for _, at := range placesOf(&l) {
					used[at] = "trigger " + t.Name
				}
			}
		}
		for _, m := range f.Triggers.Moves() {
			used["notes "+m.Fader.Place] = "the fader of " + m.System
		}
	}
	for _, x := range f.Bill.Extras {
		if key := strings.ToLower(x.Value.Key.Name); key != "" {
			used["key "+key] = "extra sound " + x.Name
		}
	}
	return used
}

// placesOf are the places of which what comes goes to one listener: a socket for packets to one
// machine, bytes of a port or a pipe, a line of a chip, a key, and a pin: any number may read that, but who is at one
// contact would be at both. Multicast reaches all.
func placesOf(l *line.Trigger) []string {
	switch {
	case l.Kind == "key" || l.Kind == "notes" || l.Kind == "pipe":
		return []string{l.Kind + " " + l.Place}
	case l.Kind == "gpio":
		return []string{fmt.Sprintf("gpio %s %d", l.Place, l.Line)}
	case l.Kind == "pins":
		return []string{"pins " + l.Place + " " + l.Pin}
	case l.Port != 0 && !l.Multicast:
		return []string{fmt.Sprintf("port %d", l.Port)}
	}
	return nil
}

// read reads the source.
func (a *AlarmInput) read(name string, faults *source.Faults) {
	if a.Source.Name == "" {
		return
	}
	what := fmt.Sprintf("alarm input %q", name)
	switch l := readSource(a.Source, what, alarmSourceHint, faults); {
	case l == nil:
	case l.Kind == "page":
		faults.Add(a.Source.Pos, "lights up is on the page already; name a contact that needs no page", "%s is a button of the page, which may be closed when it is needed", what)
	case l.Kind == "key" && a.Every > 0:
		faults.Add(a.Pos, alarmSourceHint, "%s is a key, which cannot be pressed every %v all night", what, a.Every)
	default:
		a.line = l
	}
}

// bound holds its times within bounds.
func (a *AlarmInput) bound(name string, faults *source.Faults) {
	if a.Debounce < 0 || a.Debounce > longestSteady {
		faults.Add(a.Pos, "noise on a wire is over in 20 ms to 50 ms", "the debounce of alarm input %q, %v, lies outside 0 to %v", name, a.Debounce, longestSteady)
		a.Debounce = 0
	}
	if a.Every != 0 && (a.Every < shortestBeat || a.Every > longestBeat) {
		faults.Add(a.Pos, "every: 5 s", "the heartbeat of alarm input %q, every %v, lies outside %v to %v", name, a.Every, shortestBeat, longestBeat)
		a.Every = 0
	}
	if a.line != nil && a.line.Instant() && a.Debounce > 0 {
		faults.Add(a.Pos, "leave debounce out", "alarm input %q is pressed in an instant, which cannot last", name)
		a.Debounce = 0
	}
}
