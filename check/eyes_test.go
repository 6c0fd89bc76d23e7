package check

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"time"
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

func foundIn(t *testing.T, dir fstest.MapFS, ids ...string) map[string]Finding {
	t.Helper()
	list, err := Run(context.Background(), solved(t, dir), Options{Only: ids})
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]Finding{}
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
	within(t, "radiance of the lens", gaze.Value, 18644, .05)
	if gaze.Severity != Warn || gaze.Limit != 1e4 || !strings.Contains(gaze.Text, "2 m away") {
		t.Errorf("%+v", gaze)
	}
	within(t, "blue light of the day", room.Value, 46.61*28800/math.Pi, .05)
	if room.Severity != Note || room.Limit != 1e6 {
		t.Errorf("%+v", room)
	}
	// A tenth of the power is under the limit, and a twentieth of the day's.
	got = foundIn(t, lampBench("{peak: 440 nm, width: 2 nm, output: 10 W}", onForAnHour, fullAndOut), "blue-gaze", "blue-room")
	if f := got["blue-gaze"]; f.Severity != Note {
		t.Errorf("%+v", f)
	}
	if f, told := got["blue-room"]; told {
		t.Errorf("%+v", f)
	}
}

// A lens of 1000 lm in the eye of a seat: 1864 cd over 0.01 m², 186 400 cd/m².
func TestLensInTheEye(t *testing.T) {
	f := foundIn(t, lampBench("{like: phosphor 4000 K, output: 1000 lm}", onForAnHour, fullAndOut), "lens-in-eye")["lens-in-eye"]
	within(t, "luminance of the lens", f.Value, 186400, .1)
	if f.Severity != Warn || f.Place != "unit a" || !strings.HasPrefix(f.Text, "1 seat sees into the lit lens of unit a") {
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

// One foot-candle is a lumen on a square foot, and a foot is 0.3048 m: IBC
// 1008.2.1 has 1 fc, New York City 0.2 fc during performances.
func TestFootCandles(t *testing.T) {
	within(t, "1 fc", egress, 1/(.3048*.3048), 1e-4)
	within(t, "0.2 fc", performance, .2/(.3048*.3048), 1e-4)
}

// The trace runs from the first instant to the last, still or not.
func TestTraceIsWhole(t *testing.T) {
	s := solved(t, bench(onForAnHour, fullAndOut))
	for _, length := range []time.Duration{s.Length, s.Length + time.Hour} {
		one := *s
		one.Length = length
		tr := traceOf(context.Background(), &one)
		if n := len(tr.times); tr.times[0] != 0 || tr.times[n-1] != length || len(tr.levels) != n || len(tr.rates) != n {
			t.Errorf("of %v: from %v to %v", length, tr.times[0], tr.times[n-1])
		}
	}
}
