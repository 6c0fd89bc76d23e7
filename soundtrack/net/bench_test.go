package net

import (
	"math/rand/v2"
	"testing"
)

// One evaluation of a network of the size that judges hits, a third of whose
// inputs are zero.
func BenchmarkOutputs(b *testing.B) {
	n := New(1, 625, 32, 16, 2)
	w, x, r := n.NewWork(), make([]float32, 625), rand.New(rand.NewPCG(1, 1))
	for i := range x {
		if i%3 > 0 {
			x[i] = r.Float32()
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		n.Outputs(w, x)
	}
	b.ReportMetric(float64(n.Multiplications()), "products")
}
