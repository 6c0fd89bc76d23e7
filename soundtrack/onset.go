package soundtrack

// picker finds peaks in a curve of 100 values a second: those that top a
// local mean by a threshold and are the largest around. It looks ahead as well
// as back: a soundtrack is all there before the show.
type picker struct {
	reach         int     // frames either side within which a peak is the largest
	before, after int     // frames of the local mean
	over          float32 // above the mean
	gap           int     // frames since the last peak
}

func (p picker) peaks(x []float32) []int {
	sums := prefix(x)
	var out []int
	last := -p.gap - 1
	for i, v := range x {
		from, to := max(i-p.before, 0), min(i+p.after+1, len(x))
		mean := float32((sums[to] - sums[from]) / float64(to-from))
		if v < mean+p.over || i-last <= p.gap || !largest(x, i, p.reach) {
			continue
		}
		out = append(out, i)
		last = i
	}
	return out
}

// largest says whether x[i] tops all within reach; of equal ones the first does.
func largest(x []float32, i, reach int) bool {
	for k := max(i-reach, 0); k <= min(i+reach, len(x)-1); k++ {
		if x[k] > x[i] || (x[k] == x[i] && k < i) {
			return false
		}
	}
	return true
}

// crest refines the place of a peak by a parabola through it and its
// neighbours; the result is in frames.
func crest(x []float32, i int) float64 {
	if i == 0 || i == len(x)-1 {
		return float64(i)
	}
	a, b, c := float64(x[i-1]), float64(x[i]), float64(x[i+1])
	if d := a - 2*b + c; d < 0 {
		return float64(i) + min(max(0.5*(a-c)/d, -0.5), 0.5)
	}
	return float64(i)
}
