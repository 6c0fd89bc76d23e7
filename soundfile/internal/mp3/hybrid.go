package mp3

import "math"

// The hybrid step turns 576 lines into 18 samples in each of 32 subbands: alias
// reduction, inverse transforms with overlap, frequency inversion (2.4.3.4.10).

const (
	subbands = 32
	slots    = 18 // samples of a subband in a granule
)

// hybrid is the memory of one channel: what the last granule left to add.
type hybrid struct {
	overlap [subbands][slots]float32
	used    int // subbands from here on have no overlap
}

// run transforms the lines of channel ch in place: x[18*sb+t] becomes sample t of
// subband sb.
func (h *hybrid) run(g *granule, ch int) {
	x := &g.line[ch]
	long := subbands // subbands that hold long blocks
	if g.block[ch] == shortBlock {
		long = 0
		if g.mixed[ch] {
			long = 2
		}
	}
	used := (g.used[ch] + slots - 1) / slots
	// Between short blocks there are no butterflies: in a mixed block only the border
	// between its two long subbands has them.
	if used > 0 && long > 0 {
		reduceAlias(x, min(used, long-1))
		used = min(used+1, subbands) // the last butterfly reached over
	}
	for sb := range used {
		in := (*[slots]float32)(x[sb*slots:])
		kind := g.block[ch]
		if sb < long && kind == shortBlock {
			kind = longBlock
		}
		if kind == shortBlock {
			shortTransform(in, &h.overlap[sb])
		} else {
			longTransform(in, &h.overlap[sb], &windows[kind])
		}
	}
	// No lines came here, but the granule before left something to add.
	for sb := used; sb < h.used; sb++ {
		copy(x[sb*slots:(sb+1)*slots], h.overlap[sb][:])
		h.overlap[sb] = [slots]float32{}
	}
	h.invert(x, max(used, h.used))
	h.used = used
}

// invert negates every second sample of every second subband, and clears those
// that hold nothing. The filter bank turns the spectrum of every second subband round;
// this turns it back.
func (h *hybrid) invert(x *[lines]float32, used int) {
	for sb := 1; sb < used; sb += 2 {
		s := (*[slots]float32)(x[sb*slots:])
		for t := 1; t < slots; t += 2 {
			s[t] = -s[t]
		}
	}
	clear(x[used*slots:])
}

// aliasCS and aliasCA are the butterflies' factors from the c of table B.9.
var aliasCS, aliasCA = func() (cs, ca [8]float32) {
	for i, c := range [8]float64{-0.6, -0.535, -0.33, -0.185, -0.095, -0.041, -0.0142, -0.0037} {
		cs[i] = float32(1 / math.Sqrt(1+c*c))
		ca[i] = float32(c / math.Sqrt(1+c*c))
	}
	return cs, ca
}()

// reduceAlias runs the butterflies over the first borders between subbands
// (2.4.3.4.10.1). Neighbouring subbands overlap, so that a tone near the border shows in
// both; eight pairs of lines, mirrored about it, take the one's share out of the other.
func reduceAlias(x *[lines]float32, borders int) {
	for sb := 1; sb <= min(borders, subbands-1); sb++ {
		up := (*[8]float32)(x[sb*slots:])
		down := (*[8]float32)(x[sb*slots-8:])
		for i := range 8 {
			u, d := up[i], down[7-i]
			down[7-i] = d*aliasCS[i] - u*aliasCA[i]
			up[i] = u*aliasCS[i] + d*aliasCA[i]
		}
	}
}

// windows are those of 36 samples by block type (2.4.3.4.10.3); the short one is
// in shortWindow. A start block goes from a long slope to a short one, a stop block the
// other way, so that the slopes that overlap always fit: their squares add up to 1.
var windows = func() (w [4][36]float32) {
	sine := func(i int, n float64) float32 { return float32(math.Sin(math.Pi / n * (float64(i) + 0.5))) }
	for i := range 36 {
		w[longBlock][i] = sine(i, 36)
		switch {
		case i < 18:
			w[startBlock][i] = sine(i, 36)
		case i < 24:
			w[startBlock][i] = 1
		case i < 30:
			w[startBlock][i] = sine(i-18, 12)
		}
		w[stopBlock][35-i] = w[startBlock][i]
	}
	return w
}()

var shortWindow = func() (w [12]float32) {
	for i := range w {
		w[i] = float32(math.Sin(math.Pi / 12 * (float64(i) + 0.5)))
	}
	return w
}()

// longTransform is the inverse modified cosine transform of 18 lines,
//
//	x(i) = Σ X(k)·cos(π/72·(2i+1+18)(2k+1)), i = 0..35,
//
// windowed and overlapped. Its 36 outputs are those of a cosine transform of
// type IV, y, unfolded: y9..y17, -y17..-y9, -y8..-y0, -y0..-y8.
func longTransform(x, overlap *[slots]float32, w *[36]float32) {
	var y [slots]float32
	cosine18(x, &y)
	for i := range 9 {
		x[i] = overlap[i] + w[i]*y[9+i]
		x[17-i] = overlap[17-i] - w[17-i]*y[9+i]
		overlap[i] = -w[18+i] * y[8-i]
		overlap[17-i] = -w[35-i] * y[8-i]
	}
}

// Factors of cosine18 and cosine9.
var (
	rotCos, rotSin = func() (c, s [9]float32) {
		for n := range c {
			sin, cos := math.Sincos(math.Pi / 72 * float64(2*n+1))
			c[n], s[n] = float32(cos), float32(sin)
		}
		return c, s
	}()
)

const (
	cos30 = 0.86602540378443864676
	cos40 = 0.76604444311897803520
	cos50 = 0.64278760968653932632
	cos70 = 0.34202014332566873304
	cos80 = 0.17364817766693034885
)

// cosine18 is the cosine transform of type IV of 18 points,
//
//	y(n) = Σ X(k)·cos(θ(2k+1)), θ = π/72·(2n+1).
//
// Taking X(2j-1) and X(2j) together, the angles are 4jθ ∓ θ, so that
// y(n) = cosθ·P(n) + sinθ·Q(n), with P a cosine transform of type III of the sums
// and Q, read backwards with alternating sign, one of the differences. P is even
// and Q odd about the middle, so that nine of each give all eighteen y.
func cosine18(x, y *[slots]float32) {
	p := [9]float32{x[0], x[1] + x[2], x[3] + x[4], x[5] + x[6], x[7] + x[8], x[9] + x[10], x[11] + x[12], x[13] + x[14], x[15] + x[16]}
	q := [9]float32{x[17], x[15] - x[16], x[13] - x[14], x[11] - x[12], x[9] - x[10], x[7] - x[8], x[5] - x[6], x[3] - x[4], x[1] - x[2]}
	cosine9(&p)
	cosine9(&q)
	for n := range 9 {
		c, s := rotCos[n], rotSin[n]
		a, b := p[n], q[n]
		if n&1 == 1 {
			b = -b
		}
		y[n] = c*a + s*b
		y[17-n] = s*a - c*b
	}
}

// cosine9 is the cosine transform of type III of 9 points in place,
//
//	c(n) = x(0) + Σ x(j)·cos(jφ), φ = 10°·(2n+1).
//
// Even and odd j are taken apart, since n and 8-n differ only in the sign of the
// odd part; of the cosines of multiples of 20° one is the sum of two others.
func cosine9(x *[9]float32) {
	a := x[0] + 0.5*x[6]
	e1 := x[0] - x[6]
	b := x[2] - x[4] - x[8]
	u, v, w := x[2]+x[4], x[2]+x[8], x[4]-x[8]
	e0 := a + cos40*u + cos80*v
	e2 := a - cos80*u - cos40*w
	e3 := a - cos40*v + cos80*w
	e4 := e1 - b
	e1 += 0.5 * b

	m := cos30 * x[3]
	r, s, t := x[1]+x[5], x[1]+x[7], x[5]-x[7]
	o0 := m + cos50*r + cos70*s
	o1 := cos30 * (x[1] - x[5] - x[7])
	o2 := cos50*s - m - cos70*t
	o3 := cos70*r - m + cos50*t

	x[0], x[8] = e0+o0, e0-o0
	x[1], x[7] = e1+o1, e1-o1
	x[2], x[6] = e2+o2, e2-o2
	x[3], x[5] = e3+o3, e3-o3
	x[4] = e4
}

// shortTransform runs three transforms of 6 lines, interleaved in x, whose
// windows of 12 samples start at 6, 12 and 18 of 36 (2.4.3.4.10.3).
func shortTransform(x, overlap *[slots]float32) {
	var out [36]float32
	copy(out[:slots], overlap[:])
	for w := range 3 {
		var y [6]float32
		cosine6(x, w, &y)
		o := (*[12]float32)(out[6+6*w:])
		for i := range 3 {
			o[i] += shortWindow[i] * y[3+i]
			o[5-i] -= shortWindow[5-i] * y[3+i]
			o[6+i] -= shortWindow[6+i] * y[2-i]
			o[11-i] -= shortWindow[11-i] * y[2-i]
		}
	}
	copy(x[:], out[:slots])
	copy(overlap[:], out[slots:])
}

var shortRotCos, shortRotSin = func() (c, s [3]float32) {
	for n := range c {
		sin, cos := math.Sincos(math.Pi / 24 * float64(2*n+1))
		c[n], s[n] = float32(cos), float32(sin)
	}
	return c, s
}()

// cosine6 is cosine18's method at 6 points, on lines w, w+3, w+6 …
func cosine6(x *[slots]float32, w int, y *[6]float32) {
	x0, x1, x2, x3, x4, x5 := x[w], x[w+3], x[w+6], x[w+9], x[w+12], x[w+15]
	p0, p1, p2 := cosine3(x0, x1+x2, x3+x4)
	q0, q1, q2 := cosine3(x5, x3-x4, x1-x2)
	p, q := [3]float32{p0, p1, p2}, [3]float32{q0, -q1, q2}
	for n := range 3 {
		y[n] = shortRotCos[n]*p[n] + shortRotSin[n]*q[n]
		y[5-n] = shortRotSin[n]*p[n] - shortRotCos[n]*q[n]
	}
}

// cosine3 is cosine9's transform at 3 points: angles of 30°, 90° and 150°.
func cosine3(x0, x1, x2 float32) (c0, c1, c2 float32) {
	a, b := x0+0.5*x2, cos30*x1
	return a + b, x0 - x2, a - b
}
