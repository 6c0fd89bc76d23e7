package living_test

import (
	"fmt"
	"time"

	"lampblack/living"
)

// Three candles at one instant: each is a light of its own, and the same whenever it is asked.
func ExampleNatural_Level() {
	for seed := range uint64(3) {
		fmt.Printf("%.2f ", living.Candle.Level(seed, 90*time.Second))
	}
	fmt.Printf("%.2f\n", living.Candle.Level(0, 90*time.Second))
	// Output:
	// 0.87 0.88 0.91 0.87
}

// Light on every other beat, where no sound tells the beat: slow time stands in, and it is said.
func ExampleEventsOf() {
	var every living.Every
	if err := every.UnmarshalText([]byte("2 beats")); err != nil {
		fmt.Println(err)
	}
	e := living.EventsOf(nil, every, time.Minute)
	fmt.Println(e.Time(0), e.Time(1), e.Doubts())
	for _, t := range []time.Duration{1900 * time.Millisecond, 2 * time.Second, 2500 * time.Millisecond} {
		fmt.Printf("%.2f ", living.Pulse(e, t, 200*time.Millisecond, time.Second))
	}
	// Output:
	// 0s 2s [{0s 1m0s slow time}]
	// 0.50 1.00 0.25
}
