//go:build !unix

package room_test

// processor is not known here.
func processor() float64 { return 0 }
