package plate

import (
	"context"
	"testing"
)

func BenchmarkPlates(b *testing.B) {
	s := aRoom()
	b.Run("view", func(b *testing.B) {
		for b.Loop() {
			_, _ = s.view(false).SVG()
		}
	})
	b.Run("uva", func(b *testing.B) {
		for b.Loop() {
			_, _ = s.plan(true).SVG(context.Background())
		}
	})
	b.Run("lux", func(b *testing.B) {
		for b.Loop() {
			_, _ = s.plan(false).SVG(context.Background())
		}
	})
}
