package meet

// stairs bound a cell of the last level, whose zones stand to one another within a few
// milliseconds. Curves run straight between whole milliseconds. Where zone 2 is between k
// and k+1 ms ahead of zone 1, the sum goes through the squares of a grid of 1 ms,
//
//	zone 2   n+k+2     ┌───·
//	         n+k+1 ┌───┘       s(n,n+k) s(n,n+k+1) s(n+1,n+k+1) s(n+1,n+k+2) ...
//	         n+k   ┘
//	               n  n+1  n+2  zone 1
//
// and crosses one side of a square after another. On a side it lies between the values
// at both ends, as one zone stands there and the other runs straight. So a way along
// the ends of all those sides, the stairs, passes every value of every such sum in its
// order, and has as many changes at least.
func (s *search) stairs(c cell) int {
	w := widths[lastLevel]
	a, b := int(c.a)*w, int(c.b)*w
	most := 0
	n := w + window + pairing
	if s.steps.low == nil {
		s.steps, s.level = newBins(2*n, 1), newBins(2*n, 1)
	}
	t := tube{rule: s.rule, a: sight{&s.steps, 0, 1, 0}, b: sight{&s.level, 0, 1, 0}, base: s.base, last: 2 * (w + window - 1), end: 2*n - 1}
	for k := b - a - w; k < b-a+w; k++ {
		last := s.a.value(a) + s.b.value(a+k)
		for i := range 2 * n {
			at := a + (i+1)/2
			next := s.a.value(at) + s.b.value(at+k+(i+1)%2)
			s.steps.set(i, last, next)
			last = next
		}
		most = max(most, t.most())
	}
	return most
}

// set makes a piece a way from one value straight to another.
func (b *bins) set(k int, from, to float32) {
	b.low[k], b.high[k] = min(from, to), max(from, to)
	b.rise[k], b.fall[k] = max(to-from, 0), max(from-to, 0)
}
