package rehearse

import (
	"math"
	"slices"
	"time"

	"lampblack/calendar"
	"lampblack/evening"
	"lampblack/play/course"
	"lampblack/show"
)

// zone is what the rehearsal knows of a zone.
type zone struct {
	*show.PlacedZone
	way    *course.Zone
	entry  string   // the trigger that takes it out of its rest
	others []string // its other triggers
	takes  time.Duration

	inside  []*group // that have it to themselves
	waiting []*group
	step    int
	since   time.Time // in that step
	goes    int       // counts what waits for go, so that a go for what is over is none
	asked   bool      // somebody is about to give it
	doses   []float64 // J/m² of UV-A that each visitor had inside, at the worst seat

	used Zone
}

func newZone(z *show.PlacedZone, drives int, triggers *show.Triggers) *zone {
	out := &zone{PlacedZone: z, step: -1, used: Zone{Name: z.Name, Lit: make([]float64, drives)}}
	first := &z.Evening.Steps[0]
	out.entry = first.Until.Trigger
	add := func(trigger string) {
		if trigger != "" && trigger != out.entry && !slices.Contains(out.others, trigger) {
			out.others = append(out.others, trigger)
		}
	}
	for i := range z.Evening.Steps {
		s := &z.Evening.Steps[i]
		if i > 0 || !z.Repeats {
			out.takes += s.Usual()
		}
		add(s.Until.Trigger)
		for k := range s.Show.Score.Waits {
			add(s.Show.Score.Waits[k].Until.Trigger)
		}
	}
	if triggers != nil {
		if in := triggers.Inside.Get(z.Name); in != nil {
			add(in.Leaves.Name) // a beam that nothing waits for is passed all the same
		}
	}
	out.used.Steps = make([]StepUse, len(z.Evening.Steps))
	for i := range out.used.Steps {
		out.used.Steps[i].Name = z.Evening.Steps[i].Name()
	}
	return out
}

// rests tells whether the zone is free to be started.
func (z *zone) rests() bool { return z.entry == "" || z.way.Index() == 0 }

// beam is a trigger as the rehearsal trips it.
type beam struct {
	*show.Trigger
	fired time.Time
	use   TriggerUse
}

// group are people who walk together.
type group struct {
	people  int
	arrived time.Time // at the zone
	entered []float64 // the light that the place had given by then
	dose    []float64 // by eye
	served  bool
}

// begin begins in the first instant.
func (s *simulation) begin() {
	s.enact()
	if s.o.PerHour > 0 {
		s.arrival()
	}
}

// enact begins the place.
func (s *simulation) enact() {
	s.began = s.now
	s.place = course.NewPlace(s.of, s.o.Hours, func(i int) course.Options {
		return course.Options{Journal: func(e evening.Event) { s.happened(s.zones[i], e) }}
	})
	_ = s.place.Begin(s.now, evening.State{}, nil) // nothing is opened that could fail
	for i, z := range s.zones {
		z.way = s.place.Zones[i]
	}
	s.track()
}

// happened counts what the place itself does.
func (s *simulation) happened(z *zone, e evening.Event) {
	if z != s.zones[0] {
		return
	}
	switch e.Kind {
	case evening.Opens:
		s.opened++
	case evening.Closes:
		s.closed++
	}
}

// arrival has the next group arrive: gaps between groups are exponential while the place is
// open.
func (s *simulation) arrival() {
	perSecond := s.o.PerHour / s.o.Group / 3600
	gap := time.Duration(s.rng.ExpFloat64() / perSecond * float64(time.Second))
	at := s.now
	for range 10000 {
		open, until := s.isOpen(at)
		switch {
		case !at.Before(s.end):
			return
		case open && at.Add(gap).Before(until):
			s.events.add(at.Add(gap), func() {
				s.arrive(s.newGroup(), 0)
				s.arrival()
			})
			return
		case open:
			gap -= until.Sub(at)
		}
		at = until
	}
}

func (s *simulation) newGroup() *group {
	n := 1
	for s.o.Group > 1 && n < 40 && s.rng.Float64() > 1/s.o.Group {
		n++
	}
	s.groups++
	s.people += n
	h := &s.hours[s.clock().Hour()]
	h.Groups++
	h.People += n
	return &group{people: n, dose: make([]float64, len(s.light.rows))}
}

// clock is the instant by the clocks of the place.
func (s *simulation) clock() time.Time {
	if c := s.o.Hours; c != nil {
		return s.now.In(c.Midnight(s.now, 0).Location())
	}
	return s.now
}

// arrive brings a group to a zone. It waits while another has the zone to itself, but for
// those who do not.
func (s *simulation) arrive(g *group, at int) {
	if at == len(s.zones) {
		worst := 0.0
		for _, d := range s.light.visitors(g.dose) {
			worst = max(worst, d)
		}
		for range g.people {
			s.walks = append(s.walks, worst)
		}
		return
	}
	z := s.zones[at]
	g.arrived, g.served = s.now, false
	if z.entry != "" && (len(z.inside) > 0 || len(z.waiting) > 0 || !z.rests()) {
		if s.rng.Float64() >= impatient {
			z.waiting = append(z.waiting, g)
			z.used.Queue = max(z.used.Queue, len(z.waiting))
			return
		}
		z.used.Impatient++
	}
	s.enter(g, at)
}

// enter lets a group into a zone: each of its people passes the beam.
func (s *simulation) enter(g *group, at int) {
	z := s.zones[at]
	z.used.Groups++
	z.used.Waits = append(z.used.Waits, s.now.Sub(g.arrived))
	g.entered = s.light.given(s.zones)
	z.inside = append(z.inside, g)
	last := s.now
	if z.entry != "" {
		last = s.passes(g, z.entry, s.now)
	}
	median := z.takes
	if median <= 0 || z.entry == "" {
		median = strolling
	}
	stay := time.Duration(float64(median) * math.Exp(spread*s.rng.NormFloat64()))
	if z.entry != "" {
		s.events.add(last.Add(passing*3), func() { g.served = z.way.Index() > 0 || !z.Repeats; z.count(g) })
	}
	s.events.add(s.now.Add(stay), func() { s.leave(g, at) })
}

// count counts groups for whom the zone did not begin.
func (z *zone) count(g *group) {
	if !g.served {
		z.used.Unserved++
	}
}

// leave takes a group on to the next zone.
func (s *simulation) leave(g *group, at int) {
	z := s.zones[at]
	for _, name := range z.others {
		s.passes(g, name, s.now)
	}
	z.inside = slices.DeleteFunc(z.inside, func(o *group) bool { return o == g })
	inside := s.light.given(s.zones)
	for e := range inside {
		inside[e] -= g.entered[e]
		g.dose[e] += inside[e]
	}
	if seats := s.light.visitors(inside); len(seats) > 0 {
		for range g.people {
			z.doses = append(z.doses, slices.Max(seats))
		}
	}
	s.admit()
	s.events.add(s.now.Add(10*time.Second), func() { s.arrive(g, at+1) })
}

// admit lets in those who waited, where a zone is free.
func (s *simulation) admit() {
	for i, z := range s.zones {
		if len(z.waiting) > 0 && len(z.inside) == 0 && z.rests() {
			g := z.waiting[0]
			z.waiting = z.waiting[1:]
			s.enter(g, i)
		}
	}
}

// passes has every person of a group pass a beam, one after another, and returns when the
// last one does.
func (s *simulation) passes(g *group, name string, at time.Time) time.Time {
	for i := range g.people {
		if i > 0 {
			at = at.Add(time.Duration(s.rng.ExpFloat64() * float64(between)))
		}
		s.events.add(at, func() { s.trip(name) })
	}
	return at
}

// trip is a person in a beam: the contact closes for a moment, and counts by its rules.
func (s *simulation) trip(name string) {
	b := s.triggers[name]
	if b == nil {
		b = &beam{Trigger: &show.Trigger{}}
		s.triggers[name] = b
	}
	b.use.Came++
	if b.Debounce+b.Dwell > passing {
		b.use.Short++
		return
	}
	s.events.add(s.now.Add(b.Debounce+b.Dwell), func() {
		switch {
		case !b.fired.IsZero() && s.now.Sub(b.fired) < b.Rearm:
			b.use.Deaf++
			return
		default:
			b.fired = s.now
		}
		_, shut := s.place.Shut()
		switch {
		case s.place.Trigger(s.now, name) > 0:
			b.use.Taken++
		case shut:
			b.use.Asleep++
		default:
			b.use.Missed++
		}
		s.track()
		s.admit()
	})
}

// tick lets the place go on, and gives the goes that somebody would give.
func (s *simulation) tick() error {
	over, err := s.place.Tick(s.now)
	s.track()
	s.admit()
	if over && err == nil {
		s.again()
	}
	return err
}

// again begins an evening that is over anew on the next day.
func (s *simulation) again() {
	s.over = false
	s.nights = append(s.nights, s.now.Sub(s.began))
	_ = s.place.Close()
	for _, z := range s.zones {
		z.step, z.asked = -1, false
	}
	if next := s.began.AddDate(0, 0, 1); next.Before(s.end) {
		s.now = later(next, s.now)
		s.enact()
	} else {
		s.now = s.end
	}
}

// track notes in which step every zone is, and has somebody give the go that it waits for.
func (s *simulation) track() {
	for i, z := range s.zones {
		w, waits := z.way.Waits(s.now)
		step := z.way.Index()
		if step != z.step {
			z.step, z.since = step, s.now
			z.used.Steps[step].Times++
			z.goes++
			z.asked = false
		}
		if !waits || w.Until.Trigger != "" || w.Until.ByItself() || z.asked {
			if !waits {
				z.asked = false
			}
			continue
		}
		z.asked = true
		z.goes++
		number := z.goes
		s.events.add(s.now.Add(s.patience(w)), func() {
			if z.goes == number {
				z.used.Goes++
				z.asked = false
				s.place.Do(s.now, s.zones[i].Name, course.Go, 0)
				s.over, _ = s.place.Settle(s.now)
				s.track()
			}
		})
	}
}

// patience is how long somebody takes to give a go: between half of what is usual and the
// longest, most likely the usual.
func (s *simulation) patience(w course.Waiting) time.Duration {
	usually, most := w.Usually, w.Most
	if usually == 0 {
		usually = most / 2
	}
	low := usually / 2
	return low + time.Duration(triangular(s.rng.Float64(), float64(usually-low), float64(most-low)))
}

// triangular turns an even share into a length from 0 to most with a peak at mode.
func triangular(u, mode, most float64) float64 {
	if most <= 0 {
		return 0
	}
	if c := mode / most; u < c {
		return math.Sqrt(u * mode * most)
	}
	return most - math.Sqrt((1-u)*most*(most-mode))
}

// pass lets time go on to an instant, and takes the light of it.
func (s *simulation) pass(to time.Time) {
	d := to.Sub(s.now)
	if d <= 0 {
		return
	}
	stands, shut := s.place.Shut()
	open, _ := s.isOpen(s.now)
	if open {
		s.open += d
	}
	for _, z := range s.zones {
		use := &z.used.Steps[z.way.Index()]
		use.Time += d
		if stay := to.Sub(z.since); stay > use.Longest {
			use.Longest = stay
		}
		runs := z.way.Index() > 0 || !z.Repeats
		if runs && !shut {
			s.hours[s.clock().Hour()].Runs += d
			z.used.Ran += d
		}
		if len(z.inside) > 0 && !runs && z.entry != "" {
			z.used.LeftResting += d * time.Duration(len(z.inside))
		}
		s.light.take(z, shut, stands, s.now, d)
	}
	if stands.Is == calendar.Testing {
		s.hours[s.clock().Hour()].Tests += d
	}
	s.now = to
}
