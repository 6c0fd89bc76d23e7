package timecode_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"lampblack/wire/timecode"
)

// render returns a signal from the given address on.
func render(t testing.TB, o timecode.EncoderOptions) []float32 {
	t.Helper()
	e, err := timecode.NewEncoder(o)
	if err != nil {
		t.Fatal(err)
	}
	s := make([]float32, e.Samples())
	for at := 0; at < len(s); { // in pieces of odd sizes: they must not show
		n := e.Read(s[at:min(len(s), at+1+at%997)])
		if n == 0 {
			t.Fatalf("the signal ends after %d of %d samples", at, len(s))
		}
		at += n
	}
	return s
}

func decode(fs int, s []float32, rate ...timecode.Rate) []timecode.Received {
	d := timecode.NewDecoder(fs, rate...)
	var got []timecode.Received
	for chunk := range slices.Chunk(s, 1001) {
		d.Feed(chunk, func(r timecode.Received) { got = append(got, r) })
	}
	return got
}

// checkFrames wants the frames from first on, each where it should be, and not
// more than missing of them missing. Where "at" maps a frame's offset in s to
// where it lies now.
func checkFrames(t *testing.T, got []timecode.Received, start timecode.Time, frames, missing int, fs float64, tolerance float64) {
	t.Helper()
	if len(got) < frames-missing || len(got) > frames {
		t.Fatalf("%v: got %d frames, want %d, at most %d fewer", start.Rate, len(got), frames, missing)
	}
	worst := 0.0
	for i, r := range got {
		n := r.Count() - start.Count()
		if r.Rate != start.Rate || n < 0 || n >= int64(frames) {
			t.Fatalf("%v: frame %d is %v (%v)", start.Rate, i, r.Time, r.Rate)
		}
		num, den := r.Rate.Fraction()
		worst = max(worst, math.Abs(r.Start-float64(n)*fs*float64(den)/float64(num)))
	}
	if worst > tolerance {
		t.Errorf("%v: a frame's start is %.2f samples off, want at most %.2f", start.Rate, worst, tolerance)
	}
}

func TestCleanSignalAtAllRates(t *testing.T) {
	for _, r := range timecode.Rates {
		for _, fs := range []int{8000, 22050, 44100, 48000, 96000, 192000} {
			start := r.Frame(r.Day() - 100) // over midnight, over dropped numbers
			if r.Drop() {
				start = parse(t, r, "00:09:57;00")
			}
			s := render(t, timecode.EncoderOptions{Start: start, SampleRate: fs, Frames: 150})
			got := decode(fs, s, r)
			if len(got) != 150 {
				t.Errorf("%v at %d Hz: got %d frames of 150", r, fs, len(got))
			}
			for i, f := range got {
				if want := start.Add(int64(i)); f.Time != want {
					t.Fatalf("%v at %d Hz: frame %d is %v, want %v", r, fs, i, f.Time, want)
				}
			}
		}
	}
}

// Without being told the rate.
func TestFindsTheRate(t *testing.T) {
	for _, r := range timecode.Rates {
		start := parse(t, r, "10:00:00:00")
		s := render(t, timecode.EncoderOptions{Start: start, SampleRate: 48000, Frames: 200})
		checkFrames(t, decode(48000, s), start, 200, 1, 48000, 0.2)
	}
	// At 25 frames a second, played 6 % slow: faster than 24 would be wrong.
	start := parse(t, timecode.Rate25, "10:00:00:00")
	s := render(t, timecode.EncoderOptions{Start: start, SampleRate: 48000, Frames: 200})
	got := decode(45000, s)
	if last := got[len(got)-1]; last.Rate != timecode.Rate25 || last.Count() != start.Count()+199 {
		t.Errorf("slow 25: ends with %v at %v", last.Time, last.Rate)
	}
}

// damage returns the signal with gain, sense, offset and white noise at a
// signal-to-noise ratio in dB over the whole band of the sample rate.
func damage(s []float32, gain, offset, snr float64, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 1))
	power := 0.0
	for _, x := range s {
		power += float64(x) * float64(x)
	}
	sigma := math.Sqrt(power/float64(len(s))) * math.Pow(10, -snr/20)
	out := make([]float32, len(s))
	for i, x := range s {
		out[i] = float32(gain*(float64(x)+sigma*rng.NormFloat64()) + offset)
	}
	return out
}

func TestLevelsSensesOffsets(t *testing.T) {
	for _, r := range timecode.Rates {
		start := parse(t, r, "01:02:03:04")
		s := render(t, timecode.EncoderOptions{Start: start, SampleRate: 48000, Frames: 60, Level: 1})
		for _, c := range []struct{ gain, offset float64 }{{1, 0}, {-1, 0}, {0.001, 0}, {-0.01, 0.2}, {20, -3}} {
			checkFrames(t, decode(48000, damage(s, c.gain, c.offset, 40, 7), r), start, 60, 3, 48000, 1)
		}
	}
}

func TestNoise(t *testing.T) {
	for _, r := range timecode.Rates {
		start := parse(t, r, "01:02:03:04")
		s := render(t, timecode.EncoderOptions{Start: start, SampleRate: 48000, Frames: 1500})
		for _, c := range []struct {
			snr     float64
			missing int
		}{{20, 1}, {9, 15}, {6, 1000}} {
			got := decode(48000, damage(s, 1, 0, c.snr, 11), r)
			t.Logf("%v, %2.0f dB: %d of 1500 frames", r, c.snr, len(got))
			checkFrames(t, got, start, 1500, c.missing, 48000, 2)
		}
	}
}

// Wow: the speed swings by 4 % three times a second, as on a worn tape.
func TestWow(t *testing.T) {
	for _, r := range timecode.Rates {
		start := parse(t, r, "05:00:00:00")
		s := render(t, timecode.EncoderOptions{Start: start, SampleRate: 48000, Frames: 250})
		var bent []float32
		for pos, i := 0.0, 0; pos < float64(len(s)-2); i++ {
			k := int(pos)
			u := float32(pos - float64(k))
			bent = append(bent, s[k]*(1-u)+s[k+1]*u)
			pos += 1 + 0.04*math.Sin(2*math.Pi*3*float64(i)/48000)
		}
		got := decode(48000, damage(bent, 1, 0, 25, 3), r)
		if len(got) < 248 {
			t.Errorf("%v: %d of 250 frames", r, len(got))
		}
		for i := 1; i < len(got); i++ {
			if got[i].Time != got[i-1].Add(1) {
				t.Fatalf("%v: %v after %v", r, got[i].Time, got[i-1].Time)
			}
		}
	}
}

func TestReverse(t *testing.T) {
	start := parse(t, timecode.Rate25, "05:00:00:00")
	s := render(t, timecode.EncoderOptions{Start: start, SampleRate: 48000, Frames: 100})
	slices.Reverse(s)
	got := decode(48000, s, timecode.Rate25)
	if len(got) < 98 {
		t.Fatalf("%d of 100 frames", len(got))
	}
	for i, r := range got {
		want := float64(len(s)-1) - 1920*float64(r.Count()-start.Count())
		if !r.Reverse || math.Abs(r.Start-want) > 1 || i > 0 && r.Time != got[i-1].Add(-1) {
			t.Fatalf("frame %d: %v at %.1f, want it at %.1f", i, r.Time, r.Start, want)
		}
	}
}

// After a jump nothing is passed on that was not there.
func TestJumpAndGap(t *testing.T) {
	r := timecode.Rate25
	a, b := parse(t, r, "01:00:00:00"), parse(t, r, "02:00:00:00")
	s := render(t, timecode.EncoderOptions{Start: a, SampleRate: 48000, Frames: 50})
	first := len(s)
	s = append(s, make([]float32, 30000)...)
	s = append(s, render(t, timecode.EncoderOptions{Start: b, SampleRate: 48000, Frames: 50})...)
	jumps := 0
	for _, f := range decode(48000, s, r) {
		want := a.Add(int64(math.Round(f.Start / 1920)))
		if f.Start > float64(first) {
			want = b.Add(int64(math.Round((f.Start - float64(first) - 30000) / 1920)))
		}
		if f.Time != want {
			t.Errorf("at %.0f: %v, want %v", f.Start, f.Time, want)
		}
		if f.Jump {
			jumps++
		}
	}
	if jumps != 2 {
		t.Errorf("%d jumps, want 2: the beginning and the jump", jumps)
	}
}

// No frame is a wrong one, whatever comes in.
func TestNoiseAloneSaysNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	d := timecode.NewDecoder(48000)
	chunk := make([]float32, 48000)
	for range 60 {
		for i := range chunk {
			chunk[i] = float32(rng.NormFloat64())
		}
		d.Feed(chunk, func(r timecode.Received) { t.Errorf("noise says %v", r.Time) })
	}
	for i, bad := range []float32{float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1)), 3e38} {
		chunk[i] = bad
	}
	d.Feed(chunk, func(timecode.Received) {})
	start := parse(t, timecode.Rate30, "05:00:00:00")
	n := 0
	d.Feed(render(t, timecode.EncoderOptions{Start: start, SampleRate: 48000, Frames: 90}), func(timecode.Received) { n++ })
	if n < 60 {
		t.Errorf("after NaN and infinity: %d of 90 frames", n)
	}
}

func TestEncoderOptions(t *testing.T) {
	good := timecode.EncoderOptions{Start: timecode.Rate25.Frame(0), SampleRate: 48000, Frames: 1}
	for _, spoil := range []func(*timecode.EncoderOptions){
		func(o *timecode.EncoderOptions) { o.SampleRate = 4000 },
		func(o *timecode.EncoderOptions) { o.Level = 1.5 },
		func(o *timecode.EncoderOptions) { o.Frames = -1 },
		func(o *timecode.EncoderOptions) { o.Start.Frame = 25 },
	} {
		o := good
		spoil(&o)
		if _, err := timecode.NewEncoder(o); err == nil {
			t.Errorf("%+v is taken", o)
		}
	}
	for _, x := range render(t, good) {
		if x > 0.5 || x < -0.5 {
			t.Fatalf("level %v, want at most 0.5", x)
		}
	}
}

func FuzzDecoder(f *testing.F) {
	f.Add([]byte{0, 255, 0, 255, 128}, uint8(20))
	f.Fuzz(func(t *testing.T, b []byte, hold uint8) {
		d := timecode.NewDecoder(8000)
		for _, v := range b {
			for range hold%8 + 1 {
				d.Feed([]float32{float32(v)/127.5 - 1}, func(r timecode.Received) {
					if err := r.Check(); err != nil {
						t.Error(err)
					}
				})
			}
		}
	})
}

func BenchmarkEncode(b *testing.B) {
	e, _ := timecode.NewEncoder(timecode.EncoderOptions{Start: timecode.Rate30.Frame(0), SampleRate: 48000})
	chunk := make([]float32, 48000)
	for b.Loop() {
		e.Read(chunk)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "x-real-time")
}

func BenchmarkDecode(b *testing.B) {
	s := render(b, timecode.EncoderOptions{Start: timecode.Rate30.Frame(0), SampleRate: 48000, Frames: 30})
	d := timecode.NewDecoder(48000, timecode.Rate30)
	for b.Loop() {
		d.Feed(s, func(timecode.Received) {})
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "x-real-time")
}
