package play

import (
	"context"
	"testing"
	"testing/fstest"
	"testing/synctest"
	"time"

	"lampblack/play/output"
	"lampblack/show"
)

// pulses is a show that passes the checks and that the governor, which looks less closely, would
// hold: red pulses a second apart on three lamps side by side, in a small white room with eyes.
func pulses(t *testing.T) *show.Show {
	t.Helper()
	dir := fstest.MapFS{}
	for name, text := range map[string]string{
		"show.yaml": "title: Pulses\n",
		"rig.yaml": "units:\n" +
			"  - {unit: a, type: colour par, address: 1, at: [-0.1 m, 0 m, 2.2 m], aim: [-0.1 m, 1.9 m, 1 m]}\n" +
			"  - {unit: b, type: colour par, address: 4, at: [-0.2 m, 0 m, 2.2 m], aim: [-0.2 m, 1.9 m, 1 m]}\n" +
			"  - {unit: c, type: colour par, address: 7, at: [-0.3 m, 0 m, 2.2 m], aim: [-0.3 m, 1.9 m, 1 m]}\n",
		"room.yaml": "size: [4 m, 6 m, 2.4 m]\nstage front: 4 m\nwalls: white paint\nfloor: grey paint\nceiling: white paint\n" +
			"audience:\n  - {name: left, at: [-1 m, -2 m, 1.6 m]}\n  - {name: right, at: [1 m, -2 m, 1.6 m]}\n  - {name: child, at: [0 m, -1 m, 1.1 m], child: yes}\n",
		"score.yaml": "looks:\n  p: {colour: red, level: 80 %, on the beat: {every: 1 s, fall: 600 ms}}\n  base: {units: [a], colour: blue, level: 40 %}\n" +
			"cues:\n  - {cue: 1, at: 0:00, look: p}\n  - {cue: 2, at: 0:12, look: base}\n",
	} {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	s, faults := show.New(context.Background(), f, nil)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return s
}

// Light that goes as it was checked goes out as it is; TestLightIsSoftened has what does not.
func TestCheckedLightGoesOut(t *testing.T) {
	s := pulses(t)
	synctest.Test(t, func(t *testing.T) {
		w := newFlips()
		// Seven pulses, and the lights that come up as it is cut short.
		sum, err := Run(t.Context(), s, Options{Sinks: []output.Sink{w}, For: 6500 * time.Millisecond})
		if err != nil {
			t.Fatal(err)
		}
		if n := len(w.rises) - 1; n != 7 || sum.Report.Softened != 0 {
			t.Errorf("%d pulses of seven went out, and %d times light was held", n, sum.Report.Softened)
		}
	})
}
