package living

import (
	"context"
	"math"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"lampblack/soundtrack"
)

// A level that rises and falls in known times about each beat is measured so: straight lines
// in decibels, of which 10 to 90 % are eight tenths.
func TestShapeOfLines(t *testing.T) {
	for _, c := range []struct{ rise, fall time.Duration }{{100, 300}, {40, 160}, {200, 240}} {
		rise, fall := c.rise*time.Millisecond, c.fall*time.Millisecond
		track := counted(0, 60*second)
		n := int(track.Duration / (20 * time.Millisecond))
		levels := make([]float32, n)
		for i := range levels {
			at := time.Duration(i) * 20 * time.Millisecond
			since, until := at%(second/2), second/2-at%(second/2)
			v := max(1-float64(since)/float64(fall), 1-float64(until)/float64(rise), 0)
			levels[i] = float32(-50 + 30*v)
		}
		track.Bands = heard(levels).Bands
		gotRise, gotFall := Shape(track, Low)
		wantRise, wantFall := float64(rise)*.8/.608, float64(fall)*.8/.632
		if math.Abs(float64(gotRise)-wantRise) > 3e7 || math.Abs(float64(gotFall)-wantFall) > 3e7 {
			t.Errorf("lines of %v and %v: %v and %v, not %v and %v", rise, fall, gotRise, gotFall, time.Duration(wantRise), time.Duration(wantFall))
		}
		if r, f := Shape(track, High); r != usualRise || f != usualFall {
			t.Errorf("where nothing is: %v and %v", r, f)
		}
	}
	for _, track := range []*soundtrack.Track{nil, {}, counted(0, 20*second)} {
		if r, f := Shape(track, Low); r != usualRise || f != usualFall {
			t.Errorf("without a sound: %v and %v", r, f)
		}
	}
}

// The factors are those of Pulse's own shape.
func TestShapeOfPulse(t *testing.T) {
	e := EventsOf(counted(2*second, 3*second), read(t, "2 beats"), 3*second)
	at := e.Time(0)
	cross := func(from, to time.Duration, value float32) time.Duration {
		up := Pulse(e, from, second, second) < value
		for d := from; d < to; d += time.Millisecond {
			if Pulse(e, d, second, second) < value != up {
				return d
			}
		}
		return 0
	}
	rise := cross(at-second, at, .9) - cross(at-second, at, .1)
	fall := cross(at, at+second, .1) - cross(at, at+second, .9)
	if math.Abs(rise.Seconds()-risePart) > .003 || math.Abs(fall.Seconds()-fallPart) > .003 {
		t.Errorf("10 to 90 %% take %v and %v of a second", rise, fall)
	}
}

// Struck tones that sox makes, one each half second, fall in the time that sox was told: a fall
// of amplitude by a straight line, over which the level goes through its 30 dB.
func TestShapeOfSound(t *testing.T) {
	sox := program(t, "sox")
	var last time.Duration
	for _, seconds := range []string{"0.08", "0.2", "0.4"} {
		file := filepath.Join(t.TempDir(), "struck.wav")
		// Each half second anew: a tone of 100 Hz at once, faded to nothing in the time given.
		if out, err := exec.Command(sox, "-n", "-r", "44100", "-c", "1", file, "synth", seconds, "sine", "100", "fade", "t", "0.002", seconds, seconds,
			"pad", "0", pad(seconds), "gain", "-6", "repeat", "50").CombinedOutput(); err != nil {
			t.Fatalf("sox: %v: %s", err, out)
		}
		track, err := soundtrack.AnalyseFile(context.Background(), file, soundtrack.Options{})
		if err != nil {
			t.Fatal(err)
		}
		rise, fall := Shape(track, Low)
		t.Logf("tones of %s s: rise %v, fall %v", seconds, rise, fall)
		if rise > 150*time.Millisecond || fall <= last {
			t.Errorf("tones of %s s: rise %v, fall %v after %v for shorter ones", seconds, rise, fall, last)
		}
		last = fall
	}
}

// pad is what is left of half a second.
func pad(seconds string) string {
	return map[string]string{"0.08": "0.42", "0.2": "0.3", "0.4": "0.1"}[seconds]
}

// The top may lie before the beat as well as after it, within 120 ms; what is higher further
// off is another sound's.
func TestMeasuredTop(t *testing.T) {
	for _, off := range []int{-12, -6, 0, 7, 12} {
		const middle = 50            // steps of 10 ms
		up, down := 25+off, 25-off/2 // now the one is quicker, now the other
		mean := make([]float64, 120)
		for k := range mean {
			d := float64(k - middle - off)
			mean[k] = max(1+min(d/float64(up), -d/float64(down)), 0)
		}
		mean[0], mean[middle+45] = 2, 2
		rise, fall := measured(mean, middle)
		// What stands apart is neither of the rise nor of the fall.
		if math.Abs(rise.Seconds()-.008*float64(up)/risePart) > .001 || math.Abs(fall.Seconds()-.008*float64(down)/fallPart) > .001 {
			t.Errorf("a top %d ms off: rise %v, fall %v", 10*off, rise, fall)
		}
	}
}
