package play

import (
	"fmt"
	"slices"
	"time"

	"lampblack/calendar"
	"lampblack/play/alarm"
	"lampblack/play/course"
	"lampblack/play/output"
)

// Status is where a run stands: where its first zone does, and where all do.
type Status struct {
	course.Status
	Zones   []course.Status // of a place of several; nil for one
	Shut    bool            // the place is outside its hours, and stands so
	Hours   calendar.State
	Late    Lateness
	Outputs []output.Stats
	Beside  Beside
	Alarm   alarm.State // and how its inputs stand
	Levels  []float32   // by drive, as they were sent last
}

// reportEvery is how often Report is called while nothing happens.
const reportEvery = 100 * time.Millisecond

// status tells Report, at once when something has happened.
func (r *run) status(now time.Time) {
	if r.o.Report == nil || r.events == r.told && now.Sub(r.reported) < reportEvery {
		return
	}
	r.reported, r.told = now, r.events
	s := Status{Status: r.first().Status(now), Late: r.late.summary(), Outputs: r.wire.Stats(), Levels: slices.Clone(r.frame.Levels), Beside: r.heard()}
	s.Hours, s.Shut = r.place.Shut()
	if r.o.Alarm != nil {
		s.Alarm = r.o.Alarm.State()
	}
	if len(r.place.Zones) > 1 {
		for _, z := range r.place.Zones {
			s.Zones = append(s.Zones, z.Status(now))
		}
	}
	r.o.Report(s)
}

// Lateness tells how far past their due times frames were handed out.
type Lateness struct {
	Median, P999, Worst time.Duration
	Missed              int // frames that were never made: the computer stalled
}

func (l Lateness) String() string {
	round := func(d time.Duration) time.Duration { return d.Round(10 * time.Microsecond) }
	return fmt.Sprintf("frames late by %v (median), %v (99.9 %%), %v (worst); %d missed", round(l.Median), round(l.P999), round(l.Worst), l.Missed)
}

// lateness counts in steps of 50 µs up to 100 ms, so that a night needs no more memory
// than a minute. A frame later than 100 ms counts in the last step, and its own
// lateness as the worst.
type lateness struct {
	steps  [2000]int
	worst  time.Duration
	count  int
	missed int
}

const lateStep = 50 * time.Microsecond

func (l *lateness) add(d time.Duration) {
	i := min(max(int(d/lateStep), 0), len(l.steps)-1)
	l.steps[i]++
	l.count++
	l.worst = max(l.worst, d)
}

func (l *lateness) summary() Lateness {
	return Lateness{Median: l.share(.5), P999: l.share(.999), Worst: l.worst, Missed: l.missed}
}

// share returns the lateness that the given share of frames does not exceed.
func (l *lateness) share(p float64) time.Duration {
	need := int(p * float64(l.count))
	sum := 0
	i := slices.IndexFunc(l.steps[:], func(n int) bool { sum += n; return sum > need })
	if i < 0 || l.count == 0 {
		return 0
	}
	return min(time.Duration(i+1)*lateStep, l.worst)
}
