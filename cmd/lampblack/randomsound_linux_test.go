package main

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
)

// sound is a soundtrack of a random show: one channel, written to as many as asked.
type sound struct {
	rate, channels, bits int
	samples              []float64
}

func randomSound(r *rand.Rand) sound {
	s := sound{
		rate:     pick(r, 8000, 11025, 16000, 22050, 44100, 48000),
		channels: 1 + r.IntN(2),
		bits:     pick(r, 16, 16, 16, 24, 8),
	}
	seconds := 2 + 10*r.Float64()
	if r.IntN(4) == 0 {
		seconds += 8 * r.Float64()
	}
	s.samples = make([]float64, int(seconds*float64(s.rate)))
	for range 1 + r.IntN(4) {
		s.add(r)
	}
	return s
}

// add lays one more voice over the track: clicks in time, a tone, a swell of noise, strokes out of time.
func (s *sound) add(r *rand.Rand) {
	n, rate := len(s.samples), float64(s.rate)
	from := r.IntN(n)
	switch r.IntN(5) {
	case 0: // clicks in time
		every := int(rate * (0.25 + 0.75*r.Float64()))
		for at := from % every; at < n; at += every {
			s.stroke(r, at, 0.7)
		}
	case 1: // strokes of bells
		for range 1 + r.IntN(8) {
			s.stroke(r, r.IntN(n), 0.3+0.6*r.Float64())
		}
	case 2: // a tone that stands
		step := 2 * math.Pi * (60 + 2000*r.Float64()) / rate
		for i := from; i < n; i++ {
			s.samples[i] += 0.2 * math.Sin(step*float64(i-from))
		}
	case 3: // a swell of noise
		for i := from; i < n; i++ {
			s.samples[i] += 0.5 * float64(i-from) / float64(n-from) * (2*r.Float64() - 1)
		}
	case 4: // a stretch without a sound
		clear(s.samples[from:min(n, from+s.rate)])
	}
}

func (s *sound) stroke(r *rand.Rand, at int, peak float64) {
	step := 2 * math.Pi * (150 + 3000*r.Float64()) / float64(s.rate)
	fade := math.Exp(-1 / (0.15 * float64(s.rate)))
	for i := at; i < len(s.samples) && peak > 1e-3; i++ {
		s.samples[i] += peak * math.Sin(step*float64(i-at))
		peak *= fade
	}
}

func (s sound) seconds() float64 { return float64(len(s.samples)) / float64(s.rate) }

// take is the same track as somebody might bring it anew: cut, extended,
// begun later, slower, another sound, or silence.
func (s sound) take(r *rand.Rand) sound {
	t := s
	n := len(s.samples)
	at := r.IntN(n)
	length := min(n-at, s.rate/2+r.IntN(2*s.rate))
	switch r.IntN(8) {
	case 0, 1: // cut
		t.samples = append(s.samples[:at:at], s.samples[at+length:]...)
	case 2, 3: // extended
		t.samples = append(append(s.samples[:at:at], make([]float64, length)...), s.samples[at:]...)
	case 4, 5: // slower
		by := 1.005 + 0.03*r.Float64()
		t.samples = make([]float64, int(float64(n)*by))
		for i := range t.samples {
			x := float64(i) / by
			j := min(int(x), n-2)
			t.samples[i] = s.samples[j] + (x-float64(j))*(s.samples[j+1]-s.samples[j])
		}
	case 6: // something else
		t = randomSound(r)
	case 7: // silence
		t.samples = make([]float64, n)
	}
	if len(t.samples) < s.rate/10 {
		t.samples = s.samples
	}
	return t
}

// wave is the track as a RIFF WAVE file of plain PCM.
func (s sound) wave() []byte {
	wide := s.bits / 8
	size := len(s.samples) * s.channels * wide
	var b bytes.Buffer
	b.Grow(44 + size)
	put := func(a ...any) {
		for _, x := range a {
			_ = binary.Write(&b, binary.LittleEndian, x) // to memory
		}
	}
	put([]byte("RIFF"), uint32(36+size), []byte("WAVEfmt "), uint32(16), uint16(1), uint16(s.channels),
		uint32(s.rate), uint32(s.rate*s.channels*wide), uint16(s.channels*wide), uint16(s.bits), []byte("data"), uint32(size))
	for _, x := range s.samples {
		x = max(-1, min(1, x))
		for range s.channels {
			switch s.bits {
			case 8:
				b.WriteByte(byte(128 + 127*x))
			case 16:
				i := int16(32767 * x)
				b.Write([]byte{byte(i), byte(i >> 8)})
			case 24:
				i := int32(8388607 * x)
				b.Write([]byte{byte(i), byte(i >> 8), byte(i >> 16)})
			}
		}
	}
	return b.Bytes()
}

func pick[T any](r *rand.Rand, all ...T) T { return all[r.IntN(len(all))] }

func one(r *rand.Rand, in int) bool { return r.IntN(in) == 0 }
