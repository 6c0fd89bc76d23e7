package supply_test

import (
	"fmt"

	"lampblack/check/supply"
	"lampblack/rig"
)

// What 25 m of 1.5 mm² lose at 10 A, what the neutral carries of three phases
// that are not alike, and which surge a C16 lets pass for 0.3 ms.
func Example() {
	cable := rig.Cable{Length: 25, Section: rig.Conductor{Section: 1.5}}
	drop := float64(supply.Drop(cable, 10))
	fmt.Printf("%.2f V, %.1f %% of 230 V\n", drop, 100*drop/230)

	fmt.Printf("%.1f A\n", float64(supply.Neutral(10, 10, 4)))

	surge := supply.Withstand(rig.Breaker{Curve: "C", Rated: 16}, 300e-6)
	fmt.Printf("%.0f A at least, perhaps %.0f A\n", float64(surge.Low), float64(surge.Best))
	// Output:
	// 7.25 V, 3.2 % of 230 V
	// 6.0 A
	// 80 A at least, perhaps 462 A
}
