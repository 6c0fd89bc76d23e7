package vorbis

import "math"

// A transform is the inverse modified cosine transform of one block size n,
//
//	x(i) = Σ X(k)·cos(π/2n·(2i+1+n/2)(2k+1)), k < n/2, i < n,
//
// by a cosine transform of type IV of n/2 points, which is a complex Fourier
// transform of n/4 points between two rotations.
type transform struct {
	half    int         // n/2
	rotate  []complex64 // exp(-iπ(8j+1)/(4n))
	fourier *fourier
	work    []complex64
	y       []float32
}

func newTransform(n int) *transform {
	t := &transform{half: n / 2, fourier: newFourier(n / 4)}
	t.rotate = make([]complex64, n/4)
	t.work = make([]complex64, n/4)
	t.y = make([]float32, n/2)
	for j := range t.rotate {
		s, c := math.Sincos(-math.Pi * float64(8*j+1) / float64(4*n))
		t.rotate[j] = complex(float32(c), float32(s))
	}
	return t
}

// run transforms n/2 lines into n samples.
func (t *transform) run(lines, out []float32) {
	m := t.half
	lines = lines[:m]
	for j, r := range t.rotate {
		a, b := lines[2*j], lines[m-1-2*j]
		t.work[j] = complex(a*real(r)-b*imag(r), a*imag(r)+b*real(r))
	}
	u := t.fourier.run(t.work)
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

// fourier is a complex Fourier transform of a power of two of points: Stockham's
// form, which needs no reordering, with four branches at a time.
type fourier struct {
	n       int
	twiddle []complex64 // exp(-2πij/n)
	other   []complex64
}

func newFourier(n int) *fourier {
	f := &fourier{n: n, twiddle: make([]complex64, n), other: make([]complex64, n)}
	for j := range f.twiddle {
		s, c := math.Sincos(-2 * math.Pi * float64(j) / float64(n))
		f.twiddle[j] = complex(float32(c), float32(s))
	}
	return f
}

// run transforms x and returns the result, in x or in memory of its own.
func (f *fourier) run(x []complex64) []complex64 {
	y := f.other
	n, stride := f.n, 1
	for n >= 4 {
		f.four(x, y, n, stride)
		x, y = y, x
		n, stride = n/4, stride*4
	}
	if n == 2 {
		for q := range stride {
			a, b := x[q], x[q+stride]
			y[q], y[q+stride] = a+b, a-b
		}
		x = y
	}
	return x
}

// four is one pass: sub-transforms of n points each, stride of them interleaved.
func (f *fourier) four(x, y []complex64, n, stride int) {
	quarter := n / 4
	for p := range quarter {
		w1 := f.twiddle[p*stride]
		w2 := f.twiddle[2*p*stride]
		w3 := f.twiddle[3*p*stride]
		xa := x[stride*p:][:stride]
		xb := x[stride*(p+quarter):][:stride]
		xc := x[stride*(p+2*quarter):][:stride]
		xd := x[stride*(p+3*quarter):][:stride]
		ya := y[stride*4*p:][:stride]
		yb := y[stride*(4*p+1):][:stride]
		yc := y[stride*(4*p+2):][:stride]
		yd := y[stride*(4*p+3):][:stride]
		for q := range stride {
			a, b, c, d := xa[q], xb[q], xc[q], xd[q]
			ac, amc, bd := a+c, a-c, b+d
			bmd := complex(imag(b)-imag(d), real(d)-real(b)) // -i(b-d)
			ya[q] = ac + bd
			yb[q] = times(w1, amc+bmd)
			yc[q] = times(w2, ac-bd)
			yd[q] = times(w3, amc-bmd)
		}
	}
}

// times is the product without the care for infinities of the language's own.
func times(a, b complex64) complex64 {
	return complex(real(a)*real(b)-imag(a)*imag(b), real(a)*imag(b)+imag(a)*real(b))
}
