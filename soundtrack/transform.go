package soundtrack

import "math"

// point is one complex number, float32 as the whole front end.
type point struct{ re, im float32 }

// transform computes power spectra of real, windowed frames of n samples, n a
// power of two from 64. It packs the n reals as n/2 complex numbers (even
// samples real, odd samples imaginary), runs a radix-4 Stockham transform
// (autosorting, so no bit reversal), and separates the halves.
// One goroutine at a time may use it.
type transform struct {
	n      int
	stages []stage
	post   []point       // e^(-2πik/n), k = 0..n/4
	a, b   []point       // work space, n/2 each
	open   [][24]float32 // factors of the first pass for opening
	plain  bool          // leave the vector code alone, for tests
}

// stage is one radix-4 pass over sub-transforms of length 4*len(w).
type stage struct {
	w      [][3]point // e^(-2πip/len), and its square and cube
	stride int
}

// newTransform tabulates the factors. Passes of four leave sub-transforms of length 1 or,
// when n/2 is an odd power of two, of length 2, which pairs closes.
func newTransform(n int) *transform {
	if n < 64 || n&(n-1) != 0 {
		panic("soundtrack: transform length is no power of two")
	}
	m := n / 2
	f := &transform{n: n, a: make([]point, m), b: make([]point, m)}
	stride := 1
	for l := m; l > 2; l /= 4 {
		w := make([][3]point, l/4)
		for p := range w {
			for k := range 3 {
				w[p][k] = turn(p*(k+1), l)
			}
		}
		f.stages = append(f.stages, stage{w, stride})
		stride *= 4
	}
	f.open = openingFactors(f.stages[0].w)
	f.post = make([]point, m/2+1)
	for k := range f.post {
		f.post[k] = turn(k, n)
	}
	return f
}

// turn returns e^(-2πi·k/n).
func turn(k, n int) point {
	s, c := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
	return point{float32(c), float32(s)}
}

// power writes |X[k]|² for k = 0..n/2 of window·samples into dst and returns
// it. len(samples) and len(window) must be n, len(dst) n/2+1.
func (f *transform) power(dst, samples, window []float32) []float32 {
	x, y := f.b, f.a
	f.start(x, samples, window)
	for i := range f.stages[1:] {
		if s := &f.stages[i+1]; vectors && !f.plain {
			s.vectorPass(y, x)
		} else {
			s.pass(y, x)
		}
		x, y = y, x
	}
	if m := f.n / 2; m&0x55555555 == 0 { // an odd power of two: one radix-2 pass is left
		pairs(y, x)
		x = y
	}
	return f.separate(dst, x)
}

// start windows the samples and runs the first pass.
func (f *transform) start(x []point, samples, window []float32) {
	if len(samples) != f.n || len(window) != f.n {
		panic("soundtrack: frame of wrong length")
	}
	if vectors && !f.plain {
		opening(&x[0], &samples[0], &window[0], len(x)/4, &f.open[0])
		return
	}
	pack(f.a, samples, window)
	f.stages[0].first(x, f.a)
}

// openingFactors lays out the factors of the first pass for opening.
func openingFactors(w [][3]point) [][24]float32 {
	out := make([][24]float32, len(w)/2)
	for i := range out {
		for k := range 3 {
			a, b := w[2*i][k], w[2*i+1][k]
			copy(out[i][8*k:], []float32{a.re, a.re, b.re, b.re, -a.im, a.im, -b.im, b.im})
		}
	}
	return out
}

// vectorPass is pass by vectors; its stride is a multiple of four.
func (s *stage) vectorPass(y, x []point) {
	n, st := len(s.w), s.stride
	x, y = x[:4*n*st], y[:4*n*st]
	for p := range s.w {
		butterflies(&y[st*4*p], &x[st*p], st*n, st, st, &s.w[p])
	}
}

// pack windows the samples and makes complex numbers of pairs of them.
func pack(x []point, samples, window []float32) {
	samples, window = samples[:2*len(x)], window[:2*len(x)]
	for i := range x {
		x[i] = point{samples[2*i] * window[2*i], samples[2*i+1] * window[2*i+1]}
	}
}

// first is pass with stride 1: the sub-transform is as long as the array.
func (s *stage) first(y, x []point) {
	n := len(s.w)
	x0, x1, x2, x3 := x[:n], x[n:2*n], x[2*n:3*n], x[3*n:4*n]
	y = y[:4*n]
	for p, a := range x0 {
		w, b, c, d, out := &s.w[p], x1[p], x2[p], x3[p], y[4*p:4*p+4:4*p+4]
		sr, si, tr, ti := a.re+c.re, a.im+c.im, a.re-c.re, a.im-c.im
		ur, ui, vr, vi := b.re+d.re, b.im+d.im, b.re-d.re, b.im-d.im
		out[0] = point{sr + ur, si + ui}
		pr, pi := tr+vi, ti-vr
		out[1] = point{pr*w[0].re - pi*w[0].im, pr*w[0].im + pi*w[0].re}
		pr, pi = sr-ur, si-ui
		out[2] = point{pr*w[1].re - pi*w[1].im, pr*w[1].im + pi*w[1].re}
		pr, pi = tr-vi, ti+vr
		out[3] = point{pr*w[2].re - pi*w[2].im, pr*w[2].im + pi*w[2].re}
	}
}

// pass computes y[q+s(4p+k)] = w^kp · Σ_j x[q+s(p+jn/4)] (-i)^jk.
func (s *stage) pass(y, x []point) {
	n, st := len(s.w), s.stride
	for p := range s.w {
		butterfly(y[st*4*p:][:st], y[st*(4*p+1):][:st], y[st*(4*p+2):][:st], y[st*(4*p+3):][:st],
			x[st*p:][:st], x[st*(p+n):][:st], x[st*(p+2*n):][:st], x[st*(p+3*n):][:st], &s.w[p])
	}
}

// butterfly runs len(x0) butterflies that share their factors w.
func butterfly(y0, y1, y2, y3, x0, x1, x2, x3 []point, w *[3]point) {
	n := len(x0)
	x1, x2, x3 = x1[:n], x2[:n], x3[:n]
	y0, y1, y2, y3 = y0[:n], y1[:n], y2[:n], y3[:n]
	w1, w2, w3 := w[0], w[1], w[2]
	for q, a := range x0 {
		b, c, d := x1[q], x2[q], x3[q]
		sr, si, tr, ti := a.re+c.re, a.im+c.im, a.re-c.re, a.im-c.im
		ur, ui, vr, vi := b.re+d.re, b.im+d.im, b.re-d.re, b.im-d.im
		y0[q] = point{sr + ur, si + ui}
		pr, pi := tr+vi, ti-vr
		y1[q] = point{pr*w1.re - pi*w1.im, pr*w1.im + pi*w1.re}
		pr, pi = sr-ur, si-ui
		y2[q] = point{pr*w2.re - pi*w2.im, pr*w2.im + pi*w2.re}
		pr, pi = tr-vi, ti+vr
		y3[q] = point{pr*w3.re - pi*w3.im, pr*w3.im + pi*w3.re}
	}
}

// pairs is the closing radix-2 pass over sub-transforms of length 2.
func pairs(y, x []point) {
	h := len(x) / 2
	x0, x1, y0, y1 := x[:h], x[h:][:h], y[:h], y[h:][:h]
	for q := range x0 {
		a, b := x0[q], x1[q]
		y0[q] = point{a.re + b.re, a.im + b.im}
		y1[q] = point{a.re - b.re, a.im - b.im}
	}
}

// separate turns the transform Z of the packed samples into the power
// spectrum: with E = (Z[k]+Z*[m-k])/2 and O = (Z[k]-Z*[m-k])/2i,
// X[k] = E + e^(-2πik/n)·O and X[m-k] = (E - e^(-2πik/n)·O)*.
func (f *transform) separate(dst []float32, z []point) []float32 {
	m := len(z)
	dst = dst[:m+1]
	d0, dm := z[0].re+z[0].im, z[0].re-z[0].im
	dst[0], dst[m] = d0*d0, dm*dm
	post := f.post[:m/2+1]
	for k := 1; k < len(post); k++ {
		a, b, w := z[k], z[m-k], post[k]
		er, ei := a.re+b.re, a.im-b.im
		or, oi := a.im+b.im, b.re-a.re
		pr, pi := or*w.re-oi*w.im, or*w.im+oi*w.re
		xr, xi, yr, yi := er+pr, ei+pi, er-pr, ei-pi
		dst[k] = 0.25 * (xr*xr + xi*xi)
		dst[m-k] = 0.25 * (yr*yr + yi*yi)
	}
	return dst
}
