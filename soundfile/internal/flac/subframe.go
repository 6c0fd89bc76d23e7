package flac

import "math/bits"

// A sample type holds the widest value of a subframe: side channels of 32-bit
// sound need 33 bits.
type sample interface{ int32 | int64 }

// maxOrder is the highest order of a predictor (9.2.6).
const maxOrder = 32

// readSubframe decodes one channel of a frame into dst (9.2). It returns false on
// values that the format does not allow. width is in bits, that of a side channel with
// its one more. When the lowest bits of all samples are 0 they are not coded: the
// subframe says how many (wasted), and all else in it is narrower by as much.
func readSubframe[S sample](r *bitReader, dst []S, width int) bool {
	if r.unsigned(1) != 0 {
		return false
	}
	kind := int(r.unsigned(6))
	wasted := 0
	if r.unsigned(1) != 0 {
		wasted = r.unary() + 1
	}
	width -= wasted
	if width < 1 {
		return false
	}
	ok := true
	// The kinds: 0 constant, 1 verbatim, 8 to 12 fixed of order 0 to 4, 32 to 63 linear of
	// order 1 to 32 (9.2.1).
	switch {
	case kind == 0:
		v := S(r.signed(width))
		for i := range dst {
			dst[i] = v
		}
	case kind == 1:
		for i := range dst {
			dst[i] = S(r.signed(width))
		}
		ok = !r.over()
	case kind >= 8 && kind <= 12:
		ok = readFixed(r, dst, width, kind-8)
	case kind >= 32:
		ok = readLinear(r, dst, width, kind-31)
	default:
		return false
	}
	if wasted > 0 {
		for i := range dst {
			dst[i] <<= wasted
		}
	}
	return ok
}

// readWarmup reads the first samples, which have too few before them to be predicted.
func readWarmup[S sample](r *bitReader, dst []S, width, order int) bool {
	if order > len(dst) {
		return false
	}
	for i := range order {
		dst[i] = S(r.signed(width))
	}
	return true
}

// readFixed decodes with one of the five fixed predictors (9.2.5). The residual is
// summed up order times over, which is what those predictors come to: the order-th
// difference of the samples is 0, hence the binomial coefficients.
func readFixed[S sample](r *bitReader, dst []S, width, order int) bool {
	if !readWarmup(r, dst, width, order) || !readResidual(r, dst, order) {
		return false
	}
	switch order {
	case 1:
		for i := 1; i < len(dst); i++ {
			dst[i] += dst[i-1]
		}
	case 2:
		for i := 2; i < len(dst); i++ {
			dst[i] += 2*dst[i-1] - dst[i-2]
		}
	case 3:
		for i := 3; i < len(dst); i++ {
			dst[i] += 3*(dst[i-1]-dst[i-2]) + dst[i-3]
		}
	case 4:
		for i := 4; i < len(dst); i++ {
			dst[i] += 4*(dst[i-1]+dst[i-3]) - 6*dst[i-2] - dst[i-4]
		}
	}
	return true
}

// readLinear decodes with coefficients that the subframe carries (9.2.6): whole numbers
// that are divided by 2^shift. A precision of 16 and a shift below 0 are forbidden.
func readLinear[S sample](r *bitReader, dst []S, width, order int) bool {
	if !readWarmup(r, dst, width, order) {
		return false
	}
	precision := int(r.unsigned(4)) + 1
	shift := int(r.signed(5))
	if precision == 16 || shift < 0 {
		return false
	}
	var coef [maxOrder]int64 // oldest sample first
	for i := range order {
		coef[order-1-i] = r.signed(precision)
	}
	if !readResidual(r, dst, order) {
		return false
	}
	predict(dst, coef[:order], shift)
	return true
}

// predict adds to each residual the prediction from the samples before it. dst holds
// samples up to i and residuals from i on. Two sums, of even and odd terms, do not wait
// for each other in the processor.
func predict[S sample](dst []S, coef []int64, shift int) {
	order := len(coef)
	for i := order; i < len(dst); i++ {
		past := dst[i-order : i]
		past = past[:len(coef)]
		var even, odd int64
		j := 0
		for ; j+1 < len(coef); j += 2 {
			even += coef[j] * int64(past[j])
			odd += coef[j+1] * int64(past[j+1])
		}
		if j < len(coef) {
			even += coef[j] * int64(past[j])
		}
		dst[i] += S((even + odd) >> shift)
	}
}

// readResidual reads the coded residual behind the first order samples (9.2.7). The
// frame is cut into 2^n partitions of equal length with a Rice parameter each; the first
// one is shorter by the samples that stand in the clear. The greatest parameter is an
// escape: the partition's numbers follow as they are, with a width of their own.
func readResidual[S sample](r *bitReader, dst []S, order int) bool {
	method := r.unsigned(2)
	if method > 1 {
		return false
	}
	parameterBits := 4 + int(method)
	escape := 1<<parameterBits - 1
	partitions := 1 << r.unsigned(4)
	each := len(dst) / partitions
	if each*partitions != len(dst) || each < order {
		return false
	}
	for p := range partitions {
		part := dst[p*each : (p+1)*each]
		if p == 0 {
			part = part[order:]
		}
		k := int(r.unsigned(parameterBits))
		if k != escape {
			readRice(r, part, k)
		} else {
			n := int(r.unsigned(5))
			for i := range part {
				part[i] = S(r.signed(n))
			}
		}
		if r.over() {
			return false
		}
	}
	return true
}

// readRice reads Rice codes with k low bits: a unary number, then those bits;
// odd numbers are the negative ones (0 -1 1 -2 2 …). A code within the window's 57 bits,
// as nearly all are, takes one look; w<<q<<1 is what follows its unary part, in two steps
// since q+1 may be 64.
func readRice[S sample](r *bitReader, dst []S, k int) {
	for i := range dst {
		w := r.window()
		q := bits.LeadingZeros64(w)
		var v uint64
		if q+1+k <= 57 {
			v = uint64(q)<<k | w<<q<<1>>(64-k)
			r.pos += q + 1 + k
		} else {
			q = r.unary()
			if r.over() {
				return
			}
			v = uint64(q)<<k | r.unsigned(k)
		}
		dst[i] = S(v>>1) ^ -S(v&1)
	}
}
