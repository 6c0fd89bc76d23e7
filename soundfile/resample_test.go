package soundfile

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func tone(rate int, hz, seconds float64) []float32 {
	out := make([]float32, int(seconds*float64(rate)))
	for i := range out {
		out[i] = float32(0.9 * math.Sin(2*math.Pi*hz*float64(i)/float64(rate)))
	}
	return out
}

// TestResampleTones compares with the formula of the tone at the new rate: no
// delay, no change of level, and nothing of what the new rate cannot hold.
func TestResampleTones(t *testing.T) {
	cases := []struct {
		from, to int
		hz       float64
		least    float64 // dB of signal to error; or, for 0, of suppression
	}{
		{44100, 48000, 997, 120}, {44100, 48000, 19000, 100}, {48000, 44100, 997, 120}, {48000, 44100, 18000, 100},
		{44100, 22050, 3000, 120}, {22050, 44100, 9000, 100}, {96000, 44100, 10000, 120}, {8000, 48000, 3000, 110},
		{192000, 48000, 15000, 110}, {44100, 44101, 5000, 110}, {48000, 47777, 12000, 110}, {44100, 16000, 440, 120},
		{96000, 48000, 30000, 0}, {48000, 44100, 22800, 0}, {44100, 22050, 11600, 0}, {192000, 44100, 50000, 0}, {48000, 47777, 23950, 0},
	}
	for _, c := range cases {
		t.Run(fmt.Sprint(c.from, c.to, c.hz), func(t *testing.T) {
			got := resampleAll(tone(c.from, c.hz, 1), 1, c.from, c.to)
			if len(got) != c.to {
				t.Fatalf("%d frames of one second: want %d", len(got), c.to)
			}
			edge := c.to / 10 // where the tone begins and ends nothing is steady
			got = got[edge : len(got)-edge]
			if c.least > 0 {
				want := tone(c.to, c.hz, 1)
				if db := snr(want[edge:], got); db < c.least {
					t.Errorf("%.1f dB: want %.0f dB", db, c.least)
				}
				return
			}
			worst := 0.0
			for _, v := range got {
				worst = math.Max(worst, math.Abs(float64(v)))
			}
			if db := 20 * math.Log10(worst/0.9); db > -110 {
				t.Errorf("a tone past the new Nyquist frequency is left at %.1f dB: want -110 dB", db)
			}
		})
	}
}

// TestResampleAgainstSox compares with another resampler of known quality.
func TestResampleAgainstSox(t *testing.T) {
	need(t, "sox", "sox")
	src := music(44100, 2, 2, 5)
	in := writeWAV(t, 44100, 2, 32, src)
	for _, rate := range []int{48000, 22050, 96000} {
		out := in + fmt.Sprint(rate, ".wav")
		run(t, "sox", in, "-e", "floating-point", "-b", "32", out, "rate", "-v", fmt.Sprint(rate))
		want, _ := decodeFile(t, out)
		got := resampleAll(src, 2, 44100, rate)
		if len(got) != len(want) {
			t.Errorf("to %d Hz: %d samples, sox makes %d", rate, len(got), len(want))
		}
		// The filters differ near the Nyquist frequency, where noise has energy.
		if db := snr(want, got); db < 20 {
			t.Errorf("to %d Hz: %.1f dB from sox", rate, db)
		}
	}
}

// TestResamplePieces: the cut into pieces changes nothing, and the length is that
// of the input.
func TestResamplePieces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.IntRange(minRate, 50000).Draw(t, "from")
		to := rapid.IntRange(minRate, 50000).Draw(t, "to")
		ch := rapid.IntRange(1, 3).Draw(t, "channels")
		in := rapid.SliceOfN(rapid.Float32Range(-1, 1), 0, 900).Draw(t, "in")
		in = in[:len(in)/ch*ch]
		whole := resampleAll(in, ch, from, to)
		if from == to {
			return
		}
		r, err := NewResampler(from, to, ch)
		if err != nil {
			t.Fatal(err)
		}
		var pieces []float32
		for rest := in; len(rest) > 0; {
			n := min(rapid.IntRange(1, 100).Draw(t, "piece")*ch, len(rest))
			pieces = r.Append(pieces, rest[:n])
			rest = rest[n:]
		}
		if pieces = r.Flush(pieces); !slices.Equal(pieces, whole) {
			t.Fatalf("in pieces it makes other samples: %d and %d", len(pieces), len(whole))
		}
		if want := (len(in)/ch*to + from - 1) / from; len(whole) != want*ch {
			t.Fatalf("%d frames: want %d", len(whole)/ch, want)
		}
	})
}

// resampleAll returns all of src, interleaved, at another rate, in one
// piece. It panics on rates and channel counts that NewResampler
// refuses.
func resampleAll(src []float32, channels, from, to int) []float32 {
	if from == to {
		return append([]float32(nil), src...)
	}
	r, err := NewResampler(from, to, channels)
	if err != nil {
		panic("soundfile: " + err.Error())
	}
	out := make([]float32, 0, r.frames(int64(len(src)/channels))*int64(channels))
	return r.Flush(r.Append(out, src))
}

func BenchmarkResample(b *testing.B) {
	in := music(44100, 1, 10, 1)
	for b.Loop() {
		resampleAll(in, 1, 44100, 48000)
	}
	b.ReportMetric(10*float64(b.N)/b.Elapsed().Seconds(), "x-real-time")
}
