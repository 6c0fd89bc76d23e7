package trigger

import (
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// sample judges the same edges as Rules do, one step of a millisecond after the other,
// and shares no code with them. It keeps every level that it has seen and looks back.
type sample struct {
	rules Rules
	raw   []Level // at each millisecond
	level []Level
	last  int // millisecond of the last firing
	Counts
	fires []int
}

func (s *sample) step(edges []Change) {
	now := len(s.raw)
	raw, level := Unknown, Unknown
	if now > 0 {
		raw, level = s.raw[now-1], s.level[now-1]
	}
	ms := func(d time.Duration) int { return int(d / time.Millisecond) }
	lasted := func(of []Level, want Level) int { // how long it has been so, this instant not counted
		n := 0
		for i := len(of) - 1; i >= 0 && of[i] == want; i-- {
			n++
		}
		return n
	}
	// found tells whether the closing that lasts was there when it was first heard of.
	found := func() bool {
		i := len(s.level) - 1
		for ; i >= 0 && s.level[i] == Closed; i-- {
		}
		return i < 0 || s.level[i] == Unknown
	}
	count := func() {
		if len(s.fires) > 0 && now-s.last < ms(s.rules.Rearm) {
			s.Deaf++
			return
		}
		s.Fired++
		s.last = now
		s.fires = append(s.fires, now)
	}
	settle := func(since int) { // raw has been so for so long
		if raw == level || raw == Unknown || since < ms(s.rules.Debounce) {
			return
		}
		if level == Closed && raw == Opened && !found() && lasted(s.level, Closed) < ms(s.rules.Dwell) {
			s.Short++
		}
		if raw == Closed && level == Unknown {
			s.Doubtful++
		}
		if raw == Closed && level == Opened && s.rules.Dwell == 0 {
			count()
		}
		level = raw
	}
	if level == Closed && !found() && s.rules.Dwell > 0 && lasted(s.level, Closed) == ms(s.rules.Dwell) {
		count()
	}
	settle(lasted(s.raw, raw))
	for _, e := range edges {
		switch e {
		case Presses:
			if s.rules.Dwell > 0 {
				s.Short++
			} else {
				count()
			}
		case Loses, Rests:
			waits := level == Closed && !found() && lasted(s.level, Closed) < ms(s.rules.Dwell)
			if waits || raw == Closed && level == Opened {
				s.Doubtful++
			}
			raw, level = Unknown, Unknown
			if e == Rests {
				raw, level = Opened, Opened
			}
		case Closes, Opens:
			to := map[Change]Level{Closes: Closed, Opens: Opened}[e]
			if to != raw {
				raw = to
				settle(0)
			}
		}
	}
	s.raw, s.level = append(s.raw, raw), append(s.level, level)
}

// Whatever comes, a plain simulator that looks at every millisecond finds the same
// firings at the same instants, and counts the same. The rules are asked at the edges
// and at random instants between, which must change nothing.
func TestRulesAgainstSampling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		span := rapid.SampledFrom([]int{0, 1, 2, 5, 9, 20})
		r := Rules{Debounce: time.Duration(span.Draw(t, "debounce")) * time.Millisecond, Dwell: time.Duration(span.Draw(t, "dwell")) * time.Millisecond, Rearm: time.Duration(span.Draw(t, "re-arm")) * time.Millisecond}
		begin := time.Unix(1000, 0)
		plain, s := &sample{rules: r}, State{}
		var fired []int
		note := func(out []Outcome) {
			for _, o := range out {
				if o.Verdict == Fires {
					fired = append(fired, int(o.Time.Sub(begin)/time.Millisecond))
				}
				if o.Since.After(o.Time) {
					t.Fatalf("it began at %v and counted at %v", o.Since, o.Time)
				}
			}
		}
		for ms := range rapid.IntRange(1, 200).Draw(t, "length") {
			now := begin.Add(time.Duration(ms) * time.Millisecond)
			var edges []Change
			// One in a step: two changes in one instant have no level between them.
			if rapid.IntRange(0, 3).Draw(t, "edge") == 0 {
				edges = append(edges, rapid.SampledFrom([]Change{Opens, Closes, Opens, Closes, Opens, Closes, Presses, Loses, Rests}).Draw(t, "change"))
			}
			plain.step(edges)
			var out []Outcome
			for _, e := range edges {
				s, out = r.After(s, Edge{now, e})
				note(out)
			}
			if rapid.IntRange(0, 4).Draw(t, "looks") == 0 {
				s, out = r.At(s, now)
				note(out)
				if again, more := r.At(s, now); again != s || len(more) > 0 {
					t.Fatalf("asked again at %v it is %+v, %v", now, again, more)
				}
			}
		}
		s, out := r.At(s, begin.Add(time.Duration(len(plain.raw)-1)*time.Millisecond))
		note(out)
		if s.Counts != plain.Counts || fmt.Sprint(fired) != fmt.Sprint(plain.fires) {
			t.Fatalf("%+v: fired at %v, counts %+v; sampled %v, %+v", r, fired, s.Counts, plain.fires, plain.Counts)
		}
		if got := plain.level[len(plain.level)-1]; got != s.Level {
			t.Fatalf("it stands %v, sampled %v", s.Level, got)
		}
	})
}

// What is told late counts from when it was: a machine that was busy asked in between.
func TestLateEdges(t *testing.T) {
	begin := time.Unix(1000, 0)
	at := func(ms int) time.Time { return begin.Add(time.Duration(ms) * time.Millisecond) }
	r := Rules{Dwell: 30 * time.Millisecond}
	s, _ := r.After(State{}, Edge{at(0), Opens})
	s, _ = r.At(s, at(100))
	s, _ = r.After(s, Edge{at(10), Closes})
	s, out := r.After(s, Edge{at(50), Opens})
	if len(out) != 1 || out[0] != (Outcome{Fires, at(40), at(10)}) {
		t.Errorf("it comes to %+v", out)
	}
	// But nothing happens before what has happened.
	s, out = r.After(s, Edge{at(20), Closes})
	if len(out) != 0 || s.now != at(50) || s.since != at(50) {
		t.Errorf("it comes to %+v at %v", out, s.now)
	}
}
