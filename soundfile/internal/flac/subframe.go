package flac

import "math/bits"

// A sample type holds the widest value of a subframe: side channels of 32-bit
// sound need 33 bits.
type sample interface{ int32 | int64 }

// maxOrder is the highest order of a predictor (9.2.6).
const maxOrder = 32

// readSubframe decodes one channel of a frame into dst (9.2). It returns false on
// values that the format does not allow.
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
// summed up order times over, which is what those predictors come to.
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

// readLinear decodes with coefficients that the subframe carries (9.2.6).
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

// predict adds to each residual the prediction from the samples before it.
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

// readResidual reads the coded residual behind the first order samples (9.2.7).
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
// odd numbers are the negative ones.
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
