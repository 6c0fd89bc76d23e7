// Package fourier is a complex Fourier transform of a power of two of points in
// float32: plan it once with [New], then call [Transform.Run] as often as there are
// blocks.
//
//	X(k) = Σ x(j)·exp(-2πijk/n),  j and k from 0 to n-1
//
// It is Stockham's form of the fast transform, which needs no reordering of its result,
// four branches at a time. A pass reads one array and writes the other; after each the
// sub-transforms are a quarter as long and four times as many, lying interleaved.
//
// Its tests hold it to 1e-6·√n for parts between -½ and ½. There is no scaling by 1/n
// and no inverse: conjugate the input and the output for that.
package fourier

import (
	"fmt"
	"math"
)

// A Transform is planned for one number of points. It is for one goroutine.
type Transform struct {
	n       int
	twiddle []complex64 // exp(-2πij/n)
	other   []complex64
}

// New plans a transform of n points; n is a power of two, at least 1.
func New(n int) *Transform {
	if n < 1 || n&(n-1) != 0 {
		panic(fmt.Sprintf("fourier: %d points: want a power of two", n))
	}
	f := &Transform{n: n, twiddle: make([]complex64, n), other: make([]complex64, n)}
	for j := range f.twiddle {
		s, c := math.Sincos(-2 * math.Pi * float64(j) / float64(n))
		f.twiddle[j] = complex(float32(c), float32(s))
	}
	return f
}

// Run returns X(k) = Σ x(j)·exp(-2πijk/n). Both x and the memory of the
// Transform are written to, and the result lies in one of them.
func (f *Transform) Run(x []complex64) []complex64 {
	if len(x) != f.n {
		panic(fmt.Sprintf("fourier: %d points given to a transform of %d", len(x), f.n))
	}
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
func (f *Transform) four(x, y []complex64, n, stride int) {
	quarter := n / 4
	for p := range quarter {
		w1, w2, w3 := f.twiddle[p*stride], f.twiddle[2*p*stride], f.twiddle[3*p*stride]
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
