package meet_test

import (
	"fmt"
	"time"

	"lampblack/check/flash"
	"lampblack/check/meet"
)

// Two rooms of a walk flash three times now and then, which each may by itself. Whoever
// stands in the door sees both.
func Example() {
	room := func(length time.Duration) (meet.Line, []flash.Colour) {
		l, light := meet.Line{Repeats: true}, []flash.Colour{}
		add := func(at time.Duration, y float32) {
			l.Times, light = append(l.Times, at), append(light, flash.Colour{X: .95 * y, Y: y, Z: 1.09 * y})
		}
		add(0, 2)
		for i := range 3 {
			at := time.Duration(1+i) * 250 * time.Millisecond
			add(at, 2)
			add(at+time.Millisecond, 60)
			add(at+20*time.Millisecond, 60)
			add(at+21*time.Millisecond, 2)
		}
		add(length, 2)
		return l, light
	}
	var door meet.Eye
	spot := meet.Spot{Area: flash.FieldSize}
	for _, length := range []time.Duration{7 * time.Second, 9 * time.Second} {
		l, light := room(length)
		door.Lines, spot.Light = append(door.Lines, l), append(spot.Light, light)
	}
	door.Spots = []meet.Spot{spot}
	o := meet.Options{Area: flash.FieldSize * flash.BT.AreaShare, For: 10 * time.Second}
	likely, most := meet.Likely(&door, o), meet.Most(&door, o)
	fmt.Printf("of ten seconds in the door, %.0f %% have more than %d flashes in a second; at most there are %d\n", 100*likely.Share, flash.BT.Most, most.Count)
	// Output:
	// of ten seconds in the door, 28 % have more than 3 flashes in a second; at most there are 7
}
