package meet

// bins cut a curve into pieces of equal length that share their ends.
type bins struct {
	width      int // ms
	low, high  []float32
	rise, fall []float32 // the largest from an earlier to a later value in the piece
}

// binsOf cuts a curve finely; wider gives the levels above.
func binsOf(v []float32, width int) bins {
	n := (len(v) - 1) / width
	b := newBins(n, width)
	for k := range n {
		low, high := v[k*width], v[k*width]
		rise, fall := float32(0), float32(0)
		for _, x := range v[k*width : (k+1)*width+1] {
			rise, fall = max(rise, x-low), max(fall, high-x)
			low, high = min(low, x), max(high, x)
		}
		b.low[k], b.high[k], b.rise[k], b.fall[k] = low, high, rise, fall
	}
	return b
}

func newBins(n, width int) bins {
	return bins{width, make([]float32, n), make([]float32, n), make([]float32, n), make([]float32, n)}
}

// wider joins factor pieces into one.
func (b *bins) wider(factor int) bins {
	n := len(b.low) / factor
	out := newBins(n, b.width*factor)
	for k := range n {
		first := k * factor
		low, high, rise, fall := b.low[first], b.high[first], b.rise[first], b.fall[first]
		for i := first + 1; i < first+factor; i++ {
			rise = max(rise, b.rise[i], b.high[i]-low)
			fall = max(fall, b.fall[i], high-b.low[i])
			low, high = min(low, b.low[i]), max(high, b.high[i])
		}
		out.low[k], out.high[k], out.rise[k], out.fall[k] = low, high, rise, fall
	}
	return out
}

// swing follows the largest rise and fall of a curve over pieces that come one after
// another.
type swing struct{ low, high, rise, fall float32 }

// begin starts at a piece, or at two.
func (s *swing) begin(b *bins, k, over int) {
	s.low, s.high, s.rise, s.fall = b.low[k], b.high[k], b.rise[k], b.fall[k]
	if over > 0 {
		s.add(b, k+1)
	}
}

func (s *swing) add(b *bins, k int) {
	s.rise = max(s.rise, b.rise[k], b.high[k]-s.low)
	s.fall = max(s.fall, b.fall[k], s.high-b.low[k])
	s.low, s.high = min(s.low, b.low[k]), max(s.high, b.high[k])
}
