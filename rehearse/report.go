package rehearse

import (
	"slices"
	"strings"
	"time"

	"lampblack/room"
)

// Report is what a rehearsal came to.
type Report struct {
	Days    int
	Open    time.Duration // how long the place was open
	Opened  int           // how often
	Closed  int
	Groups  int
	People  int
	Zones   []Zone
	Hours   [24]Hour // by the hour of the day
	Units   []Unit
	Eyes    []Eye // those of people who work there: all day long
	Visitor Spread
	Trigger []TriggerUse
	Nights  []time.Duration // how long each evening took, of a place that does not repeat
}

// Spread is how a figure was distributed.
type Spread struct{ Median, P95, Most float64 }

// Zone is what happened in a zone.
type Zone struct {
	Name        string
	Groups      int             // that came
	Waits       []time.Duration // how long each waited at its door, sorted
	Queue       int             // the longest
	Impatient   int             // groups that did not wait
	Unserved    int             // groups for whom it did not begin
	LeftResting time.Duration   // groups stood in its rest look, in all
	Ran         time.Duration   // away from its rest look
	Goes        int             // that somebody gave
	Steps       []StepUse
	Lit         []float64 // by drive: full light × seconds
	Visitor     Spread    // J/m² of UV-A that each visitor had inside, from all zones, at the worst seat
	Staff       float64   // J/m² of UV-A a day that the zone gives to the eye that it gives most, of those who work there
}

// StepUse is how a step was used.
type StepUse struct {
	Name    string
	Times   int
	Time    time.Duration
	Longest time.Duration
}

// Hour is what happened in an hour of the day, over all days.
type Hour struct {
	Groups, People int
	Runs           time.Duration // of all zones
	Tests          time.Duration
}

// Unit is how long a unit burned.
type Unit struct {
	Name string
	Lit  time.Duration // with any light
	Full float64       // hours at full light that give as much
}

// Eye is a dose of somebody who works in the place, on the mean of its days.
type Eye struct {
	Name string
	Dose float64 // J/m² of UV-A a day
}

// TriggerUse is what became of all that came to a trigger:
//
//	Came = Short + Deaf + Taken + Missed + Asleep
type TriggerUse struct {
	Name   string
	Came   int
	Short  int // gone before its dwell was over
	Deaf   int // while it re-armed: the second of a pair, most of all
	Taken  int // something waited for it
	Missed int // nothing waited for it
	Asleep int // outside the hours
}

// report gathers the report.
func (s *simulation) report() *Report {
	r := &Report{Days: s.o.Days, Open: s.open, Opened: s.opened, Closed: s.closed, Groups: s.groups, People: s.people, Hours: s.hours, Nights: s.nights}
	for _, z := range s.zones {
		slices.Sort(z.used.Waits)
		z.used.Visitor = spreadOf(z.doses)
		for e, j := range s.light.given([]*zone{z}) {
			if s.light.kind[e] != room.KindSeat {
				z.used.Staff = max(z.used.Staff, j/float64(s.o.Days))
			}
		}
		r.Zones = append(r.Zones, z.used)
	}
	for u := range s.of.Rig.Units {
		unit := Unit{Name: s.of.Rig.Units[u].Name.Name, Lit: time.Duration(s.light.lit[u] * float64(time.Second))}
		from, to := s.of.Rig.UnitDrives(u)
		for _, z := range s.zones {
			for d := from; d < to; d++ {
				unit.Full += z.used.Lit[d] / 3600 / float64(to-from)
			}
		}
		r.Units = append(r.Units, unit)
	}
	given := s.light.given(s.zones)
	t := s.of.Transport
	for e, place := range t.Eyes {
		if t.Places[place].Kind != room.KindSeat {
			r.Eyes = append(r.Eyes, Eye{t.Places[place].Name, given[e] / float64(s.o.Days)})
		}
	}
	r.Visitor = spreadOf(s.walks)
	for name, b := range s.triggers {
		b.use.Name = name
		r.Trigger = append(r.Trigger, b.use)
	}
	slices.SortFunc(r.Trigger, func(a, b TriggerUse) int { return strings.Compare(a.Name, b.Name) })
	return r
}

func spreadOf(v []float64) Spread {
	if len(v) == 0 {
		return Spread{}
	}
	v = slices.Clone(v)
	slices.Sort(v)
	return Spread{v[len(v)/2], v[len(v)*95/100], v[len(v)-1]}
}
