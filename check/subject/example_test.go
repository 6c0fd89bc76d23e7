package subject_test

import (
	"context"
	"fmt"
	"time"

	"lampblack/check/subject"
	"lampblack/rig"
	"lampblack/show"
)

// ramp is light that no score has written: one drive that rises for a second
// and then stands.
type ramp struct{ subject.Subject }

func (ramp) Length() time.Duration         { return 3 * time.Second }
func (ramp) Rig() *rig.Rig                 { return &rig.Rig{Drives: make([]rig.Drive, 1)} }
func (ramp) Moving() [][2]time.Duration    { return [][2]time.Duration{{0, time.Second}} }
func (ramp) Turns() []time.Duration        { return []time.Duration{0, time.Second} }
func (ramp) NewFrame() *show.Frame         { return &show.Frame{Levels: make([]float32, 1)} }
func (ramp) At(*show.Frame, time.Duration) {}

func (ramp) Light(f *show.Frame, t time.Duration) { f.Levels[0] = float32(min(t.Seconds(), 1)) }

// A trace keeps the corners of what was sampled a thousand times.
func Example() {
	t := subject.TraceOf(context.Background(), ramp{})
	for i, at := range t.Times {
		fmt.Println(at, t.Levels[i])
	}
	// Output:
	// 0s [0]
	// 0s [0]
	// 1s [1]
	// 1s [1]
	// 3s [1]
}
