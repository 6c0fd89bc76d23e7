package play

import (
	"math"
	"time"

	"lampblack/play/line"
)

// A click: 8 ms that rise from 1 to 3 kHz, which small loudspeakers play and the low noise of a
// room does not cover; at its peak as loud as the test signal is.
const (
	clickTime          = 8 * time.Millisecond
	clickFrom, clickTo = 1000.0, 3000.0 // Hz
)

// Clicks is a soundtrack of clicks that begin at those times, on channels that nothing else
// plays on: they go the way that any soundtrack goes.
func (s *Speakers) Clicks(at []time.Duration, to line.Channels) (*Sound, error) {
	s.seek()
	if err := s.take(to); err != nil {
		return nil, err
	}
	r, err := newReel(clickTrack(at, s.rate()), nil)
	if err != nil {
		s.free(to)
		return nil, err
	}
	return s.play(r, to), nil
}

// clickTrack ends a second after the last click.
func clickTrack(at []time.Duration, rate int) *pcm {
	p := &pcm{rate: rate, channels: 1}
	end := time.Second
	for _, t := range at {
		end = max(end, t+time.Second)
	}
	p.samples = make([]int16, p.frame(end))
	length := clickTime.Seconds()
	for _, t := range at {
		from := p.frame(t)
		for i := int64(0); i < p.frame(clickTime) && from >= 0; i++ {
			s := float64(i) / float64(rate)
			phase := 2 * math.Pi * (clickFrom*s + (clickTo-clickFrom)/2/length*s*s)
			p.samples[from+i] = rounded(float32(testLevel.Amplitude() * 32767 * math.Sin(math.Pi*s/length) * math.Sin(phase)))
		}
	}
	return p
}
