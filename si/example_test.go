package si_test

import (
	"fmt"

	"lampblack/si"
)

// A quantity reads itself from a text with a unit and prints in its own; Say is
// for the eye.
func Example() {
	var throw si.Length
	for _, text := range []string{"250 cm", "8 ft", "2.5"} {
		if err := throw.UnmarshalText([]byte(text)); err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(text, "is", throw, "- say", si.Say(float64(throw), "m"))
	}
	// Output:
	// 250 cm is 2.5 m - say 2.5 m
	// 8 ft is 2.4384 m - say 2.4 m
	// length "2.5" has no unit: write 2.5 m
}
