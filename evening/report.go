package evening

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"lampblack/si"
)

// Report is what happened in sum, for the report of a show.
type Report struct {
	Ran      time.Duration // from beginning to end
	Holds    int
	Held     time.Duration // but for lights up
	LightsUp int
	Up       time.Duration
	Freezes  int
	Frozen   time.Duration // the light, while time went on or not
	Stops    int           // of all
	Jumps    int           // skips, backs, and goes before their time
	Losses   int           // of the clock
	Lost     time.Duration
	Longest  time.Duration // without the clock
	Fault    string        // the clock's last
	Triggers int           // that were waited for
	Missed   int           // triggers that nothing waited for
	Alarms   int           // times that one came while none stood
	Alarmed  time.Duration // while one stood
	Alarm    string        // the last: its input, and why
	Tried    []string      // inputs of the alarm that were seen to work
	Cut      int           // how often it was cut off, and taken up
	ByHand   string        // the last that was said of trims and units that are out
	Doors    string        // what the last round before doors came to, and when
	Outputs  int           // how often one was lost
	Away     time.Duration // that at least one was
	Output   string        // which was lost last, and why
	Faults   int           // others, beside the clock's
	Other    string        // the last of them
	Slow     int           // how often frames came to be late
	Slowed   time.Duration // that they were
	Softened int           // how often the light was held, as it would have flashed too often
	Flashes  string        // what was said of it last
	loss     time.Duration // the one that goes on
	away     int           // outputs that are lost
	slow     bool          // frames are late
}

// after is the report when an event has followed on a state.
func (r Report) after(s State, e Event) Report {
	switch e.Kind {
	case Doors:
		r.Doors = e.Text
		return r
	case LampSet:
		return r
	case AlarmTried:
		if !slices.Contains(r.Tried, e.Text) {
			r.Tried = append(slices.Clip(r.Tried), e.Text)
		}
		return r
	}
	if d := e.Time.Sub(s.Instant); s.Step != 0 && d > 0 {
		r.Ran += d
		switch {
		case s.Alarm != "":
			r.Alarmed += d
		case s.LightsUp:
			r.Up += d
		case s.Held:
			r.Held += d
		}
		if s.Frozen {
			r.Frozen += d
		}
		if s.Lost {
			r.Lost += d
			r.loss += d
			r.Longest = max(r.Longest, r.loss)
		}
		if r.away > 0 {
			r.Away += d
		}
		if r.slow {
			r.Slowed += d
		}
	}
	switch e.Kind {
	case Hold:
		r.Holds++
	case LightsUp:
		r.LightsUp++
	case Froze:
		r.Freezes++
	case StopAll:
		r.Stops++
	case Skip, Back:
		r.Jumps++
	case Go:
		if !s.Held {
			r.Jumps++
		}
	case AlarmSet:
		if s.Alarm == "" {
			r.Alarms++
		}
		r.Alarm = e.alarm()
	case ByHand:
		r.ByHand = e.Text
	case Trigger:
		r.Triggers++
	case Missed:
		r.Missed++
	case ClockLost:
		r.Losses++
		r.Fault, r.loss = e.Text, 0
	}
	return r.wire(e)
}

// wire is the report when an event has told of what goes out. A run that is taken up begins
// with outputs that are opened anew.
func (r Report) wire(e Event) Report {
	switch e.Kind {
	case Resumed:
		r.away, r.slow = 0, false
		r.Cut++
	case OutputLost:
		r.Outputs++
		r.away++
		r.Output = e.Text
	case OutputFound:
		r.away = max(r.away-1, 0)
	case Fault:
		r.Faults++
		r.Other = e.Text
	case Softened:
		r.Softened++
		r.Flashes = e.Text
	case Late:
		r.Slow++
		r.slow = true
	case OnTime:
		r.slow = false
	}
	return r
}

// Lines tells what happened beside the plan, a line each; none when nothing did.
func (r Report) Lines() []string {
	var lines []string
	say := func(n int, what string, length time.Duration) {
		if n > 0 {
			lines = append(lines, fmt.Sprintf("%s %s, %s in all", what, times(n), si.Say(length.Seconds(), "s")))
		}
	}
	if r.Doors != "" {
		lines = append(lines, "before doors: "+r.Doors)
	}
	if r.Cut > 0 {
		lines = append(lines, "cut off, and taken up again, "+times(r.Cut))
	}
	if say(r.Alarms, "ALARM", r.Alarmed); r.Alarms > 0 {
		lines[len(lines)-1] += "; last: " + r.Alarm
	}
	if len(r.Tried) > 0 {
		lines = append(lines, "the alarm was tried, and came and was reset: "+strings.Join(r.Tried, ", "))
	}
	switch {
	case r.Stops == 0:
		say(r.Holds, "held", r.Held)
	case r.Holds == 0:
		say(r.Stops, "all stopped", r.Held)
	default:
		say(r.Holds, "held", r.Held)
		lines[len(lines)-1] += ", with all stopped " + times(r.Stops) + " more"
	}
	say(r.Freezes, "the light frozen", r.Frozen)
	say(r.LightsUp, "lights up", r.Up)
	if r.Jumps > 0 {
		lines = append(lines, "taken elsewhere "+times(r.Jumps))
	}
	if r.Triggers > 0 {
		lines = append(lines, "taken on by a trigger "+times(r.Triggers))
	}
	if r.Missed > 0 {
		lines = append(lines, "a trigger came that nothing waited for "+times(r.Missed))
	}
	if r.ByHand != "" {
		lines = append(lines, "by hand tonight: "+r.ByHand)
	}
	say(r.Losses, "clock lost", r.Lost)
	if n := len(lines); r.Losses > 0 {
		if r.Losses > 1 {
			lines[n-1] += fmt.Sprintf(", %s the longest", si.Say(r.Longest.Seconds(), "s"))
		}
		lines[n-1] += "; last: " + r.Fault
	}
	if say(r.Outputs, "an output lost", r.Away); r.Outputs > 0 {
		lines[len(lines)-1] += "; last: " + r.Output
	}
	if r.Faults > 0 {
		lines = append(lines, "something else was wrong "+times(r.Faults)+"; last: "+r.Other)
	}
	say(r.Slow, "frames were late", r.Slowed)
	if r.Softened > 0 {
		lines = append(lines, "the light was softened, lest it flash too often, "+times(r.Softened)+"; last: "+r.Flashes)
	}
	return lines
}

func times(n int) string {
	if n < 3 {
		return [...]string{"never", "once", "twice"}[n]
	}
	return fmt.Sprintf("%d times", n)
}
