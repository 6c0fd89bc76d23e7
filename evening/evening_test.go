package evening

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"
)

var kinds = []Kind{Began, Resumed, Go, Skip, Back, Hold, LightsUp, LightsDown, ClockLost, ClockFound, Clock, Cue, Ended, "weather"}

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
		l.Append(Event{Time: now, Kind: kinds[rng.IntN(len(kinds))], At: at, From: from, Speed: float64(rng.IntN(3)) / 2, Text: []string{"", "5", "no \"timecode\"\n"}[rng.IntN(3)]})
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
