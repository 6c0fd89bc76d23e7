//go:build !purego

package soundtrack

// Every amd64 processor has SSE2, so the two inner loops of the transform are
// written for it: two points at a time, the same sums in the same order as the
// Go code, which the build tag purego brings back. Results are the same bits.
const vectors = true

// butterflies runs n butterflies, n even, that share the factors w. The four
// inputs of each lie apart points from one another, the outputs along.
//
//go:noescape
func butterflies(y, x *point, apart, along, n int, w *[3]point)

// opening multiplies samples by the window and runs the n butterflies, n even,
// of the first pass. w holds, for each pair of butterflies, the three factors as
// (re re re' re') and (-im im -im' im').
//
//go:noescape
func opening(y *point, samples, window *float32, n int, w *[24]float32)
