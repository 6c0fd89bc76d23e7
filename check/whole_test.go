package check

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/show"
)

// demo is the demo, solved once for all tests that only look at it.
var demo = sync.OnceValue(func() *show.Show {
	f, _ := show.Read(checktest.DemoFolder())
	s, _ := show.New(context.Background(), f, checktest.Heard(&f))
	return s
})

// The trace is within its grain of the show at any millisecond.
func TestTrace(t *testing.T) {
	s := demo()
	tr := subject.TraceOf(context.Background(), subject.Of(s))
	frame := s.NewFrame()
	r := rand.New(rand.NewPCG(4, 1))
	worst := 0.0
	for range 4000 {
		at := time.Duration(r.Int64N(int64(s.Length/time.Millisecond))) * time.Millisecond
		s.At(frame, at)
		v := 1
		for v < len(tr.Times)-1 && tr.Times[v] < at {
			v++
		}
		share := 0.0
		if tr.Times[v] > tr.Times[v-1] {
			share = float64(at-tr.Times[v-1]) / float64(tr.Times[v]-tr.Times[v-1])
		}
		for d, want := range frame.Levels {
			got := float64(tr.Levels[v-1][d]) + share*float64(tr.Levels[v][d]-tr.Levels[v-1][d])
			worst = max(worst, math.Abs(got-float64(want)))
		}
	}
	const grain = .002 // of full light: what the trace promises
	if worst > grain*1.1 {
		t.Errorf("the trace is off by %.4f of full light, want %v", worst, grain)
	}
	t.Logf("%d corners for %v; off by %.5f at most", len(tr.Times), s.Length, worst)
}

// The same show gives the same bytes.
func TestStable(t *testing.T) {
	var texts [2]bytes.Buffer
	for i := range texts {
		list, err := Run(context.Background(), demo(), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := finding.WriteJSON(&texts[i], list); err != nil {
			t.Fatal(err)
		}
	}
	if texts[0].String() != texts[1].String() {
		t.Error("two runs differ")
	}
}

// No two findings have one identifier and one place.
func TestApart(t *testing.T) {
	list, _ := Run(context.Background(), demo(), Options{})
	seen := map[string]bool{}
	for _, f := range list {
		if seen[f.Key()] {
			t.Errorf("%s twice", f.Key())
		}
		seen[f.Key()] = true
		if f.Source == "" || f.Place == "" || f.Text == "" {
			t.Errorf("%s lacks a source, a place or a text", f.Key())
		}
		for _, word := range []string{" legal", "lawful", "is safe", "compliant"} {
			if strings.Contains(strings.ToLower(f.Text+f.Hint), word) {
				t.Errorf("%s says %q", f.Key(), word)
			}
		}
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Run(ctx, demo(), Options{}); err == nil {
		t.Error("a run that was ended reports nothing wrong with that")
	}
}

func TestOnly(t *testing.T) {
	list, _ := Run(context.Background(), demo(), Options{Only: []string{"uv-dose"}})
	for _, f := range list {
		if f.ID != "uv-dose" {
			t.Errorf("also %s", f.ID)
		}
	}
	if len(list) == 0 {
		t.Error("nothing left")
	}
}

// bench is a black room with one lamp of 4 W at 380 nm ± 25 % and an eye on
// its axis, 2 m away; the lamp is at half light for an hour.
const benchLamp = `name: lamp
size: [0.1 m, 0.1 m, 0.1 m]
lens: [0.1 m, 0.1 m]
beam: {half: 40°, shape: gaussian}
supply: {max: 20 W, factor: 0.9}
on data loss: hold
emitters:
  uv: {peak: 370 nm, width: 8 nm, output: 4 W ± 25 %}
modes:
  two slots:
    1: {drives: uv}
    2: {0-9: open, 10-255: flash 1 Hz to 20 Hz}
`

func bench(cues, looks string) fstest.MapFS {
	text := func(s string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(s)} }
	return fstest.MapFS{
		"show.yaml":          text("title: bench\nsoundtrack: a.wav\ndays:\n  - {day: first, shows: 2, rehearsal: 1 h}\n"),
		"fixtures/lamp.yaml": text(benchLamp),
		"rig.yaml":           text("units:\n  - {unit: a, type: lamp, address: 1, at: [0 m, 2 m, 1.2 m], aim: [0 m, 0 m, 1.2 m], systems: [uv]}\n"),
		"room.yaml":          text("size: [6 m, 8 m, 3 m]\nstage front: 4 m\nwalls: black velvet\nfloor: black velvet\nceiling: black velvet\naudience:\n  - {name: eye, at: [0 m, 0 m, 1.2 m], looks at: [0 m, 2 m, 1.2 m]}\n"),
		"score.yaml":         text("looks:\n" + looks + "cues:\n" + cues),
	}
}

// A dose worked out by hand: gaussian beam of 40°, 1864.4 cd per 1000 lm on the
// axis (so 1.8644 W/sr for 1 W), 5 W at the upper end, half light, 2 m away:
// 1.8644 · 5 · 0.5 / 4 = 1.165 W/m2, all of it below 400 nm. An hour gives
// 4195 J/m2; two shows and an hour of rehearsal 12 585 J/m2, which is over the
// 10 kJ/m2 of ICNIRP 2004.
func TestDoseByHand(t *testing.T) {
	s := checktest.Solved(t, bench("  - {cue: 1, at: 0 s, look: half, up: 0 s}\n  - {cue: 2, at: 1:00:00, look: out, up: 0 s}\n",
		"  half:\n    parts:\n      - {system: uv, emitters: {uv: 50 %}}\n  out:\n    parts:\n      - {system: uv, emitters: {uv: 0 %}}\n"))
	peak, _ := Run(context.Background(), s, Options{Only: []string{"uv-irradiance"}})
	if len(peak) != 1 {
		t.Fatalf("findings: %v", keys(peak))
	}
	checktest.Within(t, "irradiance", peak[0].Value, 1.8644*5*.5/4, .02)
	list, _ := Run(context.Background(), s, Options{Only: []string{"uv-dose"}})
	if len(list) != 1 || list[0].Severity != finding.Stop {
		t.Fatalf("findings: %v", keys(list))
	}
	checktest.Within(t, "dose of the day", list[0].Value, 3*4195, .02)
	checktest.Within(t, "its lower end", list[0].Low, 3*4195*.6, .02) // 75 % to 125 % of the best estimate
}

// The same seat on a day of 20 shows: somebody who sits through all of them
// takes 20 doses of a show, and is said to; a visitor who sees one takes one,
// 4195 J/m2, under half of the limit, and no rehearsal.
func TestDoseOfAVisitor(t *testing.T) {
	looks := "  half:\n    parts:\n      - {system: uv, emitters: {uv: 50 %}}\n  out:\n    parts:\n      - {system: uv, emitters: {uv: 0 %}}\n"
	for _, c := range []struct {
		day      string
		shows    float64
		severity finding.Severity
		assumed  bool
	}{
		{"{day: fair, shows: 20, rehearsal: 1 h}", 21, finding.Stop, true},
		{"{day: fair, shows: 20, rehearsal: 1 h, each visitor sees: 1}", 1, finding.Note, false},
		{"{day: fair, shows: 20, each visitor sees: 3}", 3, finding.Stop, false},
	} {
		dir := bench("  - {cue: 1, at: 0 s, look: half, up: 0 s}\n  - {cue: 2, at: 1:00:00, look: out, up: 0 s}\n", looks)
		dir["show.yaml"] = &fstest.MapFile{Data: []byte("title: bench\nsoundtrack: a.wav\ndays:\n  - " + c.day + "\n")}
		list, _ := Run(context.Background(), checktest.Solved(t, dir), Options{Only: []string{"uv-dose"}})
		if len(list) != 1 || list[0].Severity != c.severity || strings.Contains(list[0].Assumed, "for all 20 shows") != c.assumed {
			t.Errorf("%s: %+v", c.day, list)
			continue
		}
		checktest.Within(t, c.day, list[0].Value, c.shows*4195, .02)
	}
}

// Behind a device of 30 mA, types that do not say their leakage are named,
// once; a device that is not stated is asked for. What is only said of an
// alarm leaves the finding.
func TestUnsaid(t *testing.T) {
	cues := "  - {cue: 1, at: 0 s, look: half, up: 0 s}\n"
	looks := "  half:\n    parts:\n      - {system: uv, emitters: {uv: 50 %}}\n"
	for circuit, want := range map[string]string{
		"{breaker: C16, residual current device: 30 mA}": "what the units leak to earth (lamp)",
		"{breaker: C16}": "what residual current device there is, which a competent person tells (wall)",
	} {
		dir := bench(cues, looks)
		dir["rig.yaml"] = &fstest.MapFile{Data: []byte("circuits:\n  wall: " + circuit + "\nunits:\n  - {unit: a, type: lamp, address: 1, at: [0 m, 2 m, 1.2 m], aim: [0 m, 0 m, 1.2 m], systems: [uv], circuit: wall}\n")}
		list, _ := Run(context.Background(), checktest.Solved(t, dir), Options{Only: []string{"not-judged"}})
		n := 0
		for _, f := range list {
			if strings.Contains(f.Text, want) {
				n++
			}
		}
		if n != 1 {
			t.Errorf("%s: %d findings say %q: %+v", circuit, n, want, list)
		}
	}
	for alarm, want := range map[string]finding.Severity{"": finding.Warn, "alarm input: yes\n": finding.Warn, "alarm input: no\n": finding.Stop} {
		dir := bench(cues, looks)
		room := dir["room.yaml"].Data
		dir["room.yaml"] = &fstest.MapFile{Data: append(bytes.Clone(room), "paths:\n  way: {points: [[-2 m, 0 m, 0 m], [2 m, 0 m, 0 m]]}\n"...)}
		dir["show.yaml"] = &fstest.MapFile{Data: []byte("title: bench\nsoundtrack: a.wav\n" + alarm)}
		list, _ := Run(context.Background(), checktest.Solved(t, dir), Options{Only: []string{"alarm-input"}})
		if len(list) != 1 || list[0].Severity != want {
			t.Errorf("%q: %+v, want a %s", alarm, list, want)
		}
		// One that this program listens to is what was asked for.
		if alarm != "alarm input: no\n" {
			dir["show.yaml"] = &fstest.MapFile{Data: []byte("title: bench\nsoundtrack: a.wav\n" + alarm + "alarm inputs: {stage door: {source: key f12}}\n")}
			if list, _ := Run(context.Background(), checktest.Solved(t, dir), Options{Only: []string{"alarm-input"}}); len(list) != 0 {
				t.Errorf("%q and a named input: %+v", alarm, list)
			}
		}
	}
}

// A lamp of its own at 2.5 Hz for a second, and one at 5 Hz: the union counts
// the worst phase.
func TestOwnFlashing(t *testing.T) {
	for hz, want := range map[string]float64{"2.5": 4, "5": 6} { // and the rise and fall of the cue itself
		s := checktest.Solved(t, bench("  - {cue: 1, at: 1 s, look: strobe, up: 0 s, hold: 0.9 s, returns: 0 s}\n  - {cue: 2, at: 20 s, look: out, up: 0 s}\n",
			fmt.Sprintf("  strobe:\n    parts:\n      - {system: uv, emitters: {uv: 100 %%}, flash: %s Hz}\n  out:\n    parts:\n      - {system: uv, emitters: {uv: 0 %%}}\n", hz)))
		list, _ := Run(context.Background(), s, Options{Only: []string{"flash-union"}})
		if len(list) != 1 || list[0].Value != want {
			t.Errorf("%s Hz: %v", hz, list)
		}
	}
}

// Every identifier is described, and none is anything but plain.
func TestIdentifiers(t *testing.T) {
	for _, id := range Identifiers() {
		if strings.Trim(id, "abcdefghijklmnopqrstuvwxyz-") != "" || tells[id] == "" {
			t.Errorf("identifier %q: %q", id, tells[id])
		}
	}
}
