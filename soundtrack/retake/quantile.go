package retake

import "slices"

// quantile returns the value that a share q of the others does not exceed.
func quantile[T float32 | float64](x []T, q float64) T {
	if len(x) == 0 {
		return 0
	}
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	return sorted[int(q*float64(len(sorted)-1))]
}
