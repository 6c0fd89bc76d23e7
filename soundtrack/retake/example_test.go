package retake_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"time"

	"lampblack/soundfile"
	"lampblack/soundtrack/retake"
)

const rate = 8000

// noise is some seconds of sound that is like no other.
func noise(seconds float64, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 0))
	x := make([]float32, int(seconds*rate))
	last := float32(0)
	for i := range x {
		last = .7*last + .3*(r.Float32()-.5)
		x[i] = last
	}
	return x
}

func stream(x []float32) soundfile.Stream {
	var file bytes.Buffer
	if err := soundfile.WriteWAV(&file, rate, 1, 16, x); err != nil {
		panic(err)
	}
	s, err := soundfile.Open(bytes.NewReader(file.Bytes()), "a take")
	if err != nil {
		panic(err)
	}
	return s
}

// A new take has two seconds more in front and lacks seconds 6 to 8 of the old one.
func Example() {
	old := noise(14, 1)
	take := append(noise(2, 2), old[:6*rate]...)
	take = append(take, old[8*rate:]...)

	print, err := retake.Take(stream(old))
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := retake.Align(print, stream(take))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, at := range []time.Duration{3 * time.Second, 7 * time.Second, 11 * time.Second} {
		now, sure, ok := m.At(at)
		fmt.Println(at, "is at", now.Round(10*time.Millisecond), "still there:", ok, "sure:", sure > retake.Doubtful)
	}
	// Output:
	// 3s is at 5s still there: true sure: true
	// 7s is at 0s still there: false sure: false
	// 11s is at 11s still there: true sure: true
}
