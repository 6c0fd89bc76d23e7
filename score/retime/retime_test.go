package retime

import (
	"bytes"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"lampblack/score"
	"lampblack/soundfile"
	"lampblack/soundtrack/retake"
)

const rate = 44100

// tune makes seconds of plucked notes that never repeat.
func tune(seconds int) []float32 {
	rng := rand.New(rand.NewPCG(3, 4))
	out := make([]float32, seconds*rate)
	for at := 0; at < len(out); at += rate/8 + rng.IntN(rate/4) {
		pitch := 110 * math.Exp2(rng.Float64()*4)
		for i := 0; i < rate/2 && at+i < len(out); i++ {
			x := float64(i) / rate
			out[at+i] += float32(.2 * math.Exp(-8*x) * math.Sin(2*math.Pi*pitch*x))
		}
	}
	return out
}

func stream(t *testing.T, samples []float32) soundfile.Stream {
	t.Helper()
	var b bytes.Buffer
	if err := soundfile.WriteWAV(&b, rate, 1, 16, samples); err != nil {
		t.Fatal(err)
	}
	s, err := soundfile.Open(bytes.NewReader(b.Bytes()), "tune.wav")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

const before = `# looks stay as they are
looks:
  dark: {purpose: nothing}

calm:
  - {from: 0:30, to: 0:35, why: a voice}   # moves too
cues:
  - {cue: 1, at: 0:02, look: dark}          # the head
  - {cue: 2, on: hit 0:15.5, look: dark, why: cut away}
  # a remark between
  - cue: 3
    on: end of swell 0:31.250
    look: dark
  - {cue: 4, on: bar 20, look: dark}
`

// Three seconds of leader before it, ten seconds cut out of its middle: the
// times move by what the edit moved, exactly known; the cue that was cut is
// kept aside word for word; every other byte stays.
func TestMove(t *testing.T) {
	old := tune(60)
	cutFrom, cutTo, leader := 10*rate, 20*rate, 3*rate
	take := append(make([]float32, leader), old[:cutFrom]...)
	take = append(take, old[cutTo:]...)
	print, err := retake.Take(stream(t, old))
	if err != nil {
		t.Fatal(err)
	}
	m, err := retake.Align(print, stream(t, take))
	if err != nil {
		t.Fatal(err)
	}
	sc, faults := score.Read("score.yaml", []byte(before))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	moments := []time.Duration{2 * time.Second, 15500 * time.Millisecond, 31250 * time.Millisecond, 40 * time.Second}
	r, err := Move("score.yaml", []byte(before), sc, m, Options{
		Moment: func(i int) time.Duration { return moments[i] },
		Bar: func(at time.Duration) (score.Anchor, bool) {
			return score.Anchor{Kind: "bar", Bar: int(at / (2 * time.Second)), Beat: 1}, true
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := strings.NewReplacer(
		"at: 0:02,", "at: 0:05.000,",
		"  - {cue: 2, on: hit 0:15.5, look: dark, why: cut away}\n", "",
		"end of swell 0:31.250", "end of swell 0:24.250",
		"bar 20", "bar 16",
		"from: 0:30, to: 0:35", "from: 0:23.000, to: 0:28.000",
	).Replace(before)
	if string(r.Score) != want {
		t.Errorf("got\n%s\nwant\n%s", r.Score, want)
	}
	if !strings.Contains(r.Aside, "  - {cue: 2, on: hit 0:15.5, look: dark, why: cut away}\n") {
		t.Errorf("kept aside: %q", r.Aside)
	}
	for i, c := range r.Cues {
		if c.Cut != (i == 1) || c.Doubtful {
			t.Errorf("cue %s: %+v", c.Number, c)
		}
	}
}

// A take that holds nothing of the score is refused, and nothing is written.
func TestWrongFile(t *testing.T) {
	print, err := retake.Take(stream(t, tune(20)))
	if err != nil {
		t.Fatal(err)
	}
	m, err := retake.Align(print, stream(t, make([]float32, 20*rate)))
	if err != nil {
		t.Skipf("an empty take is refused already: %v", err)
	}
	sc, _ := score.Read("score.yaml", []byte(before))
	_, err = Move("score.yaml", []byte(before), sc, m, Options{Moment: func(int) time.Duration { return 5 * time.Second }})
	if err == nil || !strings.Contains(err.Error(), "is it the right file?") {
		t.Errorf("a silent take: %v", err)
	}
}
