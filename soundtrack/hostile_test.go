package soundtrack

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"math"
	"testing"
	"time"

	"lampblack/soundtrack/truth"
)

// sane checks what must hold of every track.
func sane(t *testing.T, track *Track) {
	t.Helper()
	last := time.Duration(0)
	for _, m := range track.Moments {
		if m.Time < last || m.Time < 0 || m.Time > track.Duration || m.End < m.Time || m.End > track.Duration {
			t.Fatalf("moment out of order or place: %+v of %v", m, track.Duration)
		}
		if !(m.Strength >= 0 && m.Strength <= 1) || m.Why == "" {
			t.Fatalf("moment without strength or reason: %+v", m)
		}
		if m.Kind == Hit && (m.Low > m.Time || m.High < m.Time || m.Rank < 1) {
			t.Fatalf("hit outside its interval, or unranked: %+v", m)
		}
		last = m.Time
	}
	for _, c := range []Curve{track.Loudness, track.ShortTerm, track.Bands[0], track.Bands[1], track.Bands[2], track.Centre} {
		for _, v := range c.Values {
			if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
				t.Fatal("a curve holds no number")
			}
		}
	}
	if math.IsNaN(track.Programme) || math.IsNaN(track.Range) {
		t.Fatal("loudness is no number")
	}
	if _, err := json.Marshal(track); err != nil {
		t.Fatal(err)
	}
	if _, err := track.Picture("x.svg"); err != nil {
		t.Fatal(err)
	}
}

func TestOddSound(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	fill := func(n int, f func(i int) float32) []float32 {
		x := make([]float32, n)
		for i := range x {
			x[i] = f(i)
		}
		return x
	}
	music := truth.Groove{Seed: 4, Length: 8 * time.Second, BPM: 120, Drums: true}.Play().Samples
	for _, c := range []struct {
		name           string
		rate, channels int
		samples        []float32
	}{
		{"nothing", 44100, 2, nil},
		{"one sample", 44100, 1, []float32{0.5}},
		{"one frame of six", 48000, 6, []float32{1, 1, 1, 1, 1, 1}},
		{"silence", 44100, 2, make([]float32, 2*44100)},
		{"not a number", 44100, 1, fill(44100, func(int) float32 { return nan })},
		{"infinite", 44100, 2, fill(44100, func(i int) float32 { return inf * float32(1-2*(i&1)) })},
		{"some of it not numbers", 44100, 1, fill(88200, func(i int) float32 {
			if i%1000 == 0 {
				return nan
			}
			return music[i]
		})},
		{"enormous", 44100, 1, fill(44100, func(i int) float32 { return 3e38 * float32(1-2*(i&1)) })},
		{"denormal", 44100, 1, fill(44100, func(int) float32 { return 1e-42 })},
		{"steady offset", 44100, 1, fill(88200, func(int) float32 { return 0.9 })},
		{"square at full scale", 44100, 1, fill(88200, func(i int) float32 { return float32(1 - 2*(i/50%2)) })},
		{"8 kHz", 8000, 1, fill(40000, func(i int) float32 { return music[i*44100/8000] })},
		{"11.025 kHz", 11025, 1, fill(40000, func(i int) float32 { return music[i*4] })},
		{"192 kHz, six channels", 192000, 6, fill(6*96000, func(i int) float32 { return music[i/6*441/1920] })},
		{"1 kHz", 1000, 1, fill(3000, func(i int) float32 { return music[i*44] })},
	} {
		track := analyse(t, &memory{c.rate, c.channels, c.samples})
		if track.Duration != frameTime(int64(len(c.samples)/c.channels), c.rate) {
			t.Errorf("%s: %v long", c.name, track.Duration)
		}
		sane(t, track)
	}
}

// The same music at other rates and in other channels gives the same hits.
func TestRateAndChannelsDoNotMatter(t *testing.T) {
	music := truth.Groove{Seed: 4, Length: 12 * time.Second, BPM: 96, Drums: true}.Play()
	want := times(analyse(t, mono(music.Samples)).Ranked(20))
	six := make([]float32, 0, 6*len(music.Samples))
	twice := make([]float32, 0, 2*len(music.Samples))
	for i, v := range music.Samples {
		six = append(six, v, v, v, 0, v, v)
		next := music.Samples[min(i+1, len(music.Samples)-1)]
		twice = append(twice, v, (v+next)/2)
	}
	for name, s := range map[string]*memory{"six channels": {truth.Rate, 6, six}, "88.2 kHz": {2 * truth.Rate, 1, twice}} {
		got, found := analyse(t, s), 0
		for _, at := range want {
			if _, ok := got.Nearest(Hit, at, 5*time.Millisecond); ok {
				found++
			}
		}
		if found < len(want)-1 {
			t.Errorf("%s: %d of %d hits found again within 5 ms", name, found, len(want))
		}
	}
}

func TestImpossibleFormat(t *testing.T) {
	for _, m := range []*memory{{0, 1, nil}, {44100, 0, nil}, {-1, 2, nil}, {1 << 30, 1, nil}} {
		if m.channels == 0 {
			continue // the stream itself could not say its length
		}
		if _, err := Analyse(context.Background(), m, Options{}); err == nil {
			t.Errorf("%d Hz was listened to", m.rate)
		}
	}
}

// An attack on the first sample has the whole sound for its after; one on the
// last has none.
func TestHitAtTheStart(t *testing.T) {
	s := truth.One("bell", 3, 2*time.Second).Samples[truth.Rate/2:]
	hits := analyse(t, mono(s)).Hits()
	if len(hits) == 0 || hits[0].Time > 12*time.Millisecond {
		t.Errorf("hits %v", times(hits))
	}
}

func FuzzAnalyse(f *testing.F) {
	f.Add([]byte{0, 0, 0x80, 0x3f, 0, 0, 0xc0, 0x7f}, uint16(44100), uint8(1))
	f.Add([]byte("a sound made of letters, long enough to be one"), uint16(8000), uint8(2))
	f.Add(make([]byte, 4000), uint16(48000), uint8(6))
	f.Fuzz(func(t *testing.T, b []byte, rate uint16, channels uint8) {
		m := &memory{rate: int(rate), channels: int(channels%8) + 1}
		for len(b) >= 4 {
			v := math.Float32frombits(binary.LittleEndian.Uint32(b))
			// Each number is held for a while, so that few bytes make a sound.
			for range 40 * m.channels {
				m.samples = append(m.samples, v)
			}
			b = b[4:]
		}
		track, err := Analyse(context.Background(), m, Options{})
		if err == nil {
			sane(t, track)
		}
	})
}
