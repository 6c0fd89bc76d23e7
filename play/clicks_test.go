package play

import (
	"math"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/line"
)

// Clicks begin to the sample where they should, peak at -20 dBFS (the alignment level of SMPTE
// RP 155, from memory), have their power from 1 to 3 kHz, and are silence between.
func TestClickTrack(t *testing.T) {
	const rate = 48000
	at := []time.Duration{time.Second, 1800 * time.Millisecond}
	p := clickTrack(at, rate)
	peak, first := 0.0, -1
	for i, v := range p.samples {
		since := i - rate
		if i >= rate*18/10 {
			since = i - rate*18/10
		}
		if v != 0 && first < 0 {
			first = i
		}
		if v != 0 && (since < 0 || since > rate*8/1000) {
			t.Fatalf("sample %d is %d", i, v)
		}
		peak = max(peak, math.Abs(float64(v))/32767)
	}
	if first < rate || first > rate+4 {
		t.Errorf("the first click begins at sample %d", first)
	}
	if db := 20 * math.Log10(peak); db > -19.9 || db < -21 {
		t.Errorf("the peak is %.1f dBFS", db)
	}
	power := func(hz float64) float64 {
		re, im := 0.0, 0.0
		for i, v := range p.samples[rate : rate+rate*8/1000] {
			sin, cos := math.Sincos(2 * math.Pi * hz * float64(i) / rate)
			re, im = re+float64(v)*cos, im+float64(v)*sin
		}
		return re*re + im*im
	}
	if power(2000) < 100*power(300) || power(2000) < 100*power(6000) {
		t.Error("the power of a click is not about 2 kHz")
	}
}

// Clicks are a clock as a soundtrack is, on channels of their own.
func TestClicksAreASoundtrack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := speakersOn(t, &speaker{rate: 1000, channels: 2, ahead: 70})
		c, err := s.Clicks([]time.Duration{time.Second}, pair)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.Clicks(nil, line.Channels{First: 2, Last: 2}); err == nil {
			t.Error("two on one channel")
		}
		c.Run(time.Now(), 0)
		time.Sleep(time.Second + beginTime)
		if r := c.Read(time.Now()); r.Position < 900*time.Millisecond || r.Position > 1100*time.Millisecond {
			t.Errorf("%+v", r)
		}
		c.Close()
		s.Close()
	})
}
