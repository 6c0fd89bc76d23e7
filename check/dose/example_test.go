package dose_test

import (
	"fmt"

	"lampblack/check/dose"
	"lampblack/light"
	"lampblack/si"
)

// How far an eye must stay from a black light that gives 10 W/m² at 1 m, when
// it looks into it for an hour.
func Example() {
	at := func(far si.Length) float64 { return 10 / float64(far*far) }
	fmt.Println(dose.Reach(at, light.DailyUVA/3600))
	// Output:
	// 1.9 m
}
