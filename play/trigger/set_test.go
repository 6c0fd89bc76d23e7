package trigger

import (
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/line"
)

// listOf makes triggers of lines.
func listOf(t testing.TB, lines map[string]string) (l List) {
	t.Helper()
	for name, text := range lines {
		from, err := line.ParseTrigger(text)
		if err != nil {
			t.Fatal(err)
		}
		l.Triggers = append(l.Triggers, Trigger{Name: name, From: from})
	}
	return l
}

// Presses fire in the order in which they come, and are deaf for as long as the rules
// say; a key is found by its name.
func TestPresses(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := listOf(t, map[string]string{"start": "page"})
		l.Triggers = append(l.Triggers, listOf(t, map[string]string{"next": "key f5"}).Triggers...)
		l.Triggers[0].Rearm = 2 * time.Second
		s, err := Open(t.Context(), l, Options{})
		if err != nil {
			t.Fatal(err)
		}
		begin := time.Now()
		if !s.Press("start") || !s.Type("f5") || s.Press("strat") || s.Type("f6") {
			t.Error("what is there is not, or the other way about")
		}
		synctest.Wait()
		time.Sleep(2*time.Second - 1)
		s.Press("start")
		synctest.Wait()
		time.Sleep(time.Nanosecond)
		s.Press("start")
		synctest.Wait()
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		var got []string
		for f := range s.Fired() {
			got = append(got, f.Name+" "+f.Time.Sub(begin).String())
		}
		if strings.Join(got, ", ") != "start 0s, next 0s, start 2s" {
			t.Errorf("fired %v", got)
		}
		if st := s.Status(); st[0].Fired != 2 || st[0].Deaf != 1 || st[1].Fired != 1 {
			t.Errorf("status %+v", st)
		}
	})
}

// Counts and deaf times go on from a log, even from one that speaks of the future.
func TestResumes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := listOf(t, map[string]string{"in": "page"})
		l.Triggers = append(l.Triggers, listOf(t, map[string]string{"out": "page"}).Triggers...)
		l.Triggers[0].Rearm, l.Triggers[1].Rearm = time.Minute, time.Minute
		l.Pairs = []Pair{{"cave", "in", "out"}}
		now := time.Now()
		ago := func(d time.Duration) time.Time { return now.Add(-d).Round(0) } // as a file has it
		log := []Fired{{Name: "out", Time: now.Add(24 * 365 * time.Hour)}, {Name: "in", Time: ago(30 * time.Second)}, {Name: "in", Time: ago(time.Hour)},
			{Name: "in", Time: ago(2 * time.Hour)}, {Name: "other", Time: now}}
		s, err := Open(t.Context(), l, Options{Log: log})
		if err != nil {
			t.Fatal(err)
		}
		if in := s.Inside(); in[0] != (Inside{"cave", Tally{Inside: 2, Entered: 3, Left: 1}}) {
			t.Errorf("inside %+v", in)
		}
		press := func() {
			s.Press("in")
			s.Press("out")
			synctest.Wait()
		}
		press() // both are deaf
		time.Sleep(30 * time.Second)
		press() // out still is
		time.Sleep(30 * time.Second)
		for range 5 {
			press()
			time.Sleep(time.Minute)
		}
		if in := s.Inside(); in[0] != (Inside{"cave", Tally{Inside: 2, Entered: 8, Left: 6}}) {
			t.Errorf("inside %+v, %+v", in, s.Status())
		}
		if !s.Empty("cave") || s.Empty("hall") || s.Inside()[0].Inside != 0 {
			t.Error("a place that was seen empty is not")
		}
		s.Press("out")
		synctest.Wait()
		if in := s.Inside(); in[0] != (Inside{"cave", Tally{Entered: 8, Left: 7, Doubtful: 1}}) {
			t.Errorf("somebody left an empty place: %+v", in)
		}
		s.Close()
	})
}

// Firings that nobody receives wait, and are counted when they are too many; those of
// another trigger still wait in their order. A set without triggers ends too.
func TestNobodyReceives(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := listOf(t, map[string]string{"start": "page"})
		l.Triggers = append(l.Triggers, listOf(t, map[string]string{"next": "page"}).Triggers...)
		s, err := Open(t.Context(), l, Options{})
		if err != nil {
			t.Fatal(err)
		}
		const all = firedSize + waitingOne
		for range all + 10 {
			s.Press("start")
			time.Sleep(time.Millisecond)
			synctest.Wait()
		}
		if s.Dropped() != 10 || s.Status()[0].Fired != all+10 {
			t.Errorf("%d dropped, %+v", s.Dropped(), s.Status())
		}
		s.Press("next") // is not among what the other has lost
		synctest.Wait()
		for i := range all + 1 {
			if f := <-s.Fired(); (f.Name == "next") != (i == all) {
				t.Errorf("firing %d is %+v", i, f)
			}
		}
		s.Close()
		s, err = Open(t.Context(), List{}, Options{})
		if err != nil || s.Close() != nil || s.Close() != nil {
			t.Error(err)
		}
	})
}

func TestListsThatContradictThemselves(t *testing.T) {
	for want, l := range map[string]List{
		`called "a"`: {Triggers: []Trigger{{Name: "a"}, {Name: "a"}}},
		`called ""`:  {Triggers: []Trigger{{}}},
		"below 0":    {Triggers: []Trigger{{Name: "a", Rules: Rules{Dwell: -1}}}},
		"place p":    {Triggers: []Trigger{{Name: "a"}}, Pairs: []Pair{{"p", "a", "b"}}},
		"place q":    {Triggers: []Trigger{{Name: "a"}}, Pairs: []Pair{{"q", "a", "a"}}},
	} {
		if _, err := Open(t.Context(), l, Options{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
}
