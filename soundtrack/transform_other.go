//go:build !amd64 || purego

package soundtrack

const vectors = false

func butterflies(y, x *point, apart, along, n int, w *[3]point) { panic("soundtrack: no vectors here") }

func opening(y *point, samples, window *float32, n int, w *[24]float32) {
	panic("soundtrack: no vectors here")
}
