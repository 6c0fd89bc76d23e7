package play

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"lampblack/demo"
	"lampblack/play/clock"
)

// Which law of gains suits music? Of joins at marks in a soundtrack the level in the
// middle 5 ms of the fade is held against the mean power of the two sides there. Gains
// made for how alike the sides are beat equal gain and equal power, at marks that lie
// bars apart as at marks that lie anywhere; beside it stands the steepest bend of the
// fade against the steepest of its sides.
//
//	LAMPBLACK_LONG=1 go test ./play -run TestJoinsOfMusic -v
//
// LAMPBLACK_SOUNDS may name sound files to be measured as well, at marks anywhere.
func TestJoinsOfMusic(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("the example soundtrack takes a while: set LAMPBLACK_LONG=1")
	}
	plan := demo.TheLanternFish()
	var wav bytes.Buffer
	if err := demo.Synthesise(&wav, plan, nil); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "demo.wav")
	if err := os.WriteFile(path, wav.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(5, 6))
	track, err := load(t.Context(), path, 0)
	if err != nil {
		t.Fatal(err)
	}
	var bars []time.Duration
	for _, b := range plan.Beats {
		if b.Beat == 1 {
			bars = append(bars, b.Time)
		}
	}
	measureJoins(t, "example soundtrack, bars", track, func() clock.Loop {
		i := r.IntN(len(bars) - 4)
		return clock.Loop{From: bars[i], To: bars[i+1+r.IntN(3)]}
	})
	anywhere := func(track *pcm) func() clock.Loop {
		return func() clock.Loop {
			from := time.Duration(r.Int64N(int64(track.length() * 2 / 3)))
			return clock.Loop{From: from, To: from + clock.MinLoop + time.Duration(r.Int64N(int64(track.length()/4)))}
		}
	}
	measureJoins(t, "example soundtrack, anywhere", track, anywhere(track))
	for _, name := range filepath.SplitList(os.Getenv("LAMPBLACK_SOUNDS")) {
		track, err := load(t.Context(), name, 0)
		if err != nil {
			t.Fatal(err)
		}
		measureJoins(t, filepath.Base(name)+", anywhere", track, anywhere(track))
	}
}

// measureJoins measures 200 joins that are not in silence.
func measureJoins(t *testing.T, what string, track *pcm, draw func() clock.Loop) {
	t.Helper()
	const made, gain, power = 0, 1, 2
	off := make([][]float64, 3)
	var like, bends []float64
	for tries := 0; len(like) < 200 && tries < 5000; tries++ {
		j := newJoin(track, draw())
		n := track.frame(joinTime)
		out, in := window(track, j.to+j.first, n), window(track, j.from+j.first, n)
		mid := func(s []int16) []int16 { return s[len(s)/3 : len(s)*2/3] }
		sides := math.Sqrt((rms(mid(out))*rms(mid(out)) + rms(mid(in))*rms(mid(in))) / 2)
		if sides < 100 || j.end() <= 0 || rms(out) < 30 || rms(in) < 30 {
			continue // under -50 dB nobody hears it
		}
		r := j.likeness(track, j.end())
		like = append(like, r)
		for law, of := range []float64{made: r, gain: 1, power: 0} {
			l := j
			l.out, l.in = nil, nil
			l.crossed(n, of)
			fade := make([]int16, int(n)*track.channels)
			l.mix(fade, track, l.first, l.to+l.first, l.from+l.first, n)
			off[law] = append(off[law], math.Abs(dB(rms(mid(fade))/sides)))
			if law == made {
				bends = append(bends, bend(fade, track.channels)/max(bend(out, track.channels), bend(in, track.channels)))
			}
		}
	}
	mean := func(v []float64) float64 {
		sum := 0.
		for _, x := range v {
			sum += x
		}
		return sum / float64(len(v))
	}
	line := fmt.Sprintf("%s: %d joins, likeness %.2f; beside the mean power:", what, len(like), mean(like))
	for law, name := range []string{made: "made for it", gain: "equal gain", power: "equal power"} {
		slices.Sort(off[law])
		line += fmt.Sprintf(" %s %.2f dB (one in ten over %.1f);", name, mean(off[law]), off[law][len(like)*9/10])
	}
	slices.Sort(bends)
	t.Logf("%s steepest bend %.2f of the sides' (at most %.2f)", line, mean(bends), bends[len(bends)-1])
	if mean(off[made]) > min(mean(off[gain]), mean(off[power])) {
		t.Errorf("%s: another law keeps the level better", what)
	}
	if most := bends[len(bends)-1]; most > 1.5 {
		t.Errorf("%s: a join bends %.2f times as steeply as its sides", what, most)
	}
}

// window is n frames of a track.
func window(track *pcm, at, n int64) []int16 {
	c := int64(track.channels)
	return track.samples[at*c : (at+n)*c]
}

// bend is the largest second difference: what a click is made of.
func bend(s []int16, channels int) float64 {
	most := 0.
	for i := 2 * channels; i < len(s); i++ {
		most = max(most, math.Abs(float64(s[i])-2*float64(s[i-channels])+float64(s[i-2*channels])))
	}
	return most
}
