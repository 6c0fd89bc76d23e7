package play

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"gonum.org/v1/gonum/dsp/fourier"

	"lampblack/play/line"
	"lampblack/si"
)

// The test signal: pink noise, of the same power in every octave, between 500 Hz and 2 kHz,
// which small and large loudspeakers play alike and a room does not boom with (the band of
// EBU Tech 3276, for the levels of loudspeakers; from memory). Its level is -20 dBFS, the
// alignment level of SMPTE RP 155 (from memory), by root mean square against that of a
// full-scale sine (AES17, from memory): what a soundtrack of common loudness has.
const (
	testLevel si.Decibels = -20
	testLow               = 500.0  // Hz
	testHigh              = 2000.0 // Hz
	testFade              = 100 * time.Millisecond

	// TestTime is how long a test signal lasts.
	TestTime = 3 * time.Second
)

// testSignal is a test signal of one channel, the same every time.
func testSignal(rate int) *pcm {
	n := int(TestTime.Seconds() * float64(rate))
	f := fourier.NewFFT(n)
	rng := rand.New(rand.NewPCG(20, 500))
	bins := make([]complex128, n/2+1)
	for k := range bins {
		hz := float64(k) * float64(rate) / float64(n)
		if hz < testLow || hz > min(testHigh, .45*float64(rate)) {
			continue
		}
		// Pink: power as 1/f. The phases alone are drawn, so that each third of an octave
		// has its share exactly.
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		a := 1 / math.Sqrt(hz)
		bins[k] = complex(a*cos, a*sin)
	}
	wave := f.Sequence(nil, bins)
	square := 0.0
	for _, v := range wave {
		square += v * v
	}
	p := &pcm{rate: rate, channels: 1, samples: make([]int16, n)}
	if square == 0 {
		return p // the rate is too low for any of the band
	}
	gain := testLevel.Amplitude() / math.Sqrt2 * 32767 / math.Sqrt(square/float64(n))
	for i, v := range wave {
		p.samples[i] = rounded(float32(gain * v))
	}
	return p
}

// Test plays the test signal on one channel for [TestTime], in place of one that plays. It is
// no louder than -20 dBFS whatever the hall's trims say; a trim that lowers the channel does.
func (s *Speakers) Test(channel int) error {
	signal := s.signal()
	s.beside.Lock()
	defer s.beside.Unlock()
	to := line.Channels{First: channel, Last: channel}
	if err := s.has(to); err != nil {
		return err
	}
	if s.test != nil {
		s.mix.Load().drop(s.test)
	}
	r, err := newReel(signal, nil)
	if err != nil {
		return fmt.Errorf("test signal: %w", err)
	}
	r.shape = Shape{FadeIn: testFade, FadeOut: testFade}.of(signal, nil)
	s.test = &voice{from: r, to: to, toward: 1, once: true, even: true}
	s.mix.Load().plays(s.test)
	return nil
}

// Tests tells whether a test signal is heard.
func (s *Speakers) Tests() bool {
	s.beside.Lock()
	defer s.beside.Unlock()
	return s.test != nil && s.mix.Load().has(s.test)
}
