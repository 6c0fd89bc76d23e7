package show_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/evening"
	"lampblack/play/course"
	"lampblack/show"
	"lampblack/si"
)

// settle ticks until all has happened that happens at an instant: a tick is for one thing.
func settle(t *testing.T, z *course.Zone, now time.Time) {
	t.Helper()
	for n := 0; n < 1000; n++ {
		if _, err := z.Tick(now); err != nil {
			t.Fatal(err)
		}
		if next, ok := z.Next(now); !ok || next.After(now) {
			return
		}
	}
	t.Fatalf("at %v there is no end to what happens", now)
}

// Whether time leaps from what happens to what happens next or is gone through by the
// millisecond, the same comes of it at the same instants: simulated days stand on that.
func TestNextIsEveryMillisecond(t *testing.T) {
	seeds := simSeeds() / 2
	events, differ := 0, 0
	for seed := range seeds {
		rng := rand.New(rand.NewPCG(seed, 5))
		o := randomOrder(rng)
		for !o.steps[0].stands {
			o = randomOrder(rng)
		}
		s, e := o.solve(t)
		settings := &show.Zone{}
		if seed%2 == 0 {
			settings = &show.Zone{Repeats: true, Rearm: si.Stretch(tenths(rng, 60))}
			if rng.IntN(2) == 0 {
				settings.Stay = si.Stretch(5*time.Second + tenths(rng, 300))
			}
		}
		// A hand and two contacts, at whole milliseconds.
		type move struct {
			at   time.Duration
			does func(z *course.Zone, now time.Time)
		}
		const length = 90 * time.Second
		var moves []move
		do := func(a course.Action) func(*course.Zone, time.Time) {
			return func(z *course.Zone, now time.Time) { z.Do(now, a, 0) }
		}
		trigger := func(name string) func(*course.Zone, time.Time) {
			return func(z *course.Zone, now time.Time) { z.Trigger(now, name) }
		}
		for at := time.Duration(0); at < length; at += time.Duration(1+rng.IntN(9000)) * time.Millisecond {
			moves = append(moves, move{at, []func(*course.Zone, time.Time){
				do(course.Go), do(course.Go), trigger("door"), trigger("door"), trigger("hatch"), do(course.SkipNow), do(course.Back), do(course.Hold), do(course.LightsUp), do(course.LightsDown), do(course.Rest),
			}[rng.IntN(11)]})
		}
		run := func(leap bool) (log []evening.Event) {
			place := s.Alone(e)
			place.Zones[0].Zone = settings
			z := course.New(&place.Zones[0], course.Options{Journal: func(e evening.Event) { log = append(log, e) }})
			start := time.Date(2026, 3, 14, 19, 0, 0, 0, time.UTC)
			now := start
			if err := z.Begin(now, evening.State{}); err != nil {
				t.Fatal(err)
			}
			settle(t, z, now)
			for _, m := range append(moves, move{length, func(*course.Zone, time.Time) {}}) {
				for end, n := start.Add(m.at), 0; now.Before(end) && !z.Over(); n++ {
					if n > 200000 {
						t.Fatalf("seed %d: Next does not get on at %v\n%s", seed, now.Sub(start), o)
					}
					next := now.Add(time.Millisecond)
					if leap {
						next = end
						if own, ok := z.Next(now); ok && own.Before(end) {
							next = own
						}
					}
					now = next
					settle(t, z, now)
				}
				if z.Over() {
					break
				}
				m.does(z, now)
				settle(t, z, now)
			}
			if err := z.Close(); err != nil {
				t.Fatal(err)
			}
			return log
		}
		leapt, gone := run(true), run(false)
		say := func(e evening.Event) string {
			return fmt.Sprintf("%s %s %q step %d at %v from %v", e.Time.Format("05.000"), e.Kind, e.Text, e.Step, e.At.Round(time.Millisecond), e.From.Round(time.Millisecond))
		}
		var a, b []string
		for _, e := range leapt {
			a = append(a, say(e))
		}
		for _, e := range gone {
			b = append(b, say(e))
		}
		events += len(b)
		if !slices.Equal(a, b) {
			k := 0
			for k < len(a) && k < len(b) && a[k] == b[k] {
				k++
			}
			if differ++; differ < 4 {
				t.Errorf("seed %d, %+v: leaping\n%s\nand by the millisecond\n%s\n%s", seed, settings, strings.Join(a[max(k-3, 0):min(k+4, len(a))], "\n"), strings.Join(b[max(k-3, 0):min(k+4, len(b))], "\n"), o)
			}
		}
	}
	t.Logf("%d events; %d of %d orders differ", events, differ, seeds)
}
