package living

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/stat"
)

// welch is the power spectral density of x by Welch's method (1967): Hann windows of n
// samples, half overlapped, one-sided, per hertz; k·rate/n is the frequency of bin k.
func welch(x []float32, rate float64, n int) []float64 {
	window, power := make([]float64, n), 0.0
	for i := range window {
		window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n))
		power += window[i] * window[i]
	}
	mean := 0.0
	for _, v := range x {
		mean += float64(v) / float64(len(x))
	}
	transform, out, count := fourier.NewFFT(n), make([]float64, n/2+1), 0
	buffer := make([]float64, n)
	for from := 0; from+n <= len(x); from += n / 2 {
		for i := range buffer {
			buffer[i] = (float64(x[from+i]) - mean) * window[i]
		}
		for k, c := range transform.Coefficients(nil, buffer) {
			out[k] += 2 * (real(c)*real(c) + imag(c)*imag(c)) / (power * rate)
		}
		count++
	}
	for k := range out {
		out[k] /= float64(count)
	}
	return out
}

// slope is the exponent of the power law that fits a spectrum from one frequency to another,
// by least squares over third octaves.
func slope(psd []float64, width, from, to float64) float64 {
	var x, y []float64
	for f := from; f < to*0.999; f *= math.Cbrt(2) {
		x = append(x, math.Log(f*math.Pow(2, 1./6)))
		y = append(y, math.Log(mean(psd, width, f, f*math.Cbrt(2))))
	}
	_, b := stat.LinearRegression(x, y, nil, false)
	return b
}

// mean is a spectrum's mean between two frequencies; width is that of a bin.
func mean(psd []float64, width, from, to float64) float64 {
	low := max(int(math.Ceil(from/width)), 1)
	high := min(max(int(to/width), low), len(psd)-1)
	return stat.Mean(psd[low:high+1], nil)
}

// tallest is the greatest ratio of a bin to the median of the 40 bins around it, with its
// frequency: how far a line would stand above the continuum.
func tallest(psd []float64, width float64) (ratio, at float64) {
	const around = 20
	for k := around + 2; k+around < len(psd); k++ {
		near := slices.Clone(psd[k-around : k+around+1])
		slices.Sort(near)
		if r := psd[k] / near[around]; r > ratio {
			ratio, at = r, float64(k)*width
		}
	}
	return ratio, at
}
