package soundtrack

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"lampblack/folder"
	"lampblack/soundtrack/truth"
)

// What listening found on one machine gives the same moments on another, which then does
// not listen itself, and keeps nothing.
func TestBrought(t *testing.T) {
	path := writeWAV(t, truth.Rate, 1, truth.Strikes(5, 20*time.Second).Samples)
	name, data, err := Take(t.Context(), path, "", Options{})
	if err != nil {
		t.Fatal(err)
	}
	brought, cache := t.TempDir(), filepath.Join(t.TempDir(), "none")
	if err := os.WriteFile(filepath.Join(brought, name), data, 0o600); err != nil {
		t.Fatal(err)
	}
	calls := 0
	got := listenTo(t, path, cache, Options{Brought: brought, Progress: func(float64) { calls++ }})
	if want := asJSON(t, listenTo(t, path, "", Options{})); !bytes.Equal(asJSON(t, got), want) {
		t.Error("what was brought gives another track")
	}
	if _, err := os.Stat(cache); calls != 1 || err == nil {
		t.Errorf("%d calls of Progress, cache made: %v; the file was heard again", calls, err == nil)
	}
	if _, again, _ := Take(t.Context(), path, "", Options{}); !bytes.Equal(again, data) {
		t.Error("the same sound gives other bytes to take along")
	}
}

// What somebody made up, whole and with its right sum, is either as none, or becomes a
// track like any other: nothing panics, however its parts fit together.
func TestBroughtFromAnybody(t *testing.T) {
	path := writeWAV(t, truth.Rate, 1, truth.Strikes(5, 6*time.Second).Samples)
	hash, _ := contentHash(t.Context(), path)
	honest, err := hearFile(t.Context(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	name := cacheName(dir, hash)
	taken := 0
	rounds := 60
	if os.Getenv("LAMPBLACK_LONG") != "" {
		rounds = 3000
	}
	for seed := range rounds {
		h := spoilt(honest, rand.New(rand.NewPCG(uint64(seed), 13)))
		data, err := encode(h)
		if err == nil {
			err = folder.WriteFile(t.Context(), name, data)
		}
		if err != nil {
			t.Fatal(err)
		}
		if k, err := kept(t.Context(), name); err == nil {
			taken++
			track := finished(k, hash, Options{})
			if _, err := json.Marshal(track); err != nil {
				t.Errorf("seed %d: %v", seed, err)
			}
		}
	}
	if taken == 0 || taken == rounds {
		t.Errorf("%d of %d were taken: the test tries one side alone", taken, rounds)
	}
}

// spoilt is a copy in which one to three things are not as they were heard.
func spoilt(h *heard, r *rand.Rand) *heard {
	c := *h
	c.Peaks = append([]peak(nil), h.Peaks...)
	c.Power = append([]float32(nil), h.Power...)
	odd := []float32{0, -1, 1e30, float32(math.NaN()), float32(math.Inf(1)), 0.5}
	for range 1 + r.IntN(3) {
		v := odd[r.IntN(len(odd))]
		cut := r.IntN(len(h.Power) + 1)
		switch r.IntN(14) {
		case 0:
			c.Rate = []int{0, -1, 1, 48000, math.MaxInt}[r.IntN(5)]
		case 1:
			c.Frames = []int64{0, -1, 1, math.MaxInt64, h.Frames + 1}[r.IntN(5)]
		case 2:
			c.Power = c.Power[:min(cut, len(c.Power))]
		case 3:
			c.Power[:1:1][0] = v
		case 4:
			c.Rises[r.IntN(3)] = h.Rises[0][:cut/2]
		case 5:
			c.Level[r.IntN(3)] = h.Level[0][:cut/4]
		case 6:
			c.Sketch.Colour = h.Sketch.Colour[:min(cut, len(h.Sketch.Colour))]
		case 7:
			c.Sketch.Chroma = nil
		case 8:
			c.Sketch.Peaky = h.Sketch.Peaky[:min(cut, len(h.Sketch.Peaky))]
		case 9:
			p := &c.Peaks[r.IntN(len(c.Peaks))]
			p.Time, p.Score = float64(v)*5, float64(odd[r.IntN(len(odd))])
		case 10:
			c.Peaks[r.IntN(len(c.Peaks))].Frame = []int32{0, -1, math.MinInt32, math.MaxInt32}[r.IntN(4)]
		case 11:
			p := &c.Peaks[r.IntN(len(c.Peaks))].Portrait
			p.Attack, p.Band[1], p.Low = v, v, v
		case 12:
			c.Centre = h.Centre[:min(cut, len(h.Centre)-1)]
		case 13:
			c.Loud[r.IntN(3)] = h.Loud[0][:cut/4]
		}
		if len(c.Power) == 0 {
			return &c
		}
	}
	return &c
}
