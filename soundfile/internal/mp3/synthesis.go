package mp3

import "math"

// synthesis is the memory of one channel's polyphase filter bank (2.4.3.2).
//
// The standard shifts 64 matrixed values a slot through a vector of 1024 and
// windows 512 of them. All 64 are, up to sign, 32 cosine sums c(0..31); output j
// and output 32-j read the same ones, c(16+j) from slots an even number back and
// c(16-j) from odd ones, under different windows. So each pair j is a filter of
// 16 taps with two outputs over a row in which those two alternate: row[0] has
// c(16+j) at even slots, row[1] at odd ones.
type synthesis struct {
	row    [16][2][history + slots]float32
	middle [history + slots]float32 // c(0), for output 16
}

// history is the number of past slots kept: the 15 that are needed, and one so
// that even stays even.
const history = 16

// taps are the windows of outputs j and 32-j, oldest slot first.
var taps = func() (t [16][2][16]float32) {
	for j := range t {
		for i := range 8 {
			t[j][0][15-2*i] = windowD(64*i + j)
			t[j][0][14-2*i] = -windowD(64*i + 32 + j)
			if j > 0 {
				t[j][1][15-2*i] = -windowD(64*i + 32 - j)
				t[j][1][14-2*i] = -windowD(64*i + 64 - j)
			}
		}
	}
	return t
}()

// middleTaps is the window of output 16, which reads odd slots back only.
var middleTaps = func() (t [16]float32) {
	for i := range 8 {
		t[14-2*i] = -windowD(64*i + 48)
	}
	return t
}()

// run turns a granule of subband samples, x[18*sb+t], into 576 samples written
// to dst at every stride-th place.
func (s *synthesis) run(dst []float32, stride int, x *[lines]float32) {
	for t := range slots {
		s.push(x, t)
	}
	for j := range 16 {
		for t := range slots {
			row := (*[16]float32)(s.row[j][t&1][t+1:])
			a, b := filter2(row, &taps[j])
			dst[(32*t+j)*stride] = a
			if j > 0 {
				dst[(32*t+32-j)*stride] = b
			}
		}
	}
	for t := range slots {
		dst[(32*t+16)*stride] = filter1((*[16]float32)(s.middle[t+1:]))
	}
	// The last 16 slots of this granule are the history of the next.
	for j := range s.row {
		for k := range s.row[j] {
			copy(s.row[j][k][:history], s.row[j][k][slots:])
		}
	}
	copy(s.middle[:history], s.middle[slots:])
}

// push makes the cosine sums of slot t and files them.
func (s *synthesis) push(x *[lines]float32, t int) {
	var in, c [32]float32
	for sb := range in {
		in[sb] = x[sb*slots+t]
	}
	cosine32(&in, &c)
	at, even := history+t, t&1
	for j := range 16 {
		s.row[j][even][at] = c[16+j]
		s.row[j][1-even][at] = c[16-j]
	}
	s.middle[at] = c[0]
}

// filter2 returns the two sums of products of x with w.
func filter2(x *[16]float32, w *[2][16]float32) (a, b float32) {
	var a0, a1, b0, b1 float32
	for k := 0; k < 16; k += 4 {
		a0 += x[k]*w[0][k] + x[k+1]*w[0][k+1]
		b0 += x[k]*w[1][k] + x[k+1]*w[1][k+1]
		a1 += x[k+2]*w[0][k+2] + x[k+3]*w[0][k+3]
		b1 += x[k+2]*w[1][k+2] + x[k+3]*w[1][k+3]
	}
	return a0 + a1, b0 + b1
}

// filter1 is the sum of products of x with middleTaps, of which every second is 0.
func filter1(x *[16]float32) (a float32) {
	for k := 0; k < 16; k += 2 {
		a += x[k] * middleTaps[k]
	}
	return a
}

// half holds 1/(2cos(π(2i+1)/2n)) for n of 32 and 16.
var half32, half16 = func() (h32 [16]float32, h16 [8]float32) {
	for i := range h32 {
		h32[i] = float32(0.5 / math.Cos(math.Pi*float64(2*i+1)/64))
	}
	for i := range h16 {
		h16[i] = float32(0.5 / math.Cos(math.Pi*float64(2*i+1)/32))
	}
	return h32, h16
}()

// cosine32 is the cosine transform of type II of 32 points,
// c(m) = Σ x(n)·cos(π/64·m(2n+1)), by halving (B. G. Lee, "A new algorithm to
// compute the discrete cosine transform", IEEE Trans. ASSP-32, 1984): sums of
// mirrored inputs give the even c; differences over 2cos give d with
// c(2k+1) = d(k) + d(k+1).
func cosine32(x, c *[32]float32) {
	var s, d, cs, cd [16]float32
	for i := range 16 {
		a, b := x[i], x[31-i]
		s[i] = a + b
		d[i] = (a - b) * half32[i]
	}
	cosine16(&s, &cs)
	cosine16(&d, &cd)
	for k := range 15 {
		c[2*k] = cs[k]
		c[2*k+1] = cd[k] + cd[k+1]
	}
	c[30], c[31] = cs[15], cd[15]
}

// cosine16 is the same transform of 16 points, by the same halving.
func cosine16(x, c *[16]float32) {
	var s, d [8]float32
	for i := range 8 {
		a, b := x[i], x[15-i]
		s[i] = a + b
		d[i] = (a - b) * half16[i]
	}
	cosine8(&s)
	cosine8(&d)
	for k := range 7 {
		c[2*k] = s[k]
		c[2*k+1] = d[k] + d[k+1]
	}
	c[14], c[15] = s[7], d[7]
}

// Cosines of multiples of π/16.
const (
	c1 = 0.98078528040323044913
	c2 = 0.92387953251128675613
	c3 = 0.83146961230254523708
	c4 = 0.70710678118654752440
	c5 = 0.55557023301960222474
	c6 = 0.38268343236508977173
	c7 = 0.19509032201612826785
)

// cosine8 is the transform of 8 points in place, even outputs by one more halving.
func cosine8(x *[8]float32) {
	s0, s1, s2, s3 := x[0]+x[7], x[1]+x[6], x[2]+x[5], x[3]+x[4]
	d0, d1, d2, d3 := x[0]-x[7], x[1]-x[6], x[2]-x[5], x[3]-x[4]
	e0, e1 := s0+s3, s1+s2
	f0, f1 := s0-s3, s1-s2
	x[0] = e0 + e1
	x[4] = (e0 - e1) * c4
	x[2] = f0*c2 + f1*c6
	x[6] = f0*c6 - f1*c2
	x[1] = d0*c1 + d1*c3 + d2*c5 + d3*c7
	x[3] = d0*c3 - d1*c7 - d2*c1 - d3*c5
	x[5] = d0*c5 - d1*c1 + d2*c7 + d3*c3
	x[7] = d0*c7 - d1*c5 + d2*c3 - d3*c1
}
