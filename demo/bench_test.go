package demo

import (
	"io"
	"testing"
)

func BenchmarkSynthesise(b *testing.B) {
	p := TheLanternFish()
	for b.Loop() {
		if err := Synthesise(io.Discard, p, nil); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(p.Duration.Seconds()*float64(b.N)/b.Elapsed().Seconds(), "×real-time")
}
