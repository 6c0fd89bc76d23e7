package flash_test

import (
	"fmt"
	"time"

	"lampblack/check/flash"
)

// A wall that goes to 100 cd/m² and back five times in a second, over a third
// of a field of ten degrees: more than the three that WCAG 2.2 allows.
func Example() {
	var times []time.Duration
	var luminance []float32
	for i := range 11 {
		times = append(times, time.Duration(i)*100*time.Millisecond)
		luminance = append(luminance, float32(100*(i%2)))
	}
	wall := flash.Spot{Area: flash.FieldSize / 3, Flashes: flash.General(&flash.WCAG, times, luminance)}
	w := flash.Count([]flash.Spot{wall}, nil, flash.FieldSize*flash.WCAG.AreaShare)
	fmt.Println(w.Count, "from", w.From, "on; too many:", w.Count > flash.WCAG.Most)
	// Output:
	// 5 from 50ms on; too many: true
}
