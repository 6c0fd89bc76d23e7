package soundtrack

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"lampblack/soundfile"
)

// Aloud writes s as a 16-bit WAV file, 6 dB lower, with a signal at each of the moments, so that
// an ear can judge in a minute what was found. Each kind has a sound of its own:
//
//	hit    a tick of noise, the louder the stronger      turn   two high tones, a second long
//	beat   a short tone of 1 kHz; bar: a longer one,     swell  tones that climb at its start,
//	       an octave higher                                     and fall at its end
//	hush   a low double knock at its start and end       voice  a buzz at its start and end
//
// Nothing clips: the sound is held to half of full scale, and the signals to less than half.
func (t *Track) Aloud(ctx context.Context, w io.Writer, s soundfile.Stream, moments []Moment) error {
	f := s.Format()
	frames := int64(math.Round(t.Duration.Seconds() * float64(f.Rate)))
	out, err := soundfile.NewWAVWriter(w, soundfile.Format{Rate: f.Rate, Channels: f.Channels, Bits: 16, Frames: frames})
	if err != nil {
		return err
	}
	m := mixer{rate: f.Rate, channels: f.Channels, coming: signals(moments)}
	buf := make([]float32, chunk*f.Channels)
	for frames > 0 {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := s.Read(buf[:min(chunk, int(frames))*f.Channels])
		if err := out.Write(m.mix(buf[:n*f.Channels])); err != nil {
			return err
		}
		frames -= int64(n)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return fmt.Errorf("listen: at %v: %w", m.now(), err)
		}
	}
	return out.Close()
}

// signal is one sound to come.
type signal struct {
	at, length time.Duration
	level      float64
	value      func(t float64) float64 // at t seconds from its start, -1 to 1
}

// signals are those of moments, by time. What lasts has one at either end.
func signals(moments []Moment) []signal {
	var out []signal
	for _, m := range moments {
		s := signalOf(m)
		s.at = m.Time
		out = append(out, s)
		switch m.Kind {
		case Swell:
			out = append(out, signal{m.End, s.length, s.level, glide(1600, 400)})
		case Hush, Voice:
			s.at = m.End
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b signal) int { return cmp.Compare(a.at, b.at) })
	return out
}

func signalOf(m Moment) signal {
	const ms = time.Millisecond
	switch m.Kind {
	case Hit:
		return signal{length: 12 * ms, level: 0.3 + 0.7*m.Strength, value: noiseAt}
	case Bar:
		return signal{length: 60 * ms, level: 0.8, value: tone(2000)}
	case Beat:
		return signal{length: 25 * ms, level: 0.6, value: tone(1000)}
	case Turn:
		return signal{length: time.Second, level: 0.6, value: func(t float64) float64 { return 0.5*tone(1320)(t) + 0.5*tone(1980)(t) }}
	case Swell:
		return signal{length: 250 * ms, level: 0.7, value: glide(400, 1600)}
	case Hush:
		return signal{length: 160 * ms, level: 0.9, value: func(t float64) float64 { return tone(120)(t) * math.Exp(-30*math.Mod(t, 0.08)) }}
	}
	return signal{length: 200 * ms, level: 0.5, value: func(t float64) float64 { return 2*math.Mod(220*t, 1) - 1 }}
}

func tone(hz float64) func(float64) float64 {
	return func(t float64) float64 { return math.Sin(2 * math.Pi * hz * t) }
}

// glide goes from one pitch to another within its quarter of a second.
func glide(from, to float64) func(float64) float64 {
	return func(t float64) float64 { return math.Sin(2 * math.Pi * (from*t + (to-from)*t*t/0.5)) }
}

// noiseAt is noise without a random number: the same file for the same moments.
func noiseAt(t float64) float64 {
	v := math.Sin(t*1e5) * 43758.5453
	return 2*(v-math.Floor(v)) - 1
}

// mixer adds signals to sound as it passes.
type mixer struct {
	rate, channels int
	frame          int64
	coming, heard  []signal
}

func (m *mixer) now() time.Duration { return frameTime(m.frame, m.rate) }

// mix changes samples in place and returns them.
func (m *mixer) mix(samples []float32) []float32 {
	for i := 0; i < len(samples); i += m.channels {
		add := m.next()
		for c := range m.channels {
			v := float64(samples[i+c])
			if v != v {
				v = 0
			}
			samples[i+c] = float32(0.5*min(max(v, -1), 1) + add)
		}
	}
	return samples
}

// next is the sum of the signals at the next frame, held to 0.45. Each fades out over its length.
func (m *mixer) next() float64 {
	now := m.now()
	m.frame++
	for len(m.coming) > 0 && m.coming[0].at <= now {
		m.heard, m.coming = append(m.heard, m.coming[0]), m.coming[1:]
	}
	if len(m.heard) == 0 {
		return 0
	}
	m.heard = slices.DeleteFunc(m.heard, func(s signal) bool { return now >= s.at+s.length })
	sum := 0.0
	for _, s := range m.heard {
		t := (now - s.at).Seconds()
		sum += s.level * s.value(t) * (1 - t/s.length.Seconds())
	}
	return 0.45 * math.Tanh(sum)
}
