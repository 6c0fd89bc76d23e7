package play

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
	"testing/synctest"
	"time"

	"gonum.org/v1/gonum/dsp/fourier"

	"lampblack/play/clock"
	"lampblack/play/line"
	"lampblack/si"
)

// constant is a track of one value in both channels, a thousand frames a second.
func constant(value int16, length time.Duration) *pcm {
	p := &pcm{rate: 1000, channels: 2, samples: make([]int16, 2*length/time.Millisecond)}
	for i := range p.samples {
		p.samples[i] = value
	}
	return p
}

// cosine is a fade of a raised cosine by itself: half a period of a cosine, taken at the
// middles of n frames.
func cosine(i, n float64) float64 { return .5 - .5*math.Cos(math.Pi*(i+.5)/n) }

// near tells whether a sample is what is wanted, but for the rounding of each of the gains.
func near(got int16, want float64) bool { return math.Abs(float64(got)-want) < 1.6 }

// A level and fades of a piece, against samples reckoned by the definitions: 20 lg of the
// amplitudes, and half periods of cosines.
func TestLevelAndFadesOfAPiece(t *testing.T) {
	r := wound(constant(10000, 10*time.Second))
	r.shape = Shape{Level: -6.0206, FadeIn: 2 * time.Second, FadeOut: 3 * time.Second}.of(r.track, r.joins)
	got := r.all(10_000, pieces())
	for i := range 10_000 {
		want := 5000.0
		if i < 2000 {
			want *= cosine(float64(i), 2000)
		}
		if i >= 7000 {
			want *= cosine(float64(9999-i), 3000)
		}
		if !near(got[2*i], want) || got[2*i] != got[2*i+1] {
			t.Fatalf("frame %d: %d, want %.1f", i, got[2*i], want)
		}
	}
	if next := r.at(8 * time.Second); next.all(1, pieces())[0] != got[2*8000] {
		t.Error("from within the fade on it is another")
	}
}

// Fades leave loops alone, so that every pass is as loud: a fade in ends before the first, a
// fade out begins behind the last.
func TestFadesLeaveLoopsAlone(t *testing.T) {
	r := wound(constant(10000, 10*time.Second), clock.Loop{From: time.Second, To: 3 * time.Second}, clock.Loop{From: 8 * time.Second, To: 9 * time.Second})
	r.shape = Shape{FadeIn: 5 * time.Second, FadeOut: 5 * time.Second}.of(r.track, r.joins)
	r.pass([]int{3, 2})
	got := r.all(15_000, pieces())
	for i := 1000; i < 8000+4000+1000+1000; i++ {
		if !near(got[2*i], 10000) {
			t.Fatalf("frame %d: %d, want full", i, got[2*i])
		}
	}
	if first, last := got[2*400], got[2*14_700]; first == 10000 || last == 10000 {
		t.Errorf("it neither fades in nor out: %d, %d", first, last)
	}
}

// A sound that is stopped fades on while its clock stands, and comes again from where the
// clock is; a hand lowers what runs, and jumps leave it so.
func TestStopFadesAndAHandLowers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := &speaker{rate: 1000, channels: 2, ahead: 50}
		on := speakersOn(t, d)
		defer on.Close()
		s := zone(t, on, pair, constant(10000, time.Minute))
		defer s.Close()
		s.Run(time.Now(), 0)
		time.Sleep(5 * time.Second)
		before := len(d.took()) / 2
		s.HoldOver(time.Now(), 2*time.Second)
		at := s.Read(time.Now()).Position
		for range 80 { // the device takes what it is to play, asked or not
			time.Sleep(50 * time.Millisecond)
			_, _, _ = d.heard()
		}
		if now := s.Read(time.Now()); now.Position != at || now.State != clock.Held {
			t.Errorf("stopped at %v it is at %v, %v", at, now.Position, now.State)
		}
		got := d.took()
		begin := before
		for begin < len(got)/2 && got[2*begin] == 10000 {
			begin++
		}
		if late := begin - before; late > 250 {
			t.Errorf("it begins to fade %d frames late", late)
		}
		for i := begin - 20; i < len(got)/2; i++ {
			want := 0.0
			for _, off := range []int{-25, 0} { // the first frames of the fade are full in whole numbers
				want = 10000 * (1 - cosine(min(max(float64(i-begin-off), -.5), 1999.5), 2000))
				if math.Abs(float64(got[2*i])-want) < 500 {
					break
				}
			}
			if math.Abs(float64(got[2*i])-want) >= 500 {
				t.Fatalf("frame %d of the fade: %d, want %.0f", i-begin, got[2*i], want)
			}
		}
		if last := got[len(got)-2]; last != 0 {
			t.Errorf("behind the fade it is at %d", last)
		}
		s.Run(time.Now(), at)
		time.Sleep(2 * time.Second)
		if now := s.Read(time.Now()); (now.Position - at - 2*time.Second).Abs() > 150*time.Millisecond {
			t.Errorf("2 s after it went on it is at %v, from %v", now.Position, at)
		}
		if got := d.took(); got[len(got)-1] != 10000 {
			t.Errorf("gone on it is at %d", got[len(got)-1])
		}
		s.Lower(.25, time.Second)
		time.Sleep(2 * time.Second)
		if got := d.took(); got[len(got)-1] != 2500 {
			t.Errorf("lowered by 12 dB it is at %d", got[len(got)-1])
		}
		s.Run(time.Now(), 20*time.Second)
		time.Sleep(time.Second)
		if got := d.took(); got[len(got)-1] != 2500 {
			t.Errorf("after a jump it is at %d", got[len(got)-1])
		}
		s.Lower(1, time.Second)
		time.Sleep(2 * time.Second)
		if got := d.took(); got[len(got)-1] != 10000 {
			t.Errorf("as it was it is at %d", got[len(got)-1])
		}
	})
}

// An extra sound is added to what runs, sample for sample, and moves it by nothing; it begins
// anew when asked for again, and is taken out over a time.
func TestExtraSoundsPlayOver(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := &speaker{rate: 1000, channels: 4, ahead: 50}
		on := speakersOn(t, d)
		defer on.Close()
		on.extras = []*extra{{name: "bell", track: constant(4000, 2*time.Second), shape: Shape{Level: -6.0206}, to: pair}, {name: "wind", track: constant(1000, time.Minute), to: line.Channels{First: 3, Last: 4}}}
		s := zone(t, on, pair, constant(10000, time.Minute))
		defer s.Close()
		s.Run(time.Now(), 0)
		sound := func() [4]int16 { g := d.took(); return [4]int16(g[len(g)-4:]) }
		is := func(what string, want [4]int16) {
			t.Helper()
			time.Sleep(300 * time.Millisecond)
			if got := sound(); got != want {
				t.Errorf("%s: %v, want %v", what, got, want)
			}
		}
		is("alone", [4]int16{10000, 10000, 0, 0})
		first := s.Read(time.Now()).Position
		begun := time.Now()
		for name, err := range map[string]error{"bell": nil, "wind": nil, "drum": ErrNoExtra} {
			if got := on.Extra(name); got != err {
				t.Errorf("%s: %v, want %v", name, got, err)
			}
		}
		is("with both", [4]int16{12000, 12000, 1000, 1000})
		time.Sleep(time.Second)
		_ = on.Extra("bell")
		time.Sleep(time.Second)
		is("the bell anew", [4]int16{12000, 12000, 1000, 1000})
		time.Sleep(time.Second)
		is("the bell over", [4]int16{10000, 10000, 1000, 1000})
		if names := on.Extras(); names[0] != "" || names[1] != "wind" {
			t.Errorf("%q are heard", names)
		}
		on.Quiet(time.Second)
		time.Sleep(1200 * time.Millisecond)
		is("quiet", [4]int16{10000, 10000, 0, 0})
		if names := on.Extras(); names[1] != "" || len(on.mix.Load().voices) != 1 {
			t.Errorf("%q are heard, by %d voices", names, len(on.mix.Load().voices))
		}
		if now := s.Read(time.Now()); now.State != clock.Runs || (now.Position-first-time.Since(begun)).Abs() > time.Millisecond {
			t.Errorf("meanwhile the soundtrack has come from %v to %v in %v", first, now.Position, time.Since(begun))
		}
	})
}

// A channel's level and delay in the hall: against a mix that is shifted and scaled by itself.
func TestTrimsOfAHall(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 6))
	track := &pcm{rate: 1000, channels: 2, samples: make([]int16, 8000)}
	for i := range track.samples {
		track.samples[i] = int16(rng.IntN(20001) - 10000)
	}
	m := newMixer(format{rate: 1000, channels: 3})
	m.trim(1, Trim{Level: -20, Delay: 30 * time.Millisecond})
	m.trim(2, Trim{Level: 20, Delay: time.Hour})
	settle := mixed(m, 400, pieces()) // until the trims have come
	if settle[399] != nil && settle[399][0] != 0 {
		t.Fatal("it is not silent")
	}
	m.add(wound(track), pair)
	out := mixed(m, 4000, pieces())
	gain := si.DecibelsOf(2).Amplitude() * .9976 // 6 dB is the most: 10^(6/20) = 1.9953
	for i := 300; i < 4000; i++ {
		left, right := float64(track.at(int64(i-30), 0))*.1, float64(track.at(int64(i-300), 1))*gain
		if !near(out[i][0], left) || math.Abs(float64(out[i][1])-right) > 3 || out[i][2] != 0 {
			t.Fatalf("frame %d: %v, want %.1f, %.1f and silence", i, out[i], left, right)
		}
	}
	if d := m.delay(pair); d != 30 {
		t.Errorf("the pair is heard %d frames late, want 30", d)
	}
	// A change goes over without a click: no step is larger than those of either.
	c := newMixer(format{rate: 1000, channels: 1})
	c.add(wound(&pcm{rate: 1000, channels: 1, samples: constant(10000, time.Second).samples}), line.Channels{First: 1, Last: 1})
	mixed(c, 100, pieces())
	c.trim(1, Trim{Level: -6.0206, Delay: 20 * time.Millisecond})
	last := 10000.0
	for i, f := range mixed(c, 200, pieces()) {
		if d := math.Abs(float64(f[0]) - last); d > 1000 {
			t.Errorf("%d frames after the change it leaps by %.0f", i, d)
		}
		last = float64(f[0])
	}
	if last != 5000 {
		t.Errorf("then it is at %.0f, want 5000", last)
	}
}

// The test signal, taken apart by a Fourier transform: -20 dBFS by its root mean square, none
// of it outside 500 Hz to 2 kHz, the same power in both octaves, and on one channel alone. A
// trim that raises the channel makes it no louder, one that lowers does.
func TestTestSignal(t *testing.T) {
	const rate = 48000
	d := &speaker{rate: rate, channels: 4, ahead: 4800}
	synctest.Test(t, func(t *testing.T) {
		on := speakersOn(t, d)
		defer on.Close()
		on.Trim(2, Trim{Level: 6})
		on.Trim(3, Trim{Level: -12})
		if err := on.Test(5); err == nil {
			t.Error("a channel that there is not has played")
		}
		heard := func(channel int) []float64 {
			t.Helper()
			time.Sleep(time.Second)
			_, _, _ = d.heard()
			from := len(d.took()) / 4
			if err := on.Test(channel); err != nil {
				t.Fatal(err)
			}
			time.Sleep(TestTime + time.Second)
			_, _, _ = d.heard()
			if on.Tests() {
				t.Error("it does not end")
			}
			var wave []float64
			for i, got := from, d.took(); i < from+int(TestTime.Seconds()*rate); i++ {
				for c := range 4 {
					if c == channel-1 {
						wave = append(wave, float64(got[4*i+c])/32767)
					} else if got[4*i+c] != 0 {
						t.Fatalf("channel %d is heard while %d is meant", c+1, channel)
					}
				}
			}
			return wave[rate/5 : len(wave)-rate/5] // without the fades
		}
		level := func(wave []float64) float64 {
			sum := 0.0
			for _, v := range wave {
				sum += v * v
			}
			return 20 * math.Log10(math.Sqrt(2*sum/float64(len(wave)))) // of a full-scale sine
		}
		wave := heard(1)
		if l := level(wave); math.Abs(l+20) > .3 {
			t.Errorf("it is at %.2f dBFS", l)
		}
		if l := level(heard(2)); math.Abs(l+20) > .3 {
			t.Errorf("raised by a trim it is at %.2f dBFS", l)
		}
		if l := level(heard(3)); math.Abs(l+32) > .3 {
			t.Errorf("lowered by 12 dB it is at %.2f dBFS", l)
		}
		octaves := map[bool]float64{}
		outside := 0.0
		for k, c := range fourier.NewFFT(len(wave)).Coefficients(nil, hann(wave)) {
			hz, power := float64(k)*rate/float64(len(wave)), cmplx.Abs(c)*cmplx.Abs(c)
			switch {
			case hz < 490 || hz > 2010:
				outside += power
			default:
				octaves[hz < 1000] += power
			}
		}
		if db := 10 * math.Log10(octaves[true]/octaves[false]); math.Abs(db) > .5 {
			t.Errorf("its octaves differ by %.2f dB", db)
		}
		if db := 10 * math.Log10(outside/(octaves[true]+octaves[false])); db > -50 {
			t.Errorf("%.1f dB of it lie outside its band", db)
		}
	})
}

// hann is the wave under a window that keeps its edges out of the spectrum.
func hann(wave []float64) []float64 {
	out := make([]float64, len(wave))
	for i, v := range wave {
		out[i] = v * cosine(2*float64(i), float64(len(wave)))
	}
	return out
}
