package plate

import (
	"context"
	"testing"
)

func BenchmarkPlates(b *testing.B) {
	s := aRoom()
	b.Run("view", func(b *testing.B) {
		for b.Loop() {
			_, _ = svgOf(s.view(false).Draw(context.Background()))
		}
	})
	b.Run("uva", func(b *testing.B) {
		for b.Loop() {
			_, _ = svgOf(s.plan(true).Draw(context.Background()))
		}
	})
	b.Run("lux", func(b *testing.B) {
		for b.Loop() {
			_, _ = svgOf(s.plan(false).Draw(context.Background()))
		}
	})
}
