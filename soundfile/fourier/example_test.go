package fourier_test

import (
	"fmt"

	"lampblack/soundfile/fourier"
)

// Two turns in eight points are one line of the spectrum, at 2, and eight times as long.
func Example() {
	turn := []complex64{1, 1i, -1, -1i, 1, 1i, -1, -1i}
	for k, v := range fourier.New(8).Run(turn) {
		fmt.Printf("%d: %.0f\n", k, real(v)+0)
	}
	// Output:
	// 0: 0
	// 1: 0
	// 2: 8
	// 3: 0
	// 4: 0
	// 5: 0
	// 6: 0
	// 7: 0
}
