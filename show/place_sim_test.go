package show_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/evening"
	"lampblack/play/course"
	"lampblack/show"
)

// placeOf makes the place of a folder on the bare rig.
func placeOf(t testing.TB, o *simOrder) *show.Place {
	t.Helper()
	f, s := o.onBareRig(t)
	p, faults := s.Place(f.Zones, o.tracks)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return p
}

// in puts the files of an order into a folder of their own.
func (o *simOrder) in(dir string) map[string]string {
	files := map[string]string{}
	for name, text := range o.files {
		if name != "score.yaml" {
			name = dir + "/" + name
			text = strings.NewReplacer("cues: p", "cues: "+dir+"/p", "soundtrack: p", "soundtrack: "+dir+"/p").Replace(text)
		}
		files[name] = text
	}
	return files
}

// Random zones, each of random units, some of them shared: the light of the place is that
// of its zones, each played by the simulator, shared units by the most that any asks, and
// units of no zone are dark.
func TestPlaceBesideASimulator(t *testing.T) {
	cases, bad, badNil := 0, 0, 0
	for seed := range simSeeds() {
		rng := rand.New(rand.NewPCG(seed, 77))
		zones := []*simOrder{randomOrder(rng), randomOrder(rng)}
		all := &simOrder{files: map[string]string{}, tracks: zones[0].tracks}
		clear(all.tracks)
		var units [2][]string
		var lights [2][simDrives]bool
		var shared []string
		for u, name := range []string{"a", "b", "c"} {
			owner := rng.IntN(5) // 0 and 1 by one zone, 2 and 3 by both, 4 by none
			if u == 0 {
				owner = 2
			}
			for z := range zones {
				if owner == z || owner == 2 || owner == 3 {
					units[z] = append(units[z], name)
					for d := 4 * u; d < 4*u+4; d++ {
						lights[z][d] = true
					}
				}
			}
			if owner == 2 || owner == 3 {
				shared = append(shared, name)
			}
		}
		text := "zones:\n"
		for z, o := range zones {
			dir := fmt.Sprintf("z%d", z)
			maps.Copy(all.files, o.in(dir))
			text += fmt.Sprintf("  %s: {units: [%s], order: %s/order.yaml}\n", dir, strings.Join(units[z], ", "), dir)
		}
		all.files["zones.yaml"] = text + "shared: [" + strings.Join(shared, ", ") + "]\n"
		p := placeOf(t, all)
		c := p.NewComposed()
		for range 20 {
			var states []evening.State
			want := make([]float64, simDrives)
			for z, o := range zones {
				i := rng.IntN(len(o.steps))
				s := &o.steps[i]
				gaps := randomGaps(rng, s, rng.IntN(len(s.waits)+1))
				for k := range gaps {
					gaps[k] = gaps[k].Truncate(time.Microsecond) // as a log has them
				}
				last := s.end(append(slices.Clone(gaps), make([]time.Duration, len(s.waits)-len(gaps))...)) + time.Second
				if n := len(gaps); n < len(s.waits) {
					last = s.begins(n, gaps) + 20*time.Second
				}
				in := time.Duration(rng.Int64N(int64(last)))
				states = append(states, evening.State{Step: i + 1, Pass: 1, In: in, Waited: evening.Wait(gaps)})
				// A zone sees its own units alone.
				entry := before(o.steps, i, simDrives)
				for d, v := range s.play(entry, gaps, in) {
					if lights[z][d] {
						want[d] = max(want[d], v)
					}
				}
			}
			p.At(c, states, nil)
			cases++
			if _, ok := same(c.Levels, want); !ok {
				badNil++
			}
			var shows []*show.Show
			for z := range zones {
				shows = append(shows, p.Zones[z].Evening.Steps[states[z].Step-1].Show)
				if st := states[z]; len(shows[z].Waits) > 0 {
					shows[z] = shows[z].Waited(st.Waited.Gaps(100), st.In)
				}
			}
			p.At(c, states, shows)
			if d, ok := same(c.Levels, want); !ok {
				if bad++; bad < 4 {
					t.Errorf("seed %d: drive %d is %v, want %v, in %+v\n%s\n%s\n%s", seed, d, c.Levels[d], want[d], states, all.files["zones.yaml"], zones[0], zones[1])
				}
			}
		}
	}
	t.Logf("%d states, %d disagree, %d without shows", cases, bad, badNil)
}

// cave is a zone that rests until a beam is crossed, goes through a piece with a wait,
// stands for a while, and rests again.
func cave(settings, rest string) *simOrder {
	_, text := simLooks()
	return &simOrder{files: map[string]string{
		"score.yaml": text + "cues: [{cue: 1, at: 0:01, look: look 0}]\n",
		"zones.yaml": "zones: {cave: {units: [a, b, c], " + settings + "}}\n",
		"order.yaml": "order:\n  - {standing: rest, look: look 1, up: 2 s, " + rest + "}\n  - {piece: glow, cues: glow.yaml}\n  - {standing: after, look: look 3, until: after 5 s}\n",
		"glow.yaml":  "cues:\n  - {cue: 1, at: 0:00, look: look 2, up: 1 s}\n  - {cue: 2, at: 0:10, look: look 4, up: 2 s}\nwaits: [{at: 0:08, until: trigger hatch, usually: 2 s, at most: 6 s}]\n",
	}}
}

// caveCourse begins in a cave.
func caveCourse(t *testing.T, settings, rest string, now time.Time) *course.Zone {
	t.Helper()
	p := placeOf(t, cave(settings, rest))
	z := course.New(&p.Zones[0], course.Options{})
	if err := z.Begin(now, evening.State{}); err != nil {
		t.Fatal(err)
	}
	return z
}

// leap lets time go on to an instant, from what happens to what happens next.
func leap(t *testing.T, z *course.Zone, now, to time.Time) {
	t.Helper()
	for n := 0; ; n++ {
		if n > 1000000 {
			t.Fatalf("Next does not get on at %v", now)
		}
		next, ok := z.Next(now)
		if !ok || next.After(to) {
			break
		}
		if next.Before(now) {
			t.Fatalf("at %v what happens next is at %v", now, next)
		}
		now = next
		if _, err := z.Tick(now); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := z.Tick(to); err != nil {
		t.Fatal(err)
	}
}

const beam = "until: trigger door, at most: 12 h"

func noon() time.Time { return time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC) }

// A zone that re-arms takes no trigger before it has rested for so long, at its beginning
// and after every way through; a person may begin at once.
func TestRearm(t *testing.T) {
	now := noon()
	z := caveCourse(t, "repeats: yes, re-arm: 20 s", beam, now)
	at := func(d time.Duration) time.Time {
		leap(t, z, now, noon().Add(d))
		now = noon().Add(d)
		return now
	}
	for _, c := range []struct {
		at   time.Duration
		want bool
	}{
		{0, false}, {10 * time.Second, false}, {19990 * time.Millisecond, false}, {20 * time.Second, true},
		{25 * time.Second, false},                                 // it is on its way
		{20*time.Second + 23*time.Second + 19*time.Second, false}, // 8 s, 6 s at most, 4 s, and 5 s: it rests for 19 s
		{20*time.Second + 23*time.Second + 20*time.Second, true},
	} {
		now := at(c.at)
		if w, waits := z.Waits(now); (waits && w.Until.Trigger == "door") != (z.Index() == 0) {
			t.Errorf("at %v it awaits the door: %v, in step %d", c.at, waits, z.Index())
		}
		if got := z.Trigger(now, "door"); got != c.want {
			t.Errorf("at %v the trigger is taken: %v, want %v", c.at, got, c.want)
		}
		leap(t, z, now, now)
		if want := 0; c.want && z.Index() == want {
			t.Errorf("at %v it rests still", c.at)
		}
	}
	z = caveCourse(t, "repeats: yes, re-arm: 20 s", beam, noon())
	z.Do(noon().Add(time.Second), course.Go, 0)
	if leap(t, z, noon().Add(time.Second), noon().Add(time.Second)); z.Index() != 1 {
		t.Errorf("a person cannot begin while it re-arms: step %d", z.Index())
	}
}

// No zone is away from its rest look longer than its longest stay, whatever it waits for.
func TestLongestStay(t *testing.T) {
	for _, stay := range []time.Duration{5 * time.Second, 9 * time.Second, 11500 * time.Millisecond, 20 * time.Second, 22900 * time.Millisecond} {
		now := noon()
		z := caveCourse(t, "repeats: yes, longest stay: "+secs(stay), beam, now)
		now = now.Add(time.Minute)
		leap(t, z, noon(), now)
		if !z.Trigger(now, "door") {
			t.Fatal("the trigger is not taken")
		}
		leap(t, z, now, now.Add(stay-10*time.Millisecond))
		if z.Index() == 0 {
			t.Errorf("stay %v: it rests already", stay)
		}
		leap(t, z, now.Add(stay-10*time.Millisecond), now.Add(stay+time.Millisecond))
		if z.Index() != 0 {
			t.Errorf("stay %v: it is in step %d", stay, z.Index())
		}
	}
}

// A trigger that does not come is waited for no longer than at most, but for ever in a
// rest look; one that comes in time is late by nothing.
func TestTriggersThatDoNotCome(t *testing.T) {
	z := caveCourse(t, "repeats: yes", beam, noon())
	if leap(t, z, noon(), noon().Add(49*time.Hour)); z.Index() != 0 || z.Log().State().Pass != 1 {
		t.Errorf("a rest look is over by itself: step %d", z.Index())
	}
	now := noon().Add(49 * time.Hour)
	z.Trigger(now, "door")
	for _, c := range []struct {
		after time.Duration
		in    time.Duration
		gaps  string
		step  int
	}{
		{7 * time.Second, 7 * time.Second, "", 1},
		{13 * time.Second, 13 * time.Second, "", 1},
		{14*time.Second + time.Millisecond, 14*time.Second + time.Millisecond, "6000000", 1},
		{18 * time.Second, 0, "", 2},
		{23 * time.Second, 0, "", 0},
	} {
		leap(t, z, now, now.Add(c.after))
		st := z.Status(now.Add(c.after)).State
		if z.Index() != c.step || (st.In-c.in).Abs() > time.Millisecond || string(st.Waited) != c.gaps {
			t.Errorf("%v after the door it is in step %d at %v, waited %q", c.after, z.Index(), st.In, st.Waited)
		}
	}
	// One that does not repeat does not wait for ever.
	z = caveCourse(t, "re-arm: 0 s", "until: trigger door, at most: 30 s", noon())
	if leap(t, z, noon(), noon().Add(30*time.Second+time.Millisecond)); z.Index() != 1 {
		t.Errorf("30 s after it began it is in step %d", z.Index())
	}
	if z.Trigger(noon().Add(31*time.Second), "door") {
		t.Error("a trigger is taken that nothing waits for")
	}
}

// A time of day that comes is waited for, one that has passed by less than two hours is
// over at once, one further back is that of tomorrow.
func TestUntilATimeOfDay(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	day := func(text string, zone *time.Location) time.Time {
		at, err := time.ParseInLocation("2006-01-02 15:04:05", text, zone)
		if err != nil {
			t.Fatal(err)
		}
		return at
	}
	for _, c := range []struct{ until, begins, ends string }{
		{"20:30", "2026-03-14 19:00:00", "2026-03-14 20:30:00"},
		{"20:30", "2026-03-14 20:29:59", "2026-03-14 20:30:00"},
		{"20:30", "2026-03-14 20:30:00", "2026-03-14 20:30:00"},
		{"20:30", "2026-03-14 20:31:00", "2026-03-14 20:31:00"},
		{"20:30", "2026-03-14 22:29:00", "2026-03-14 22:29:00"},
		{"20:30", "2026-03-14 22:31:00", "2026-03-15 20:30:00"},
		{"23:30", "2026-03-15 00:15:00", "2026-03-15 00:15:00"}, // 45 min late, past midnight
		{"0:15", "2026-03-14 23:00:00", "2026-03-15 00:15:00"},
		{"2:30", "2026-03-28 23:00:00", "2026-03-29 03:00:00"}, // there is no 2:30 (Directive 2000/84/EC): met when they jump
		{"2:30", "2026-10-24 23:00:00", "2026-10-25 02:30:00"}, // it comes twice: the first
	} {
		begins, ends := day(c.begins, berlin), day(c.ends, berlin)
		if _, summer := ends.Zone(); c.ends == "2026-10-25 02:30:00" && summer == 3600 {
			ends = ends.Add(-time.Hour) // which of the two is meant by such a text is not promised
		}
		z := caveCourse(t, "re-arm: 0 s", "until: \""+c.until+"\", at most: 24 h", begins)
		if ends.After(begins) {
			if leap(t, z, begins, ends.Add(-time.Second)); z.Index() != 0 {
				t.Errorf("until %s from %s: it is over before %s", c.until, c.begins, c.ends)
			}
			begins = ends.Add(-time.Second)
		}
		if leap(t, z, begins, ends.Add(time.Millisecond)); z.Index() != 1 {
			next, ok := z.Next(ends.Add(time.Millisecond))
			t.Errorf("until %s from %s: it is not over at %s; next %v, %v", c.until, c.begins, c.ends, next, ok)
		}
	}
}

// A skip or a step back while the zone is held shows the light of the new place, where time
// waits for go; with the lights up they go down first.
func TestSkipWhileHeld(t *testing.T) {
	for _, up := range []bool{false, true} {
		for _, do := range []course.Action{course.Skip, course.Back, course.Seek} {
			now := noon()
			z := caveCourse(t, "repeats: yes", beam, now)
			z.Do(now, course.Go, 0)
			leap(t, z, now, now.Add(5*time.Second))
			now = now.Add(5 * time.Second)
			if z.Do(now, course.Hold, 0); up {
				z.Do(now, course.LightsUp, 0)
			}
			z.Do(now, do, 3*time.Second)
			settle(t, z, now)
			at := z.Position(now)
			leap(t, z, now, now.Add(time.Minute))
			now = now.Add(time.Minute)
			if st := z.Status(now).State; z.Position(now) != at || at == 5*time.Second || !st.Held || st.LightsUp != up {
				t.Errorf("%s while held, lights up %v: from %v to %v, %+v", do, up, at, z.Position(now), st)
			}
			if up {
				z.Do(now, course.LightsDown, 0)
			}
			z.Do(now, course.Go, 0)
			if do == course.Skip { // it stands at a wait
				z.Do(now, course.Go, 0)
			}
			leap(t, z, now, now.Add(time.Second))
			if st := z.Status(now.Add(time.Second)).State; st.In != at+time.Second || st.Held || st.LightsUp {
				t.Errorf("%s while held, lights up %v, then go: at %v, %+v", do, up, at, st)
			}
		}
	}
}

// Nothing goes on by itself while a hand holds, also what waits for a time of day; within
// two seconds of its beginning a step is gone back from to the one before.
func TestHoldAndBack(t *testing.T) {
	now := noon()
	z := caveCourse(t, "re-arm: 0 s", "until: \"12:01\", at most: 1 h", now)
	z.Do(now, course.Hold, 0)
	leap(t, z, now, now.Add(3*time.Minute))
	for i := range 10 {
		if _, err := z.Tick(now.Add(3*time.Minute + time.Duration(i)*time.Second)); err != nil || z.Index() != 0 {
			t.Fatalf("what is held goes on: step %d, %v", z.Index(), err)
		}
	}
	for back, want := range map[time.Duration]int{1900 * time.Millisecond: 0, 2100 * time.Millisecond: 1} {
		z := caveCourse(t, "repeats: yes", beam, now)
		z.Do(now, course.Go, 0)
		settle(t, z, now)
		leap(t, z, now, now.Add(back))
		z.Do(now.Add(back), course.Back, 0)
		settle(t, z, now.Add(back))
		if z.Index() != want || z.Position(now.Add(back)) != 0 {
			t.Errorf("back after %v: step %d at %v", back, z.Index(), z.Position(now.Add(back)))
		}
	}
}

// A zone that repeats goes through its order as often as it is triggered, for days, and
// what its state holds does not grow.
func TestRepeatsForDays(t *testing.T) {
	now := noon()
	z := caveCourse(t, "repeats: yes, re-arm: 20 s, longest stay: 21 s", beam, now)
	rng := rand.New(rand.NewPCG(1, 1))
	taken, lastTaken := 0, time.Time{}
	for now.Before(noon().Add(30 * time.Hour)) {
		next := now.Add(time.Duration(rng.Int64N(int64(2 * time.Minute))))
		leap(t, z, now, next)
		now = next
		free := lastTaken.IsZero() && now.Sub(noon()) >= 20*time.Second || !lastTaken.IsZero() && now.Sub(lastTaken) >= 41*time.Second
		if got := z.Trigger(now, "door"); got != free {
			t.Fatalf("%v after the last one a trigger is taken: %v", now.Sub(lastTaken), got)
		} else if got {
			taken, lastTaken = taken+1, now
		}
		if st := z.Log().State(); len(st.Waited) > 8 {
			t.Fatalf("it remembers %q", st.Waited)
		}
	}
	leap(t, z, now, now.Add(time.Minute))
	if r := z.Log().Report(); r.Triggers != taken || taken < 600 {
		t.Errorf("%d triggers were taken, by the log %d", taken, r.Triggers)
	}
}

// A zone that is taken up from its log at any instant is where it would have been, its
// waits with it, and its light is that of its step by the order.
func TestZoneGoesOnFromItsLog(t *testing.T) {
	cases, bad, badLight := 0, 0, 0
	for seed := range simSeeds() {
		rng := rand.New(rand.NewPCG(seed, 31))
		o := randomOrder(rng)
		s, e := o.solve(t)
		place := s.Alone(e)
		var text bytes.Buffer
		start := noon()
		z := course.New(&place.Zones[0], course.Options{Journal: func(e evening.Event) { _ = json.NewEncoder(&text).Encode(e) }})
		if err := z.Begin(start, evening.State{}); err != nil {
			t.Fatal(err)
		}
		f, g := e.Steps[0].Show.NewFrame(), e.Steps[0].Show.NewFrame()
		now := start
		step := func(z *course.Zone, f *show.Frame, from, to time.Time) {
			for now := from; now.Before(to); {
				next := now.Add(time.Second / 44)
				if own, ok := z.Next(now); ok && own.After(now) && own.Before(next) {
					next = own
				}
				if to.Before(next) {
					next = to
				}
				now = next
				if _, err := z.Tick(now); err != nil {
					t.Fatal(err)
				}
				if !z.Over() {
					z.Light(f, now)
				}
			}
		}
		for range 6 {
			next := now.Add(time.Duration(rng.Int64N(int64(15 * time.Second))))
			if step(z, f, now, next); z.Over() {
				break
			}
			now = next
			var state evening.State
			if err := evening.Read(bytes.NewReader(text.Bytes()), place.Zones[0].Name, func(e evening.Event) { state = state.After(e) }); err != nil {
				t.Fatal(err)
			}
			down := time.Duration(rng.Int64N(int64(3 * time.Second)))
			state = state.On(now)
			again := course.New(&place.Zones[0], course.Options{})
			later := now.Add(down)
			if err := again.Begin(later, state); err != nil {
				t.Fatal(err)
			}
			if _, err := again.Tick(later); err != nil {
				t.Fatal(err)
			}
			step(z, f, now, later)
			if st := z.Status(later).State; z.Over() || st.Step != state.Step || st.Waited != state.Waited {
				now = later // what would have gone on by itself meanwhile goes on when it is taken up
				if z.Over() {
					break
				}
				continue
			}
			for range 3 {
				if z.Over() || again.Over() {
					if z.Over() != again.Over() {
						t.Errorf("seed %d: over %v and %v", seed, z.Over(), again.Over())
					}
					break
				}
				a, b := z.Status(later).State, again.Status(later).State
				cases++
				if a.Step != b.Step || (a.In-b.In).Abs() > 30*time.Millisecond || a.Waited != b.Waited && !nearWaited(a.Waited, b.Waited) {
					if bad++; bad < 4 {
						t.Errorf("seed %d: it was in step %d at %v, waited %q; taken up from its log %v later it is in step %d at %v, waited %q\n%s\n%s", seed, a.Step-1, a.In, a.Waited, down, b.Step-1, b.In, b.Waited, text.String(), o)
					}
					break
				}
				if b.Step != state.Step { // it has gone over by itself, from what is seen
					break
				}
				again.Light(g, later)
				i := b.Step - 1
				want := o.steps[i].play(before(o.steps, i, simDrives), b.Waited.Gaps(100), b.In)
				if b.Enters != "" { // with another light than the order's: that of the zone that went on
					z.Light(f, later)
					for d, v := range f.Levels {
						want[d] = float64(v)
					}
				}
				if d, ok := same(g.Levels, want); !ok && (b.Enters == "" || a.In == b.In) {
					if badLight++; badLight < 4 {
						t.Errorf("seed %d: drive %d is %v, want %v in step %d at %v, waited %q\n%s", seed, d, g.Levels[d], want[d], i, b.In, b.Waited, o)
					}
				}
				to := later.Add(time.Duration(rng.Int64N(int64(6 * time.Second))))
				step(z, f, later, to)
				step(again, g, later, to)
				later, now = to, to
			}
			now = later
			if !z.Over() && rng.IntN(2) == 0 {
				z.Do(now, course.Go, 0)
				if _, err := z.Tick(now); err != nil {
					t.Fatal(err)
				}
			}
			if z.Over() {
				break
			}
		}
	}
	t.Logf("%d instants, %d places and %d lights disagree", cases, bad, badLight)
}

// nearWaited tells whether waits have lasted as long, to a frame.
func nearWaited(a, b evening.Waited) bool {
	x, y := a.Gaps(100), b.Gaps(100)
	return slices.EqualFunc(x, y, func(a, b time.Duration) bool { return (a - b).Abs() < 30*time.Millisecond })
}
