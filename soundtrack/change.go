package soundtrack

import "math"

// changes says how differently what comes sounds from what went before, at each step of 20 ms:
// worked out at the edges of the sketch's steps of 100 ms, and in between on a straight line.
func changes(h *heard, n int) [][]float32 {
	s := &h.Sketch
	chroma := rowSums(s.Chroma, chromaSize)
	colour := rowSums(s.Colour, groupCount)
	power := rowPowers(h.Power, s.steps())
	var out [][]float32
	for _, f := range [changeInputs]func(k int) float64{
		func(k int) float64 { return cosineChange(chroma, chromaSize, k, 3) },
		func(k int) float64 { return cosineChange(chroma, chromaSize, k, 6) },
		func(k int) float64 { return cosineChange(chroma, chromaSize, k, 14) },
		func(k int) float64 { return levelChange(colour, 0, 4, k, 3) },
		func(k int) float64 { return levelChange(colour, 0, 4, k, 8) },
		func(k int) float64 { return levelChange(colour, 4, groupCount, k, 4) },
		func(k int) float64 { return powerChange(power, k, 3) },
		func(k int) float64 { return powerChange(power, k, 14) },
	} {
		edge := make([]float64, s.steps()+1)
		for k := range edge {
			edge[k] = f(k)
		}
		out = append(out, between20(edge, n))
	}
	return out
}

// between20 spreads values at multiples of 100 ms over n steps of 20 ms.
func between20(edge []float64, n int) []float32 {
	out := make([]float32, n)
	for i := range out {
		k, part := i/5, float64(i%5)/5
		if k+1 < len(edge) {
			out[i] = float32(edge[k]*(1-part) + edge[k+1]*part)
		}
	}
	return out
}

// rowSums are running sums of rows of size values: sums[k*size+c] is that of rows 0 to k-1.
func rowSums(x []uint8, size int) []float32 {
	out := make([]float32, len(x)+size)
	for i, v := range x {
		out[size+i] = out[i] + float32(v)
	}
	return out
}

// rowPowers are running sums of power, in steps of 100 ms.
func rowPowers(power []float32, steps int) []float64 {
	sums := prefix(power)
	out := make([]float64, steps+1)
	for k := range out {
		out[k] = sums[min(k*sketchFrames, len(sums)-1)]
	}
	return out
}

// window is how many steps before and after k are there to compare, at most span of each.
func window(k, span, steps int) (a, b int) { return max(k-span, 0), min(k+span, steps) }

// cosineChange is 1 less the cosine of the mean rows before and after edge k.
func cosineChange(sums []float32, size, k, span int) float64 {
	a, b := window(k, span, len(sums)/size-1)
	var ab, aa, bb float64
	for c := range size {
		mid := sums[k*size+c]
		x, y := float64(mid-sums[a*size+c]), float64(sums[b*size+c]-mid)
		ab, aa, bb = ab+x*y, aa+x*x, bb+y*y
	}
	if aa == 0 || bb == 0 {
		return 0
	}
	return 2 * (1 - ab/math.Sqrt(aa*bb))
}

// levelChange is the mean distance of the groups' levels before and after, in steps of 9 dB.
func levelChange(sums []float32, from, to, k, span int) float64 {
	const size = groupCount
	a, b := window(k, span, len(sums)/size-1)
	if a == k || b == k {
		return 0
	}
	sum := 0.0
	for c := from; c < to; c++ {
		mid := sums[k*size+c]
		sum += math.Abs(float64(mid-sums[a*size+c])/float64(k-a) - float64(sums[b*size+c]-mid)/float64(b-k))
	}
	return sum / float64(to-from) / 25
}

// powerChange is by how much the sound after is louder than that before, in steps of 12 dB.
func powerChange(sums []float64, k, span int) float64 {
	a, b := window(k, span, len(sums)-1)
	if a == k || b == k {
		return 0
	}
	before, after := (sums[k]-sums[a])/float64(k-a), (sums[b]-sums[k])/float64(b-k)
	return min(max(math.Log2((after+1e-7)/(before+1e-7))/4, -2), 2)
}
