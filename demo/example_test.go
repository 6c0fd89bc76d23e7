package demo_test

import (
	"fmt"
	"time"

	"lampblack/demo"
)

// What the demo's soundtrack holds is known before it is heard.
func ExampleTheLanternFish() {
	plan := demo.TheLanternFish()
	fmt.Println(plan.Duration.Round(time.Second), len(plan.Sections), "sections")
	for _, s := range plan.Sections[:4] {
		fmt.Println(s.From.Round(time.Second), s.Name)
	}
	for _, a := range plan.Attacks {
		if a.Accent {
			fmt.Println("first to be lit:", a.Name, "at", a.Time)
			break
		}
	}
	// Output:
	// 6m47s 13 sections
	// 0s leader
	// 3s dusk
	// 28s the boat puts out
	// 1m8s the lantern fish
	// first to be lit: harbour bell at 28s
}
