package truth

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"
)

// Sound is mono samples at Rate with the times of its attacks.
type Sound struct {
	Samples []float32
	Attacks []time.Duration
}

// Strikes synthesises length of random attacks of all kinds over beds that
// have none: surf, wind, a slow pad, a voice that slides. Levels and densities
// differ from seed to seed: a track has one to four voices, whose strikes come 40 ms to
// 1.4 s apart and differ by up to 12 dB, and is as a whole up to 25 dB softer.
func Strikes(seed uint64, length time.Duration) Sound {
	r := rand.New(rand.NewPCG(seed, 0x57))
	s := Sound{Samples: make([]float32, int(length.Seconds()*Rate))}
	if r.Float64() < 0.7 {
		bed(r, s.Samples, math.Pow(10, -(20+30*r.Float64())/20))
	}
	// The product of two draws makes short gaps the likelier ones.
	gap, spread := 0.08+0.6*r.Float64()*r.Float64(), 12*r.Float64()
	var names []string
	for range 1 + r.IntN(4) {
		names = append(names, struckNames[r.IntN(len(struckNames))])
	}
	at := 0.3
	for at < length.Seconds()-0.3 {
		i := int(at * Rate)
		level := 0.4 * math.Pow(10, -spread*r.Float64()/20)
		tail := s.Samples[i:min(len(s.Samples), i+int((0.1+2*r.Float64())*Rate))]
		struck[names[r.IntN(len(names))]](r, tail, level)
		s.Attacks = append(s.Attacks, time.Duration(at*float64(time.Second)))
		at += gap * (0.5 + 1.5*r.Float64())
	}
	gain := float32(math.Pow(10, -25*r.Float64()/20))
	for i := range s.Samples {
		s.Samples[i] *= gain
	}
	slices.Sort(s.Attacks)
	return s
}

// bed is sound without attacks: filtered noise that swells and ebbs, and a
// slow chord that slides.
func bed(r *rand.Rand, dst []float32, level float64) {
	a, low := 0.01+0.3*r.Float64(), 0.0
	rate, depth := 0.05+0.3*r.Float64(), 0.8*r.Float64()
	gain := level * math.Sqrt((2-a)/a)
	hz, slide := 150*math.Exp2(2*r.Float64()), 0.1*r.Float64()
	chord, phase := level*float64(r.IntN(2)), 0.0
	for i := range dst {
		t := float64(i) / Rate
		low += a * (2*r.Float64() - 1 - low)
		swell := 1 - depth*0.5*(1+math.Cos(2*math.Pi*rate*t))
		phase += 2 * math.Pi * hz * (1 + slide*math.Sin(2*math.Pi*0.2*t)) / Rate
		tone := math.Sin(phase) + 0.5*math.Sin(1.498*phase) + 0.3*math.Sin(2*phase)
		dst[i] += float32(swell * (gain*low + chord*tone))
	}
}

// One is a single sound of a named voice (pluck, bell, drum, click, burst,
// tone, wood) in silence, half a second from the start.
func One(name string, seed uint64, length time.Duration) Sound {
	s := Sound{Samples: make([]float32, int(length.Seconds()*Rate)), Attacks: []time.Duration{time.Second / 2}}
	struck[name](rand.New(rand.NewPCG(seed, 0x01)), s.Samples[Rate/2:], 0.4)
	return s
}
