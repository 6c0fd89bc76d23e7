//go:build !purego

package net

// Every amd64 processor has SSE2, so the two inner loops over rows are written for it: the same
// sums in the same order as the Go code, which the build tag purego brings back.
const vectors = true

// add3x4 is add3 for n values, a multiple of 4.
//
//go:noescape
func add3x4(acc, a, b, c *float32, n int, u, v, w float32)

// dot8 sums the products of n values, a multiple of 8, by place modulo 8.
//
//go:noescape
func dot8(sum *[8]float32, a, b *float32, n int)
