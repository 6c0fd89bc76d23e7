package check

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/check/flash"
	"lampblack/check/subject"
	"lampblack/show"
)

// lampBench is the black room of bench with another emitter in its lamp: at the
// eye's height, 2 m before it, aimed at it.
func lampBench(emitter, cues, looks string) fstest.MapFS {
	dir := bench(cues, looks)
	text := strings.Replace(benchLamp, "uv: {peak: 370 nm, width: 8 nm, output: 4 W ± 25 %}", "uv: "+emitter, 1)
	dir["fixtures/lamp.yaml"] = &fstest.MapFile{Data: []byte(text)}
	dir["show.yaml"] = &fstest.MapFile{Data: []byte("title: bench\nsoundtrack: a.wav\ndays:\n  - {day: first, shows: 8}\n")}
	return dir
}

const (
	onForAnHour = "  - {cue: 1, at: 0 s, look: full, up: 0 s}\n  - {cue: 2, at: 1:00:00, look: out, up: 0 s}\n"
	fullAndOut  = "  full:\n    parts:\n      - {system: uv, emitters: {uv: 100 %}}\n  out:\n    parts:\n      - {system: uv, emitters: {uv: 0 %}}\n"
)

func foundIn(t *testing.T, dir fstest.MapFS, ids ...string) map[string]finding.Finding {
	t.Helper()
	return byID(ran(t, checktest.Solved(t, dir), ids...))
}

// ran is what the checks find, of some kinds or of all.
func ran(t testing.TB, s *show.Show, ids ...string) []finding.Finding {
	t.Helper()
	list, err := Run(context.Background(), s, Options{Only: ids})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// byID has the last of each kind.
func byID(list []finding.Finding) map[string]finding.Finding {
	out := map[string]finding.Finding{}
	for _, f := range list {
		out[f.ID] = f
	}
	return out
}

// Blue light worked out by hand: 100 W at 440 nm, where B is 1 (IEC 62471:2006),
// in a gaussian beam of 40°, 1.8644 W/sr for a watt on its axis. The lens of 0.1
// m by 0.1 m is seen straight: 1.8644 · 100 / 0.01 = 18 644 W/(m² sr), above the
// 10 kW/(m² sr) at which risk group 1 ends. At 2 m there are 1.8644 · 100 / 4 =
// 46.61 W/m²; eight hours of it over a half space, 46.61 · 28 800 / π = 427
// kJ/(m² sr), 43 % of the 1 MJ/(m² sr) of a day.
func TestBlueLightByHand(t *testing.T) {
	got := foundIn(t, lampBench("{peak: 440 nm, width: 2 nm, output: 100 W}", onForAnHour, fullAndOut), "blue-gaze", "blue-room")
	gaze, room := got["blue-gaze"], got["blue-room"]
	checktest.Within(t, "radiance of the lens", gaze.Value, 18644, .05)
	if gaze.Severity != finding.Warn || gaze.Limit != 1e4 || !strings.Contains(gaze.Text, "2 m away") {
		t.Errorf("%+v", gaze)
	}
	checktest.Within(t, "blue light of the day", room.Value, 46.61*28800/math.Pi, .05)
	if room.Severity != finding.Note || room.Limit != 1e6 {
		t.Errorf("%+v", room)
	}
	// A tenth of the power is under the limit, and a twentieth of the day's.
	got = foundIn(t, lampBench("{peak: 440 nm, width: 2 nm, output: 10 W}", onForAnHour, fullAndOut), "blue-gaze", "blue-room")
	if f := got["blue-gaze"]; f.Severity != finding.Note {
		t.Errorf("%+v", f)
	}
	if f, told := got["blue-room"]; told {
		t.Errorf("%+v", f)
	}
}

// A lens of 1000 lm in the eye of a seat: 1864 cd over 0.01 m², 186 400 cd/m².
func TestLensInTheEye(t *testing.T) {
	f := foundIn(t, lampBench("{like: phosphor 4000 K, output: 1000 lm}", onForAnHour, fullAndOut), "lens-in-eye")["lens-in-eye"]
	checktest.Within(t, "luminance of the lens", f.Value, 186400, .1)
	if f.Severity != finding.Warn || f.Place != "unit a" || !strings.HasPrefix(f.Text, "1 seat sees into the lit lens of unit a") {
		t.Errorf("%+v", f)
	}
	if got := foundIn(t, bench(onForAnHour, fullAndOut), "lens-in-eye"); len(got) > 0 {
		t.Errorf("ultraviolet of 370 nm that no eye sees: %+v", got)
	}
}

// A red lamp asked for blue is told, with the look's time and cues.
func TestColourOutOfReach(t *testing.T) {
	dir := lampBench("{peak: 630 nm, width: 18 nm, output: 4 W}",
		"  - {cue: 1, at: 2 s, look: blue, up: 0 s}\n  - {cue: 2, at: 9 s, look: out, up: 0 s}\n",
		"  blue:\n    parts:\n      - {system: uv, colour: \"#2030ff\", level: 50 %}\n  out:\n    parts:\n      - {system: uv, emitters: {uv: 0 %}}\n")
	f := foundIn(t, dir, "colour-unmatched")["colour-unmatched"]
	if f.From != 2 || f.To != 9 || len(f.Cues) != 1 || f.Cues[0] != "1" || f.Value < .3 || len(f.Units) != 1 {
		t.Errorf("%+v", f)
	}
}

// WCAG 2.2, general flash: the darker of two images is below 0.80 of full. A
// lamp that goes from 82 % to full and back does not flash, one from 78 % does.
// Dips of less than a tenth do not.
func TestUnionCountsByWCAG(t *testing.T) {
	for level, want := range map[int]bool{82: false, 78: true, 50: true, 91: false} {
		cues := "  - {cue: 1, at: 0 s, look: low, up: 0 s}\n  - {cue: 2, at: 5 s, look: full, up: 0 s, hold: 0.1 s, returns: 0 s}\n  - {cue: 3, at: 9 s, look: low, up: 0 s}\n"
		looks := fmt.Sprintf("  low:\n    parts:\n      - {system: uv, emitters: {uv: %d %%}}\n", level) + strings.SplitN(fullAndOut, "  out:", 2)[0]
		f, told := foundIn(t, bench(cues, looks), "flash-union")["flash-union"]
		if told != want || told && f.Value != 1 {
			t.Errorf("from %d %% to full: %+v", level, f)
		}
	}
}

// Six seconds of dark between two lit looks are six seconds of dark.
func TestBlackoutByHand(t *testing.T) {
	dir := lampBench("{like: phosphor 4000 K, output: 1000 lm}",
		"  - {cue: 1, at: 0 s, look: full, up: 0 s}\n  - {cue: 2, at: 10 s, look: out, up: 0 s}\n  - {cue: 3, at: 16 s, look: full, up: 0 s}\n", fullAndOut)
	room := strings.Replace(string(dir["room.yaml"].Data), "floor: black velvet", "floor: white paint", 1)
	dir["room.yaml"].Data = []byte(room)
	f := foundIn(t, dir, "blackout")["blackout"]
	if math.Abs(f.Value-6) > .01 || math.Abs(f.From-10) > .01 || math.Abs(f.To-16) > .01 {
		t.Errorf("%+v", f)
	}
}

// The trace runs from the first instant to the last, still or not.
func TestTraceIsWhole(t *testing.T) {
	s := checktest.Solved(t, bench(onForAnHour, fullAndOut))
	for _, length := range []time.Duration{s.Length, s.Length + time.Hour} {
		one := *s
		one.Length = length
		tr := subject.TraceOf(context.Background(), subject.Of(&one))
		if n := len(tr.Times); tr.Times[0] != 0 || tr.Times[n-1] != length || len(tr.Levels) != n || len(tr.Rates) != n {
			t.Errorf("of %v: from %v to %v", length, tr.Times[0], tr.Times[n-1])
		}
	}
}

// card is a room with a white card of the given side, 4 m before an eye, and a
// lamp behind the eye that flashes it five times in a second by cues.
func card(side float64) fstest.MapFS {
	out := bench("", "")
	cues := ""
	for i := range 5 {
		cues += fmt.Sprintf("  - {cue: %d, at: %d ms, look: lit, up: 0.01 s, returns: 0.05 s}\n", i+1, 1000+200*i)
	}
	text := func(s string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(s)} }
	out["fixtures/lamp.yaml"] = text(`name: lamp
size: [0.1 m, 0.1 m, 0.1 m]
beam: {half: 15°, shape: gaussian}
emitters:
  white: {like: phosphor 4000 K, output: 900 lm}
modes:
  one: {1: {drives: white}}
`)
	out["rig.yaml"] = text("units:\n  - {unit: a, type: lamp, address: 1, at: [0 m, -1.5 m, 1.2 m], aim: [0 m, 3 m, 1.2 m], systems: [all]}\n")
	out["room.yaml"] = text(fmt.Sprintf(`size: [6 m, 8 m, 3 m]
stage front: 4 m
walls: black velvet
floor: black velvet
ceiling: black velvet
surfaces:
  card: {material: white cloth, centre: [0 m, 3 m, 1.2 m], width: %.3f m, height: %.3f m, faces: [0 m, -1 m, 0 m]}
audience:
  - {name: eye, at: [0 m, -1 m, 1.2 m], looks at: [0 m, 3 m, 1.2 m]}
`, side, side))
	out["score.yaml"] = text("looks:\n  lit:\n    parts:\n      - {system: all, emitters: {white: 100 %}}\n  out:\n    parts:\n      - {system: all, emitters: {white: 0 %}}\ncues:\n" + cues + "  - {cue: 9, at: 5 s, look: out, up: 0 s}\n")
	return out
}

// A card of 0.0052 sr flashes five times in a second and is small enough; one
// of 0.0072 sr is not (WCAG 2.2: 0.006 sr, a quarter of a 10 degree field). At
// 4 m they have sides of 0.29 m and 0.34 m.
func TestAreaOfACard(t *testing.T) {
	for side, want := range map[float64]float64{.29: 0, .34: 5} {
		s := checktest.Solved(t, card(side))
		list, _ := Run(context.Background(), s, Options{Only: []string{"flash-rate"}})
		got := 0.0
		if len(list) > 0 {
			got = list[0].Value
		}
		if got != want {
			t.Errorf("a card of %v m: %v flashes, want %v", side, got, want)
		}
		if want > float64(flash.BT.Most) && (len(list) == 0 || list[0].Severity != finding.Stop) {
			t.Errorf("it does not stop: %v", keys(list))
		}
	}
}

// Two lamps at half light, one of which jumps to full for a tenth of a second
// twice: the unit, the cues and the second are named, the other lamp is not.
func TestCulprits(t *testing.T) {
	dir := bench("  - {cue: 1, at: 0 s, look: half, up: 0 s}\n  - {cue: 5, at: 10 s, look: kick, up: 0 s, hold: 0.1 s, returns: 0 s}\n  - {cue: 6, at: 10.4 s, look: kick, up: 0 s, hold: 0.1 s, returns: 0 s}\n  - {cue: 9, at: 20 s, look: half, up: 0 s}\n",
		"  half:\n    parts:\n      - {system: uv, emitters: {uv: 50 %}}\n  kick:\n    parts:\n      - {units: [a], emitters: {uv: 100 %}}\n")
	rig := string(dir["rig.yaml"].Data) + "  - {unit: b, type: lamp, address: 11, at: [1 m, 2 m, 1.2 m], aim: [1 m, 0 m, 1.2 m], systems: [uv]}\n"
	dir["rig.yaml"].Data = []byte(rig)
	list, err := Run(context.Background(), checktest.Solved(t, dir), Options{Only: []string{"flash-union"}})
	if err != nil || len(list) != 1 {
		t.Fatalf("%v, %v", list, err)
	}
	f := list[0]
	if f.Value != 2 || !slices.Equal(f.Units, []string{"a"}) || !slices.Equal(f.Cues, []string{"5", "6"}) || f.From > 10.1 || f.To < 10.4 {
		t.Errorf("%+v", f)
	}
}

// A bare lens of 0.1 m by 0.1 m is 0.0025 sr at 2 m, and 0.01 sr at 1 m, more
// than the quarter of a field of 10 degrees (0.006 sr, WCAG 2.2): five blinks in
// a second pass at the one and stop the show at the other.
func TestLensThatFlashes(t *testing.T) {
	cues := ""
	for i := range 5 {
		cues += fmt.Sprintf("  - {cue: %d, at: %d ms, look: full, up: 0.01 s, returns: 0.05 s}\n", i+1, 1000+200*i)
	}
	for at, want := range map[string]float64{"2 m": 0, "1 m": 5} {
		dir := lampBench("{like: phosphor 4000 K, output: 100 lm}", cues+"  - {cue: 9, at: 5 s, look: out, up: 0 s}\n", fullAndOut)
		rig := strings.Replace(string(dir["rig.yaml"].Data), "at: [0 m, 2 m, 1.2 m]", "at: [0 m, "+at+", 1.2 m]", 1)
		dir["rig.yaml"] = &fstest.MapFile{Data: []byte(rig)}
		f := foundIn(t, dir, "flash-rate")["flash-rate"]
		if f.Value != want || want > 3 && (f.Severity != finding.Stop || len(f.Units) != 1) {
			t.Errorf("at %s: %+v, want %v flashes", at, f, want)
		}
	}
}
