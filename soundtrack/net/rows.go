package net

// add3 adds three weighted rows to a sum.
func add3(acc, a, b, c []float32, u, v, w float32) {
	a, b, c = a[:len(acc)], b[:len(acc)], c[:len(acc)]
	from := 0
	if n := len(acc) &^ 3; vectors && n > 0 {
		add3x4(&acc[0], &a[0], &b[0], &c[0], n, u, v, w)
		from = n
	}
	for t := from; t < len(acc); t++ {
		acc[t] = acc[t] + float32(u*a[t]) + float32(v*b[t]) + float32(w*c[t])
	}
}

// add1 adds one.
func add1(acc, a []float32, w float32) {
	a = a[:len(acc)]
	for t, s := range acc {
		acc[t] = s + float32(w*a[t])
	}
}

// dot is the sum of products: eight sums by place modulo 8, then these from the first on.
func dot(a, b []float32) (sum float32) {
	b = b[:len(a)]
	var part [8]float32
	n := len(a) &^ 7
	switch {
	case n > 0 && vectors:
		dot8(&part, &a[0], &b[0], n)
	default:
		for i, v := range a[:n] {
			part[i&7] += float32(v * b[i])
		}
	}
	for _, v := range part {
		sum += v
	}
	for i := n; i < len(a); i++ {
		sum += float32(a[i] * b[i])
	}
	return sum
}
