package vorbis

import (
	"math"

	"lampblack/soundfile/fourier"
)

// A transform is the inverse modified cosine transform of one block size n,
//
//	x(i) = Σ X(k)·cos(π/2n·(2i+1+n/2)(2k+1)), k < n/2, i < n,
//
// by a cosine transform of type IV of n/2 points, which is a complex Fourier
// transform of n/4 points between two rotations.
type transform struct {
	half    int         // n/2
	rotate  []complex64 // exp(-iπ(8j+1)/(4n))
	fourier *fourier.Transform
	work    []complex64
	y       []float32
}

// newTransform plans for blocks of n samples, a power of two from 64, as the format has them.
func newTransform(n int) *transform {
	t := &transform{half: n / 2, fourier: fourier.New(n / 4)}
	t.rotate = make([]complex64, n/4)
	t.work = make([]complex64, n/4)
	t.y = make([]float32, n/2)
	for j := range t.rotate {
		s, c := math.Sincos(-math.Pi * float64(8*j+1) / float64(4*n))
		t.rotate[j] = complex(float32(c), float32(s))
	}
	return t
}

// run transforms n/2 lines into n samples. Both are of at least that length; lines are
// left as they are.
//
//	work(j) = (X(2j) + i·X(m-1-2j)) · rotate(j),  U = Fourier transform of work,
//	y(2k) - i·y(m-1-2k) = U(k) · rotate(k)
//
// is the cosine transform of type IV, y(k) = Σ X(j)·cos(π/m·(j+½)(k+½)), with m = n/2.
func (t *transform) run(lines, out []float32) {
	m := t.half
	lines = lines[:m]
	for j, r := range t.rotate {
		a, b := lines[2*j], lines[m-1-2*j]
		t.work[j] = complex(a*real(r)-b*imag(r), a*imag(r)+b*real(r))
	}
	u := t.fourier.Run(t.work)
	for k, r := range t.rotate {
		a, b := real(u[k]), imag(u[k])
		t.y[2*k] = a*real(r) - b*imag(r)
		t.y[m-1-2*k] = -(a*imag(r) + b*real(r))
	}
	// Unfold: y(m/2..), -y(m-1..0), -y(0..m/2-1).
	h := m / 2
	copy(out[:h], t.y[h:])
	for i, v := range t.y {
		out[h+m-1-i] = -v
	}
	for i, v := range t.y[:h] {
		out[h+m+i] = -v
	}
}
