package check

import (
	"context"
	"testing"

	"lampblack/check/checktest"
)

func BenchmarkDemo(b *testing.B) {
	s := checktest.Solved(b, checktest.DemoFolder())
	for b.Loop() {
		if _, err := Run(context.Background(), s, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSolve(b *testing.B) {
	for b.Loop() {
		checktest.Solved(b, checktest.DemoFolder())
	}
}
