//go:build !amd64 || purego

package net

const vectors = false

func add3x4(acc, a, b, c *float32, n int, u, v, w float32) { panic("net: no vectors") }

func dot8(sum *[8]float32, a, b *float32, n int) { panic("net: no vectors") }
