package calendar_test

import (
	"fmt"
	"time"

	"lampblack/calendar"
)

// What a small museum does on the night on which clocks go forward, and what comes
// next.
func Example() {
	c, faults := calendar.Read("calendar.yaml", []byte(`
time zone: Europe/Berlin
hours: {saturday: 18:00 to 2:30}
close-down: {look: leaving, after closing: 20 min}
`), []string{"leaving"})
	if faults != nil {
		fmt.Println(faults)
		return
	}
	at := time.Date(2027, 3, 27, 20, 0, 0, 0, time.UTC)
	fmt.Println(c.At(at).Is, "until", c.At(at).Until)
	e, _ := c.Next(at)
	fmt.Println(e.What, "and then", e.State.Is, "with", e.State.Look, "until", e.State.Until)
	fmt.Println(c.Ahead(at)[0].Text)
	// Output:
	// open until 2027-03-28 03:00:00 +0200 CEST
	// closes and then closing down with leaving until 2027-03-28 03:20:00 +0200 CEST
	// on 2027-03-28 the clocks jump from 02:00 to 03:00, so the closing at 02:30 happens at the jump
}
