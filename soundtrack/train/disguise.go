package main

import (
	"math"
	"math/rand/v2"

	"lampblack/soundtrack/truth"
)

// disguise changes a sound in place as recordings, desks and loudspeakers do: level, a tilt of the
// spectrum, a high or low cut, compression into saturation, a bed of noise. Each comes by chance.
func disguise(x []float32, r *rand.Rand) {
	if r.Float64() < 0.3 {
		onePole(x, 300+3000*r.Float64(), float32(r.Float64()*1.6-0.8))
	}
	if r.Float64() < 0.15 {
		onePole(x, 2500+5000*r.Float64(), -1) // what lies above is gone
	}
	if r.Float64() < 0.15 {
		low := append([]float32{}, x...)
		onePole(low, 100+200*r.Float64(), -1)
		for i := range x {
			x[i] -= low[i]
		}
	}
	level(x, 1)
	if r.Float64() < 0.3 {
		drive := 1 + 5*r.Float64()
		for i, v := range x {
			x[i] = float32(math.Tanh(drive * float64(v)))
		}
	}
	level(x, float32(math.Pow(10, -(1+29*r.Float64())/20)))
	if r.Float64() < 0.2 {
		bed := float32(math.Pow(10, -(45+25*r.Float64())/20))
		for i := range x {
			x[i] += bed * float32(r.NormFloat64())
		}
	}
}

// onePole adds to x by how much what lies above a frequency is to be stronger (tilt > 0) or
// weaker: out = low + (1 + tilt)·(x - low).
func onePole(x []float32, hz float64, tilt float32) {
	a := float32(1 - math.Exp(-2*math.Pi*hz/truth.Rate))
	low := float32(0)
	for i, v := range x {
		low += a * (v - low)
		x[i] = low + (1+tilt)*(v-low)
	}
}

// level brings the largest sample to a value.
func level(x []float32, to float32) {
	top := float32(1e-6)
	for _, v := range x {
		top = max(top, v, -v)
	}
	for i := range x {
		x[i] *= to / top
	}
}
