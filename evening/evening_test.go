package evening

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"
)

var kinds = []Kind{Began, Resumed, Go, Skip, Back, Hold, StopAll, Froze, Unfroze, LightsUp, LightsDown, AlarmSet, AlarmReset, AlarmTried, ClockLost, ClockFound, Clock, Cue, Ended, "weather"}

func reduce(s State, events ...Event) State {
	for _, e := range events {
		s = s.After(e)
	}
	return s
}

// random writes n random events to a log and returns them.
func random(rng *rand.Rand, n int) (*Log, []Event) {
	var events []Event
	l := NewLog("hall", State{}, func(e Event) { events = append(events, e) })
	now := time.Unix(1000, 0).UTC()
	for range n {
		now = now.Add(time.Duration(rng.Int64N(int64(90 * time.Second))))
		at := time.Duration(rng.Int64N(int64(10 * time.Minute)))
		from := at
		if rng.IntN(2) == 0 {
			from = time.Duration(rng.Int64N(int64(10 * time.Minute)))
		}
		l.Append(Event{Time: now, Kind: kinds[rng.IntN(len(kinds))], At: at, From: from, Speed: float64(rng.IntN(3)) / 2, Text: []string{"", "5", "no \"timecode\"\n"}[rng.IntN(3)],
			Stands: Stand([]float32{rng.Float32(), 1, 0}[:rng.IntN(4)]), Enters: Stand([]float32{rng.Float32(), 1, 0}[:rng.IntN(4)])})
	}
	return l, events
}

// What the log says is what its events come to, in one part or in two.
func TestReduceInParts(t *testing.T) {
	for seed := range uint64(50) {
		rng := rand.New(rand.NewPCG(seed, 1))
		l, events := random(rng, rng.IntN(40))
		whole := reduce(State{}, events...)
		if whole != l.State() {
			t.Errorf("seed %d: the log says %+v, its events %+v", seed, l.State(), whole)
		}
		for cut := range events {
			first := reduce(State{}, events[:cut]...)
			if parts := reduce(first, events[cut:]...); parts != whole {
				t.Errorf("seed %d: cut at %d: %+v, whole %+v", seed, cut, parts, whole)
			}
			// That time goes by in between makes no difference.
			if !slices.ContainsFunc(events[cut:], func(e Event) bool { return !e.Beside() }) {
				continue // nothing that follows says where the show is
			}
			between := first.On(first.Instant.Add(events[cut].Time.Sub(first.Instant) / 3))
			if parts := reduce(between, events[cut:]...); parts != whole {
				t.Errorf("seed %d: cut at %d and let go by: %+v, whole %+v", seed, cut, parts, whole)
			}
		}
	}
}

// A log that is cut off anywhere, even within a line, has the events of its
// whole lines.
func TestReadOfACutLog(t *testing.T) {
	for seed := range uint64(10) {
		_, events := random(rand.New(rand.NewPCG(seed, 2)), 6)
		var text bytes.Buffer
		whole := map[int]int{0: 0} // bytes and the events that they hold
		for i, e := range events {
			if err := json.NewEncoder(&text).Encode(e); err != nil {
				t.Fatal(err)
			}
			whole[text.Len()] = i + 1
			whole[text.Len()-1] = i + 1
		}
		n := 0
		for cut := range text.Len() + 1 {
			if i, ok := whole[cut]; ok {
				n = i
			}
			var got []Event
			err := Read(bytes.NewReader(text.Bytes()[:cut]), "hall", func(e Event) { got = append(got, e) })
			if _, clean := whole[cut]; clean != (err == nil) {
				t.Errorf("seed %d: cut at %d: error %v", seed, cut, err)
			}
			if len(got) != n || n > 0 && !reflect.DeepEqual(got, events[:n]) {
				t.Fatalf("seed %d: cut at %d: %+v, want %+v", seed, cut, got, events[:n])
			}
		}
	}
}

// Other zones, damaged and endless lines are told from the rest.
func TestReadLeavesOut(t *testing.T) {
	text := `{"id":"a","zone":"hall","time":"2026-11-28T19:30:00Z","what":"run","at":1.5}
{"id":"a","zone":"foyer","time":"2026-11-28T19:30:00Z","what":"run","at":2}
{"id":"b","zone":"hall","tim
` + strings.Repeat("x", 3*maxLine) + `

{"id":"c","zone":"hall","time":"2026-11-28T19:30:01Z","what":"hold","at":1e300,"from":-1e300,"speed":1}
`
	var got []string
	err := Read(strings.NewReader(text), "hall", func(e Event) { got = append(got, fmt.Sprintf("%s %s %v %v", e.ID, e.Kind, e.At, e.From)) })
	if want := []string{"a run 1.5s 1.5s", "c hold 168h0m0s -168h0m0s"}; !reflect.DeepEqual(got, want) {
		t.Errorf("read %q, want %q", got, want)
	}
	if err == nil || !strings.Contains(err.Error(), "2, the first is line 3") {
		t.Errorf("the damaged lines are told as %v", err)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"id":"a","zone":"","time":"2026-11-28T19:30:00Z","what":"run","at":1.5,"speed":1}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		var s State
		_ = Read(bytes.NewReader(b), "", func(e Event) { s = s.After(e) })
		s.On(s.Instant.Add(time.Hour))
	})
}

// At an evening: a hold of a minute, lights up, a clock that was lost twice.
func ExampleLog() {
	var state State
	l := NewLog("hall", State{}, func(e Event) { state = state.After(e) })
	begin := time.Date(2026, 11, 28, 19, 30, 0, 0, time.UTC)
	at := func(s int, kind Kind, place, speed float64, text string) {
		p := time.Duration(place * 1e9)
		l.Append(Event{Time: begin.Add(time.Duration(s) * time.Second), Kind: kind, At: p, From: p, Speed: speed, Text: text})
	}
	at(0, Began, 0, 1, "")
	at(20, Cue, 20, 1, "5")
	at(30, Hold, 30, 0, "")
	at(90, Go, 30, 1, "")
	at(100, ClockLost, 40, 0, "no timecode")
	at(104, ClockFound, 44, 1, "")
	at(110, ClockLost, 50, 0, "no timecode")
	at(130, ClockFound, 70, 1, "")
	at(140, LightsUp, 80, 0, "")
	at(170, LightsDown, 80, 0, "")
	at(171, Go, 80, 1, "")
	now := l.State().On(begin.Add(180 * time.Second))
	fmt.Println("cue", now.Cue, "in", now.In, "living", now.Living, "held", now.Held, "pass", now.Pass, state == l.State())
	for _, line := range l.Report().Lines() {
		fmt.Println(line)
	}
	// Output:
	// cue 5 in 1m29s living 3m0s held false pass 1 true
	// held once, 61 s in all
	// lights up once, 30 s in all
	// clock lost twice, 24 s in all, 20 s the longest; last: no timecode
}

// Every kind of event, from a show that runs, one that is held, one with the
// lights up and one whose clock is lost, four seconds on: what a person at the
// desk would say of it.
func TestWhatHappened(t *testing.T) {
	begin := time.Unix(1000, 0).UTC()
	runs := State{Instant: begin, Step: 1, Pass: 2, In: 10 * time.Second, Living: 20 * time.Second, Speed: 1, Cue: "5"}
	later := runs
	later.Instant, later.In, later.Living, later.Speed = begin.Add(4*time.Second), 30*time.Second, 24*time.Second, .5
	with := func(change func(*State)) State { s := later; change(&s); return s }
	held, up, lost := runs, runs, runs
	held.Held, up.Held, up.LightsUp, up.Up, lost.Lost = true, true, true, time.Second, true
	some := Stand([]float32{.25, 1})
	frozen := runs
	frozen.Frozen, frozen.Stands = true, some
	thaws, thawed := runs, runs
	thaws.Stands, thaws.Instant = some, later.Instant.Add(-1300*time.Millisecond)
	thaws.Living += 2700 * time.Millisecond
	thawed.Stands = some
	for name, c := range map[string]struct {
		from State
		kind Kind
		want State
	}{
		"skip":                   {runs, Skip, later},
		"back":                   {runs, Back, later},
		"the clock moves":        {runs, Clock, later},
		"what it does not know":  {runs, "weather", later},
		"hold":                   {runs, Hold, with(func(s *State) { s.Held = true })},
		"go from a hold":         {held, Go, later},
		"skip in a hold":         {held, Skip, with(func(s *State) { s.Held = true })},
		"lights up":              {runs, LightsUp, with(func(s *State) { s.Held, s.LightsUp = true, true })},
		"lights up in a hold":    {held, LightsUp, with(func(s *State) { s.Held, s.LightsUp = true, true })},
		"still up":               {up, Clock, with(func(s *State) { s.Held, s.LightsUp, s.Up = true, true, 5*time.Second })},
		"lights down, held":      {up, LightsDown, with(func(s *State) { s.Held = true })},
		"stop all":               {runs, StopAll, with(func(s *State) { s.Held = true })},
		"freeze light":           {runs, Froze, with(func(s *State) { s.Frozen, s.Stands = true, some })},
		"freeze what stands":     {frozen, Froze, with(func(s *State) { s.Frozen, s.Stands = true, some })},
		"light on again":         {frozen, Unfroze, with(func(s *State) { s.Stands = some })},
		"on again 1 s ago":       {thaws, Clock, with(func(s *State) { s.Stands, s.Thawed = some, time.Second+300*time.Millisecond })},
		"on again long ago":      {thawed, Clock, later},
		"over a frozen light":    {frozen, Ended, with(func(s *State) { s.Step = 0 })},
		"the next under it":      {frozen, Began, State{Instant: later.Instant, Step: 1, Pass: 3, In: later.In, Speed: .5, Frozen: true, Stands: some}},
		"clock lost":             {runs, ClockLost, with(func(s *State) { s.Lost = true })},
		"clock found":            {lost, ClockFound, later},
		"resumed on another":     {lost, Resumed, later},
		"cue":                    {runs, Cue, with(func(s *State) { s.Cue = "6" })},
		"over":                   {runs, Ended, with(func(s *State) { s.Step = 0 })},
		"once more":              {held, Began, State{Instant: later.Instant, Step: 1, Pass: 3, In: later.In, Speed: .5}},
		"before it began":        {State{Instant: begin, Pass: 2, Speed: 1}, Clock, State{Instant: later.Instant, Pass: 2, In: later.In, Speed: .5}},
		"resumed after the end":  {State{Instant: begin, Pass: 2}, Resumed, State{Instant: later.Instant, Step: 1, Pass: 2, In: later.In, Speed: .5}},
		"an event from the past": {State{Instant: begin.Add(time.Hour), Step: 1, Living: time.Hour}, Clock, State{Instant: later.Instant, Step: 1, In: later.In, Living: time.Hour, Speed: .5}},
	} {
		got := c.from.After(Event{Time: later.Instant, Kind: c.kind, At: later.In, From: time.Second, Speed: .5, Text: "6", Stands: some})
		if got != c.want {
			t.Errorf("%s:\ngot  %+v\nwant %+v", name, got, c.want)
		}
	}
	// Between events the state is a line at the clock's speed.
	half := runs
	half.Speed = .5
	if s := half.On(begin.Add(10 * time.Second)); s.In != 15*time.Second || s.Living != 30*time.Second || s.Up != 0 {
		t.Errorf("ten seconds on at half the speed: %+v", s)
	}
}

// The report of jumps, and of a loss that goes on until the end.
func TestReportOfJumps(t *testing.T) {
	l := NewLog("hall", State{}, nil)
	begin := time.Unix(1000, 0)
	if lines := l.Report().Lines(); len(lines) > 0 {
		t.Errorf("before anything happened: %q", lines)
	}
	for _, e := range []struct {
		s    int
		kind Kind
	}{{0, Began}, {10, Skip}, {20, Back}, {30, Go}, {40, ClockLost}, {45, Clock}, {70, Ended}, {80, Clock}} {
		l.Append(Event{Time: begin.Add(time.Duration(e.s) * time.Second), Kind: e.kind, Speed: 1, Text: "no signal"})
	}
	want := []string{"taken elsewhere 3 times", "clock lost once, 30 s in all; last: no signal"}
	if got := l.Report().Lines(); !reflect.DeepEqual(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	// What was looked at before doors comes first, and moves nothing.
	state := l.State()
	l.Append(Event{Time: begin.Add(90 * time.Second), Kind: Doors, At: time.Hour, Text: "18:40: 9 of 9 good"})
	if got := l.Report().Lines(); !reflect.DeepEqual(got, append([]string{"before doors: 18:40: 9 of 9 good"}, want...)) || l.State() != state {
		t.Errorf("%q, %+v", got, l.State())
	}
	if ran := l.Report().Ran; ran != 70*time.Second {
		t.Errorf("it ran for %v", ran)
	}
}

// A line of 64 KiB is read whole, one of a byte more is told as damaged.
func TestLongestLine(t *testing.T) {
	for size, want := range map[int]int{64<<10 - 1: 1, 64 << 10: 0} {
		line := `{"zone":"hall","time":"2026-11-28T19:30:00Z","what":"run","text":""}`
		line = strings.Replace(line, `"text":"`, `"text":"`+strings.Repeat("x", size-len(line)), 1) + "\n"
		n := 0
		err := Read(strings.NewReader(line), "hall", func(Event) { n++ })
		if n != want || (err == nil) != (want == 1) {
			t.Errorf("%d bytes and their end: %d events, %v", size, n, err)
		}
	}
}

// What a log holds: places to the microsecond, speeds to a tenth of a
// thousandth, and an identifier that no other event has.
func TestAppend(t *testing.T) {
	var got []Event
	l := NewLog("hall", State{}, func(e Event) { got = append(got, e) })
	at := time.Unix(1000, 0).UTC()
	l.Append(Event{Time: at, Kind: Began, At: 1234567 * time.Nanosecond, From: 2345678 * time.Nanosecond, Speed: 1.00014})
	l.Append(Event{Time: at.Add(time.Second), Kind: Hold, Speed: 1.00016})
	if e := got[0]; e.At != 1235*time.Microsecond || e.From != 2346*time.Microsecond || e.Speed != 1.0001 || e.Zone != "hall" {
		t.Errorf("%+v", e)
	}
	if got[0].ID == got[1].ID || got[1].Speed != 1.0002 {
		t.Errorf("%+v", got)
	}
}
