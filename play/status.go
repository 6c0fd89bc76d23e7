package play

import (
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
	Frames  int // handed out so far
	Late    output.Lateness
	Outputs []output.Stats
	Wrong   []Trouble // beside the clock, the gravest first
	Beside  Beside
	Alarm   alarm.State // and how its inputs stand
	Levels  []float32   // by drive, as they were sent last
	Hears   string      // what of live sound, in plain words; "" where none is listened to
}

// reportEvery is how often Report is called while nothing happens.
const reportEvery = 100 * time.Millisecond

// status tells Report, at once when something has happened.
func (r *run) status(now time.Time) {
	r.look(now)
	if r.o.Report == nil && r.o.Tell == nil || r.events == r.told && now.Sub(r.reported) < reportEvery {
		return
	}
	beside := r.heard()
	r.otherDevice(now, &beside)
	happened := r.events != r.told
	r.reported, r.told = now, r.events
	if r.o.Tell != nil {
		r.o.Tell(r.place.Tell(now), happened)
	}
	if r.o.Report == nil {
		return
	}
	s := Status{Status: r.first().Status(now), Frames: r.count, Late: r.late(), Outputs: r.wire.Stats(), Wrong: r.wrong.all, Levels: slices.Clone(r.frame.Levels), Beside: beside, Hears: r.o.Hearing.says(r.place.Show().Bill.Live.Silent.Name)}
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
