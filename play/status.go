package play

import (
	"fmt"
	"slices"
	"time"

	"lampblack/play/output"
	"lampblack/show"
)

// Status is where a run stands.
type Status struct {
	At       time.Duration
	Held     bool
	LightsUp bool
	Cue      *show.Cue // the last that started; nil before the first
	Next     *show.Cue // nil after the last
	Clock    string
	Late     Lateness
	Outputs  []output.Stats
}

// Entry is a line of the run's journal.
type Entry struct {
	Time  time.Time     `json:"time"`
	At    time.Duration `json:"-"`
	Shown float64       `json:"at"` // At in seconds
	What  string        `json:"what"`
	Text  string        `json:"text,omitempty"`
}

// reportEvery is how often Report is called while nothing happens.
const reportEvery = 100 * time.Millisecond

// status tells Report and the journal what has come.
func (r *run) status(position time.Duration) {
	i := r.show.CueAt(position)
	if i != r.cue {
		r.cue = i
		if i >= 0 {
			r.note("cue", r.show.Cues[i].Number.Name)
		}
		r.reported = time.Time{}
	}
	if r.o.Report == nil || time.Since(r.reported) < reportEvery {
		return
	}
	r.reported = time.Now()
	s := Status{At: position, Held: r.held, LightsUp: r.lightsUp, Clock: r.clock.Name(), Late: r.late.summary()}
	if i >= 0 {
		s.Cue = &r.show.Cues[i]
	}
	if i+1 < len(r.show.Cues) {
		s.Next = &r.show.Cues[i+1]
	}
	for _, sink := range r.o.Sinks {
		s.Outputs = append(s.Outputs, sink.Stats())
	}
	r.o.Report(s)
}

func (r *run) note(what, text string) {
	if r.o.Journal == nil {
		return
	}
	at := r.clock.Position()
	r.o.Journal(Entry{Time: time.Now(), At: at, Shown: at.Seconds(), What: what, Text: text})
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

// lateness counts in steps of 50 µs up to 100 ms, so that a night needs no
// more memory than a minute.
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
