package show_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/play/course"
	"lampblack/show"
)

// simPlace is where a person with a stop watch reckons an evening to be: a step, seconds
// in it, the waits that are over.
type simPlace struct {
	steps    []simStep
	step     int
	in       time.Duration
	gaps     []time.Duration
	released bool // the span that is heard is left at the end of this pass
	over     bool
}

// waiting tells what is waited for, and for how long already: in a span from when it is
// entered on, its time counted from where it would be left.
func (p *simPlace) waiting() (w *simWait, since time.Duration, ok bool) {
	s := &p.steps[p.step]
	if s.stands {
		return &s.rest, p.in, true
	}
	if n := len(p.gaps); n < len(s.waits) {
		w := &s.waits[n]
		begins := s.begins(n, p.gaps)
		if p.in >= begins-w.span {
			return w, p.in - begins, !p.released
		}
	}
	return nil, 0, false
}

// release has the wait over that is waited for now.
func (p *simPlace) release() {
	w, since, ok := p.waiting()
	switch s := &p.steps[p.step]; {
	case !ok:
	case s.stands:
		p.enter(p.step + 1)
	case w.span == 0:
		p.gaps = append(p.gaps, since)
	default: // so many passes are over, and this one ends
		p.gaps = append(p.gaps, (since+w.span)/w.span*w.span)
	}
}

func (p *simPlace) enter(step int) {
	p.step, p.in, p.gaps = step, 0, nil
	p.over = step == len(p.steps)
}

// advance lets time go on.
func (p *simPlace) advance(dt time.Duration) {
	for !p.over {
		s := &p.steps[p.step]
		next, happens := time.Duration(1<<62), func() {} // in the step: when something happens by itself, and what
		switch w, since, ok := p.waiting(); {
		case ok && w.limit() > 0 && w.span > 0: // released so that this pass is the last
			next, happens = p.in-since+w.whole(w.limit())-w.span, p.release
		case ok && w.limit() > 0:
			next, happens = p.in-since+w.limit(), p.release
		case ok:
		case len(p.gaps) < len(s.waits): // it comes to a wait
			next = s.begins(len(p.gaps), p.gaps) - s.waits[len(p.gaps)].span
		default:
			next, happens = s.end(p.gaps), func() { p.enter(p.step + 1) }
		}
		if next > p.in+dt {
			p.in += dt
			return
		}
		dt -= max(next-p.in, 0)
		p.in = max(p.in, next)
		happens()
	}
}

// walked is an evening under a hand, beside the simulator.
type walked struct {
	t     *testing.T
	o     *simOrder
	e     *show.Evening
	zone  *course.Zone
	sim   simPlace
	now   time.Time
	start time.Time
	entry []float64
	log   []string
	frame *show.Frame

	lights, wrongLight, places, wrongPlace int
	firstLight, firstPlace                 string
}

func (w *walked) note(format string, args ...any) {
	w.log = append(w.log, fmt.Sprintf("%8.3f  ", w.now.Sub(w.start).Seconds())+fmt.Sprintf(format, args...))
}

// tick lets the zone go on to an instant, and waits for a clock that is being opened.
func (w *walked) tick() {
	for more := true; more; {
		if _, err := w.zone.Tick(w.now); err != nil {
			w.t.Fatal(err)
		}
		next, ok := w.zone.Next(w.now)
		more = ok && !next.After(w.now)
	}
	for w.zone.Status(w.now).Opening {
		synctest.Wait()
		if _, err := w.zone.Tick(w.now); err != nil {
			w.t.Fatal(err)
		}
	}
}

func (w *walked) state() evening.State { return w.zone.Status(w.now).State }

// pass lets time go on, by what the zone says of when something happens, and in steps of
// a frame at most.
func (w *walked) pass(d time.Duration) {
	for end := w.now.Add(d); w.now.Before(end) && !w.zone.Over(); {
		next := w.now.Add(time.Second / 44)
		if own, ok := w.zone.Next(w.now); ok && own.After(w.now) && own.Before(next) {
			next = own
		}
		if end.Before(next) {
			next = end
		}
		dt := next.Sub(w.now)
		was := w.sim
		if w.now = next; was.over { // the end may be a microsecond away
			w.tick()
			continue
		}
		w.sim.advance(dt)
		if w.sim.over || w.sim.step != was.step { // from what is seen as the step ends
			in := was.in + dt
			if !w.sim.over {
				in -= w.sim.in
			}
			w.entry = w.o.steps[was.step].play(w.entry, was.gaps, in)
		}
		w.tick()
	}
}

// agrees holds the zone's place and its light beside the simulator's.
func (w *walked) agrees() bool {
	if w.zone.Over() || w.sim.over {
		w.places++
		if w.zone.Over() != w.sim.over {
			w.wrong(&w.wrongPlace, &w.firstPlace, "it is over: %v, want %v", w.zone.Over(), w.sim.over)
		}
		return false
	}
	st := w.state()
	s := &w.o.steps[w.sim.step]
	gaps := st.Waited.Gaps(len(s.waits))
	w.places++
	near := func(a, b time.Duration) bool { return (a - b).Abs() <= 2*time.Millisecond }
	// What is released within a span may be written at once, or at its end.
	same := st.Step == w.sim.step+1 && near(st.In, w.sim.in)
	for i := range min(len(gaps), len(w.sim.gaps)) {
		same = same && near(gaps[i], w.sim.gaps[i])
	}
	n := len(w.sim.gaps)
	same = same && (len(gaps) == n || len(gaps) == n-1 && s.waits[n-1].span > 0 && w.sim.in <= s.begins(n-1, w.sim.gaps)+w.sim.gaps[n-1])
	if !same {
		w.wrong(&w.wrongPlace, &w.firstPlace, "step %d at %v, waited %v; want step %d at %v, waited %v", st.Step-1, st.In, gaps, w.sim.step, w.sim.in, w.sim.gaps)
		return false
	}
	w.zone.Light(w.frame, w.now)
	want := s.play(w.entry, gaps, st.In)
	w.lights++
	if d, ok := sameSlack(w.frame.Levels, want, 2e-3); !ok {
		w.wrong(&w.wrongLight, &w.firstLight, "drive %d at %v of step %d, waited %v, is %v, want %v", d, st.In, w.sim.step, gaps, w.frame.Levels[d], want[d])
		return false
	}
	return true
}

func (w *walked) wrong(count *int, first *string, format string, args ...any) {
	if *count++; *count == 1 {
		*first = fmt.Sprintf(format, args...) + "\n" + strings.Join(w.log, "\n") + "\n" + w.o.String()
	}
}

// adopt takes over where the zone went, with the light of the order if it is another step.
func (w *walked) adopt(order bool) {
	st := w.state()
	if order {
		w.entry = before(w.o.steps, st.Step-1, simDrives)
	}
	w.sim.step, w.sim.in = st.Step-1, st.In
	w.sim.gaps = slices.Clone(st.Waited.Gaps(100))
}

// The same orders as they are run, with given instants: goes early and late, triggers,
// skips, backs and jumps.
func TestCourseBesideASimulator(t *testing.T) {
	total := map[string]int{}
	var told []string
	for seed := range simSeeds() {
		synctest.Test(t, func(t *testing.T) {
			courseBeside(t, seed, total, func(format string, args ...any) { told = append(told, fmt.Sprintf(format, args...)) })
		})
	}
	for _, text := range told[:min(len(told), 12)] {
		t.Error(text)
	}
	t.Log(total)
}

func courseBeside(t *testing.T, seed uint64, total map[string]int, tell func(string, ...any)) {
	rng := rand.New(rand.NewPCG(seed, 121))
	o := randomOrder(rng)
	s, e := o.solve(t)
	place := s.Alone(e)
	options := course.Options{}
	if seed%2 == 1 { // clocks of their own, with loops
		options.Open = func(step int) (clock.Clock, time.Duration, error) {
			var loops []clock.Loop
			for _, l := range e.Steps[step].Show.Spans() {
				loops = append(loops, clock.Loop{From: l[0], To: l[1]})
			}
			c, err := clock.NewLooped(loops)
			return c, 0, err
		}
	}
	w := &walked{t: t, o: o, e: e, zone: course.New(&place.Zones[0], options), now: time.Now(), start: time.Now(), sim: simPlace{steps: o.steps}, frame: e.Steps[0].Show.NewFrame()}
	w.entry = make([]float64, simDrives)
	if err := w.zone.Begin(w.now, evening.State{}); err != nil {
		t.Fatal(err)
	}
	w.tick()
	for range 25 {
		if !w.agrees() {
			break
		}
		st := w.state()
		before := w.sim
		_, _, waits := w.sim.waiting()
		if _, ok := w.zone.Waits(w.now); ok != waits && len(st.Waited.Gaps(100)) == len(w.sim.gaps) {
			total["waits"]++
			if total["waits"] < 3 {
				tell("seed %d: waits %v, want %v at %+v\n%s\n%s", seed, ok, waits, w.sim.in, strings.Join(w.log, "\n"), o)
			}
		}
		switch k := rng.IntN(16); {
		case k < 5:
			d := time.Duration(rng.Int64N(int64(8 * time.Second)))
			w.note("%v pass", d)
			w.pass(d)
		case k < 6:
			d := time.Duration(rng.Int64N(int64(40 * time.Second)))
			w.note("%v pass", d)
			w.pass(d)
		case k < 11 && waits:
			seen := o.steps[w.sim.step].play(w.entry, w.sim.gaps, st.In)
			by, _, _ := w.sim.waiting()
			if by.until == "trigger" && rng.IntN(2) == 0 {
				w.note("trigger at %v of step %d", st.In, w.sim.step)
				if !w.zone.Trigger(w.now, "door") {
					total["trigger not taken"]++
				}
				if w.zone.Trigger(w.now, "hatch") {
					total["wrong trigger taken"]++
				}
			} else {
				w.note("go at %v of step %d", st.In, w.sim.step)
				w.zone.Do(w.now, course.Go, 0)
			}
			w.sim.release()
			w.sim.advance(0)
			if w.sim.step != before.step || w.sim.over {
				w.entry = seen
			}
			w.tick()
			w.pass(time.Millisecond) // a log has microseconds: the end may be one away
		case k < 11 && o.steps[w.sim.step].sound > w.sim.in && rng.IntN(3) == 0:
			w.note("go within sound at %v of step %d", st.In, w.sim.step)
			w.zone.Do(w.now, course.Go, 0)
			w.tick()
			if now := w.state(); now.Step != st.Step || now.In != st.In {
				total["go moved sound"]++
				w.adopt(now.Step != st.Step)
			}
		case k < 12:
			w.note("skip at %v of step %d", st.In, w.sim.step)
			to, gaps := st.In, st.Waited.Gaps(100)
			if !o.steps[w.sim.step].stands && len(gaps) == len(o.steps[w.sim.step].waits) {
				to = o.steps[w.sim.step].end(gaps) // and from there into the next step
			}
			seen := o.steps[w.sim.step].play(w.entry, gaps, to)
			w.zone.Do(w.now, course.SkipNow, 0)
			w.tick()
			if w.zone.Over() {
				w.sim.over = true
				break
			}
			now := w.state()
			if now.Step < st.Step || now.Step > st.Step+1 || now.Step == st.Step && now.In < st.In {
				total["skip"]++
				tell("seed %d: skip from step %d %v to step %d %v", seed, st.Step, st.In, now.Step, now.In)
			}
			if now.Step > st.Step && now.In > 0 {
				total["skip"]++
			}
			if w.adopt(false); now.Step != st.Step {
				w.entry = seen
			} else if n := len(before.gaps); len(w.sim.gaps) < n && n > 0 && len(st.Waited.Gaps(100)) == n {
				tell("seed %d: skip from %v to %v, and what was released waits again: %v, was %v\n%s", seed, st.In, now.In, w.sim.gaps, before.gaps, o)
			}
			if now.Step == st.Step && len(w.sim.gaps) == len(before.gaps) && !atCue(&o.steps[w.sim.step], w.sim.gaps, now.In) {
				if total["skip beside a cue"]++; total["skip beside a cue"] < 3 {
					tell("seed %d: skip from step %d %v %v to step %d %v %v\n%s\n%s", seed, st.Step, st.In, before.gaps, now.Step, now.In, w.sim.gaps, strings.Join(w.log, "\n"), o)
				}
			}
		case k < 14:
			w.note("back at %v of step %d", st.In, w.sim.step)
			w.zone.Do(w.now, course.Back, 0)
			w.tick()
			now := w.state()
			if now.Step > st.Step || now.Step < st.Step-1 || now.Step == st.Step && now.In > st.In {
				total["back"]++
				tell("seed %d: back from step %d %v to step %d %v", seed, st.Step, st.In, now.Step, now.In)
			}
			w.adopt(now.Step != st.Step)
			open := simPlace{steps: o.steps, step: w.sim.step, in: now.In}
			if n := len(w.sim.gaps); n > 0 {
				open.gaps = slices.Clone(w.sim.gaps[:n-1])
				open.advance(0) // one that is waited for again may be over at once
			}
			if n := len(w.sim.gaps); n > 0 && !slices.Equal(open.gaps, w.sim.gaps) && now.In < o.steps[w.sim.step].begins(n-1, w.sim.gaps)+w.sim.gaps[n-1] {
				tell("seed %d: back from %v to %v, and the wait is over that is there: %v\n%s", seed, st.In, now.In, w.sim.gaps, o)
			}
			if now.In > 0 && !atCue(&o.steps[w.sim.step], w.sim.gaps, now.In) {
				if total["back beside a cue"]++; total["back beside a cue"] < 3 {
					tell("seed %d: back from step %d %v to step %d %v %v\n%s", seed, st.Step, st.In, now.Step, now.In, w.sim.gaps, o)
				}
			}
		case k < 15 && !o.steps[w.sim.step].stands:
			to := time.Duration(rng.Int64N(int64(o.steps[w.sim.step].end(o.steps[w.sim.step].longest()))))
			w.note("seek %v from %v of step %d", to, st.In, w.sim.step)
			if w.zone.Do(w.now, course.Seek, to); w.zone.Status(w.now).Asked != "" { // sound runs
				w.zone.Do(w.now, course.Seek, to)
			}
			w.tick()
			if now := w.state(); now.Step != st.Step {
				total["seek leaves the step"]++
				tell("seed %d: seek %v leaves the step", seed, to)
			}
			w.adopt(false)
			want, gaps := o.steps[w.sim.step].sought(to)
			due := simPlace{steps: o.steps, step: w.sim.step, in: want, gaps: slices.Clone(gaps)}
			due.advance(0) // a wait into which it goes deep may be over at once
			if (w.sim.in-want).Abs() > time.Millisecond || !slices.Equal(w.sim.gaps, gaps) && !slices.Equal(w.sim.gaps, due.gaps) {
				tell("seed %d: seek %v comes to %v, waited %v; want %v, %v\n%s", seed, to, w.sim.in, w.sim.gaps, want, gaps, o)
			}
		case k < 16 && !waits:
			w.note("hold at %v of step %d", st.In, w.sim.step)
			w.zone.Do(w.now, course.Hold, 0)
			w.tick()
			for range 30 {
				w.now = w.now.Add(100 * time.Millisecond)
				w.tick()
			}
			w.agrees()
			w.zone.Do(w.now, course.Go, 0)
			w.tick()
		}
	}
	total["lights"] += w.lights
	total["wrong lights"] += w.wrongLight
	total["places"] += w.places
	total["wrong places"] += w.wrongPlace
	for _, first := range []string{w.firstLight, w.firstPlace} {
		if first != "" {
			tell("seed %d: %s", seed, first)
		}
	}
	if err := w.zone.Close(); err != nil {
		tell("%v", err)
	}
}

// sought is where a place on the line lies whose waits last their longest, when those that
// are over lasted as long as usual: a place within a wait is one at which it has begun.
func (s *simStep) sought(to time.Duration) (in time.Duration, gaps []time.Duration) {
	longest := s.longest()
	in = to
	for i := range s.waits {
		if to < s.begins(i, longest)+longest[i] {
			break
		}
		usual := s.waits[i].whole(s.waits[i].usually)
		in += usual - longest[i]
		gaps = append(gaps, usual)
	}
	return in, gaps
}

// atCue tells whether a cue comes, or a wait begins, at an instant of a step.
func atCue(s *simStep, gaps []time.Duration, in time.Duration) bool {
	if n := len(gaps); n < len(s.waits) && (s.begins(n, gaps)-s.waits[n].span-in).Abs() < time.Millisecond {
		return true
	}
	for _, c := range s.line(gaps, in+time.Second) {
		if (c.at - in).Abs() < time.Millisecond {
			return true
		}
	}
	return false
}
