package rehearse

import (
	"context"
	"os"
	"reflect"
	"runtime"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/room"
	"lampblack/show"
)

// walk is a place of two zones, a cave that people start and an arch that stands, open as a
// small museum is, by the clocks of Berlin.
var walk = map[string]string{
	"show.yaml":          "title: walk\n",
	"fixtures/lamp.yaml": "name: lamp\nbeam: {half: 25°}\nemitters: {red: {peak: 629 nm, width: 15 nm, output: 2 W}, uv: {peak: 385 nm, width: 12 nm, output: 1 W}}\nmodes: {two: {1: {drives: red}, 2: {drives: uv}}}\n",
	"rig.yaml":           "units:\n  - {unit: cave, type: lamp, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m], systems: cave}\n  - {unit: arch, type: lamp, address: 3, at: [2 m, 0 m, 3 m], aim: [2 m, 2 m, 1 m], systems: arch}\n",
	"room.yaml":          "size: [9 m, 14 m, 4 m]\nstage front: 9 m\naudience: [{name: middle, at: [0 m, -3 m, 1.2 m]}]\n",
	"score.yaml":         "looks:\n  rest: {parts: [{system: cave, emitters: {red: 10 %}}]}\n  glow: {parts: [{system: cave, emitters: {uv: 100 %}}]}\n  arch: {parts: [{system: arch, emitters: {red: 50 %}}]}\ncues: [{cue: 1, at: 0:00, look: rest}]\n",
	"zones.yaml":         "zones:\n  cave: {systems: [cave], order: cave.yaml, repeats: yes, re-arm: 5 s, longest stay: 3 min}\n  arch: {systems: [arch], order: arch.yaml, repeats: yes}\n",
	"cave.yaml":          "order:\n  - {standing: rest, look: rest, until: trigger in, at most: 12 h}\n  - {piece: glow, cues: glow.yaml}\n",
	"glow.yaml":          "cues:\n  - {cue: 1, at: 0:00, look: glow, up: 2 s}\n  - {cue: 2, at: 0:40, look: rest, up: 5 s}\nwaits:\n  - {at: 0:35, until: trigger out, usually: 20 s, at most: 1 min}\n",
	"arch.yaml":          "order: [{standing: arch, look: arch, until: after 1 h, at most: 1 h}]\n",
	"triggers.yaml":      "triggers:\n  in: {source: page, re-arm: 4 s}\n  out: {source: page}\n",
	"calendar.yaml":      "time zone: Europe/Berlin\nhours:\n  every day: 10:00 to 18:00\nself-test: {at: \"2:30\", for: 5 min}\ntriggers asleep outside hours: yes\n",
}

type solved struct {
	place *show.Place
	files show.Files
}

var walkOnce = sync.OnceValues(func() (solved, error) {
	files := fstest.MapFS{}
	for name, text := range walk {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(files)
	if faults.Err() != nil {
		return solved{}, faults.Err()
	}
	s, faults := show.New(context.Background(), f, nil)
	if faults.Err() != nil {
		return solved{}, faults.Err()
	}
	p, faults := s.Place(f.Zones, nil)
	return solved{p, f}, faults.Err()
})

func rehearsed(t *testing.T, o Options) *Report {
	t.Helper()
	w, err := walkOnce()
	if err != nil {
		t.Fatal(err)
	}
	o.Hours, o.Triggers = w.files.Calendar, w.files.Triggers
	r, err := Run(context.Background(), w.place, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func berlin(t *testing.T, date string) time.Time {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	at, err := time.ParseInLocation(time.DateOnly, date, zone)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

// Thirty days with a clock change in either direction: every opening and closing is there,
// the place is open for 8 h each day whatever the clocks did at night, every person is let
// through, and everything that came to a trigger is accounted for.
func TestThirtyDaysAccountForEverything(t *testing.T) {
	for _, from := range []string{"2026-03-15", "2026-10-10"} { // Directive 2000/84/EC: the last Sundays of March and October
		r := rehearsed(t, Options{From: berlin(t, from), Days: 30, PerHour: 40, Seed: 1})
		if r.Opened != 30 || r.Closed != 30 || r.Open != 240*time.Hour {
			t.Errorf("%s: opened %d times and closed %d, open for %v", from, r.Opened, r.Closed, r.Open)
		}
		if r.People < 8600 || r.People > 10600 { // 9600, give or take ten standard deviations of groups
			t.Errorf("%s: %d people came in 240 h at 40 an hour", from, r.People)
		}
		for _, b := range r.Trigger {
			if b.Came != b.Short+b.Deaf+b.Taken+b.Missed+b.Asleep || b.Came != r.People {
				t.Errorf("%s: of %d people, to %s came %+v", from, r.People, b.Name, b)
			}
		}
		for _, z := range r.Zones {
			total := time.Duration(0)
			for _, s := range z.Steps {
				total += s.Time
			}
			if days := 30 * 24 * time.Hour; (total-days).Abs() > time.Hour+time.Second || z.Groups != r.Groups || len(z.Waits) != r.Groups {
				t.Errorf("%s: %s had steps for %v, and %d of %d groups", from, z.Name, total, z.Groups, r.Groups)
			}
		}
		cave := r.Zones[0]
		if taken := r.Trigger[0].Taken; cave.Steps[1].Times != taken {
			t.Errorf("%s: the cave began %d times, and the beam took it on %d times", from, cave.Steps[1].Times, taken)
		}
		if cave.Steps[1].Longest > 3*time.Minute {
			t.Errorf("%s: the cave was away from its rest for %v, longer than its longest stay", from, cave.Steps[1].Longest)
		}
	}
}

// The same seed gives the same days, another one others.
func TestSeeds(t *testing.T) {
	o := Options{From: berlin(t, "2026-06-01"), Days: 2, PerHour: 60, Seed: 7}
	a, b := rehearsed(t, o), rehearsed(t, o)
	if !reflect.DeepEqual(a, b) {
		t.Error("the same seed gives other days")
	}
	if o.Seed++; reflect.DeepEqual(a, rehearsed(t, o)) {
		t.Error("another seed gives the same days")
	}
}

// Without visitors nothing but the hours happens, and light adds up as by hand: the arch at
// half for every second that the place is open, the cave at a tenth.
func TestLampHoursByHand(t *testing.T) {
	r := rehearsed(t, Options{From: berlin(t, "2026-06-01"), Days: 3})
	if r.Groups != 0 || r.Zones[0].Steps[1].Times != 0 {
		t.Errorf("nobody came, and %d groups were there", r.Groups)
	}
	for i, want := range []float64{.1 * 24, .5 * 24} { // red of the unit, hours at full
		if got := r.Zones[i].Lit[2*i] / 3600; got < want*.999 || got > want*1.001 {
			t.Errorf("the red of %s burned for %v h at full, want %v", r.Units[i].Name, got, want)
		}
	}
	if lit := r.Units[1].Lit; (lit - 24*time.Hour).Abs() > time.Second {
		t.Errorf("the arch was lit for %v of 24 h", lit)
	}
}

// A visitor's dose is what the lamps gave to the seat while the visitor was inside: with a
// single group it is all the ultraviolet that there was.
func TestDoseOfAVisitor(t *testing.T) {
	w, err := walkOnce()
	if err != nil {
		t.Fatal(err)
	}
	var r *Report
	for seed := range uint64(100) {
		r = rehearsed(t, Options{From: berlin(t, "2026-06-01"), Days: 1, PerHour: .2, Group: 1, Seed: seed})
		if r.Groups == 1 && r.Zones[0].Steps[1].Times == 1 && r.Zones[0].LeftResting == 0 {
			break
		}
	}
	if r.Groups != 1 {
		t.Fatal("no seed gives a day of one visitor")
	}
	want := r.Zones[0].Lit[1] * w.place.Transport.MostRow(0, room.UVA)[1]
	if sum := r.Zones[0].Visitor.Most + r.Zones[1].Visitor.Most; sum < r.Visitor.Most*.999 || sum > r.Visitor.Most*1.001 { // there is one seat
		t.Errorf("by zone the visitor had %v J/m², of %v in all", sum, r.Visitor.Most)
	}
	if got := r.Visitor.Most; want == 0 || got > want*1.001 || got < want*.3 {
		t.Errorf("the visitor had %v J/m² of the %v that reached the seat", got, want)
	}
}

// A month more needs no more memory: nothing is kept of a day but its sums.
func TestRehearsalIsFlat(t *testing.T) {
	days := 10
	if os.Getenv("LAMPBLACK_LONG") != "" {
		days = 60
	}
	heap := func(days int) (uint64, int) {
		var m runtime.MemStats
		r := rehearsed(t, Options{From: berlin(t, "2026-03-15"), Days: days, PerHour: 20, Seed: 3})
		runtime.GC()
		runtime.ReadMemStats(&m)
		runtime.KeepAlive(r)
		return m.HeapAlloc, runtime.NumGoroutine()
	}
	before, goroutines := heap(2)
	after, still := heap(days)
	if still > goroutines {
		t.Errorf("%d goroutines, %d before", still, goroutines)
	}
	if grown := int64(after) - int64(before); grown > int64(days)*64<<10 { // waits and doses of each visitor
		t.Errorf("%d days grew the heap by %d KiB", days, grown>>10)
	}
}
