package clock_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"lampblack/play/clock"
	"lampblack/play/clock/clocktest"

	"pgregory.net/rapid"
)

const ms = time.Millisecond

// deck plays a track of a sample a millisecond as one would by hand: sample by sample,
// and at the end of a loop back to its beginning while that has not been released. It
// shares nothing with Unrolled.
type deck struct {
	loops    []clock.Loop
	released []bool
	made     []int // passes of each loop that were begun

	at    int // the next sample of the track
	heard []clock.Place
}

func (d *deck) play() {
	in, pass := -1, 0
	for i, l := range d.loops {
		if at := time.Duration(d.at) * ms; at >= l.From && at < l.To {
			if at == l.From {
				d.made[i]++
			}
			in, pass = i, d.made[i]
		}
	}
	d.heard = append(d.heard, clock.Place{Track: time.Duration(d.at) * ms, Loop: in, Pass: pass})
	d.at++
	if in >= 0 && time.Duration(d.at)*ms == d.loops[in].To && !d.released[in] {
		d.at = int(d.loops[in].From / ms)
	}
}

// meant is the loop that a release means while a sample is heard: the one that it lies in,
// or else the first behind it, or none.
func (d *deck) meant(sample int) int {
	p := d.heard[sample]
	for i, l := range d.loops {
		if i == p.Loop || p.Loop < 0 && l.From > p.Track {
			return i
		}
	}
	return -1
}

// drawLoops draws up to three loops in the first seconds of a track.
func drawLoops(t *rapid.T) []clock.Loop {
	var loops []clock.Loop
	at := 0
	for range rapid.IntRange(0, 3).Draw(t, "loops") {
		from := at + rapid.SampledFrom([]int{0, 1, 70, 400}).Draw(t, "gap")
		at = from + rapid.IntRange(100, 350).Draw(t, "length")
		loops = append(loops, clock.Loop{From: time.Duration(from) * ms, To: time.Duration(at) * ms})
	}
	return loops
}

// The line is what is heard sample by sample by somebody who plays the track a fixed time
// ahead and is told at any moment to leave a loop; the number of passes that was promised
// is the number that is made, and a jump to any instant of it finds the same place.
func TestUnrolled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		loops := drawLoops(t)
		line, err := clock.Unroll(loops)
		if err != nil {
			t.Fatal(err)
		}
		ahead := rapid.IntRange(1, 250).Draw(t, "ahead")
		d := &deck{loops: loops, released: make([]bool, len(loops)), made: make([]int, len(loops))}
		for range ahead {
			d.play()
		}
		promised := map[int]int{}
		next := rapid.IntRange(0, 900).Draw(t, "first release")
		for now := range 6000 {
			if now == next {
				next += rapid.IntRange(1, 900).Draw(t, "then")
				i := d.meant(now)
				n := line.Release(time.Duration(now)*ms, time.Duration(len(d.heard))*ms)
				if was, again := promised[i]; i < 0 != (n == 0) || again && was != n {
					t.Fatalf("at %d ms, heard %+v: %d passes of loop %d, promised %d before", now, d.heard[now], n, i, was)
				}
				if i >= 0 {
					d.released[i], promised[i] = true, n
				}
			}
			d.play()
		}
		for i, n := range promised {
			if time.Duration(d.at)*ms > loops[i].To && d.made[i] != n {
				t.Errorf("loop %d made %d passes, %d were promised", i, d.made[i], n)
			}
		}
		again, _ := clock.Unroll(loops)
		again.SetPasses(line.Passes())
		for i, want := range d.heard {
			at := time.Duration(i) * ms
			if got := line.Place(at); got != want {
				t.Fatalf("loops %v, passes %v: at %v %+v, heard was %+v", loops, line.Passes(), at, got, want)
			}
			if got := again.Place(at); got != want {
				t.Fatalf("after a jump to %v: %+v, want %+v", at, got, want)
			}
		}
	})
}

// The end of the line is where the place is the end of the track.
func TestUnrolledEnd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		loops := drawLoops(t)
		line, _ := clock.Unroll(loops)
		const length = 5 * time.Second
		if end := line.End(length); (end == clock.Forever) != (len(loops) > 0) {
			t.Errorf("%v: ends at %v before a release", loops, end)
		}
		var passes []int
		for range loops {
			passes = append(passes, rapid.IntRange(1, 10_000).Draw(t, "passes"))
		}
		line.SetPasses(passes)
		if got := line.Place(line.End(length)); got != (clock.Place{Track: length, Loop: -1}) {
			t.Errorf("%v, %v: the end is %+v", loops, passes, got)
		}
	})
}

func TestCheckLoops(t *testing.T) {
	for _, c := range []struct {
		loops []clock.Loop
		says  string
	}{
		{nil, ""},
		{[]clock.Loop{{0, 100 * ms}, {100 * ms, 300 * ms}}, ""},
		{[]clock.Loop{{-ms, time.Second}}, "loop 1 begins at -1ms: before the track"},
		{[]clock.Loop{{time.Second, time.Second + 99*ms}}, "loop 1 from 1s to 1.099s is shorter than 100ms"},
		{[]clock.Loop{{time.Second, 0}}, "shorter"},
		{[]clock.Loop{{0, time.Second}, {999 * ms, 2 * time.Second}}, "loop 2 begins at 999ms: before the one ahead of it ends, at 1s"},
	} {
		_, err := clock.NewLooped(c.loops)
		if says := fmt.Sprint(err); (err == nil) != (c.says == "") || !strings.Contains(says, c.says) {
			t.Errorf("%v: %v, want %q", c.loops, err, c.says)
		}
	}
}

// A clock with loops keeps the contract of such, alone and behind a time of day.
func TestLoopedIsAClock(t *testing.T) {
	looped := func(t *testing.T) *clock.Looped {
		c, err := clock.NewLooped(clocktest.Loops())
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	clocktest.CheckLooping(t, func(t *testing.T) clocktest.Machine { return clocktest.Machine{Clock: looped(t)} })
	clocktest.CheckLooping(t, func(t *testing.T) clocktest.Machine {
		return clocktest.Machine{Clock: clock.NewTimed(looped(t), time.Now())}
	})
}

// A release counts passes from where the clock is, and a jump takes its own.
func TestLooped(t *testing.T) {
	c, _ := clock.NewLooped([]clock.Loop{{2 * time.Second, 3 * time.Second}, {5 * time.Second, 6 * time.Second}})
	var l clock.Looping = c
	now := time.Unix(1000, 0)
	after := func(s float64) time.Time { return now.Add(time.Duration(s * 1e9)) }
	l.Run(now, 0)
	for _, step := range []struct {
		at   float64
		want int
	}{{6.5, 5}, {6.9, 5}, {7.5, 1}, {9.5, 1}, {11, 0}} {
		if n := l.Release(after(step.at)); n != step.want {
			t.Errorf("released at %v s: %d passes, want %d", step.at, n, step.want)
		}
	}
	l.RunAfter(now, 9500*ms, []int{3})
	if n := l.Release(now); n != 3 { // 2 s behind the loop, the second is at 7 s, in its third pass
		t.Errorf("after a jump: %d passes of the second loop, want 3", n)
	}
}

// Until its time a clock with loops stands, and takes the passes of its beginning along.
func TestTimedLoops(t *testing.T) {
	eight := time.Date(2026, 3, 14, 20, 0, 0, 0, time.UTC)
	inside, _ := clock.NewLooped([]clock.Loop{{2 * time.Second, 3 * time.Second}, {5 * time.Second, 6 * time.Second}})
	c := clock.NewTimed(inside, eight)
	c.RunAfter(eight.Add(-time.Minute), 9500*ms, []int{3})
	if n := c.Release(eight.Add(-time.Second)); n != 0 {
		t.Errorf("before it began: %d passes", n)
	}
	c.Read(eight)
	if n := c.Release(eight); n != 3 {
		t.Errorf("%d passes of the second loop, want 3", n)
	}
	plain := clock.NewTimed(&clock.Wall{}, eight)
	plain.RunAfter(eight, time.Second, nil)
	plain.Read(eight)
	if r := plain.Read(eight.Add(time.Second)); r.Position != 2*time.Second || plain.Release(eight) != 0 {
		t.Errorf("without loops it is at %v", r.Position)
	}
}

func ExampleLooping() {
	c, _ := clock.NewLooped([]clock.Loop{{From: 4 * time.Second, To: 6 * time.Second}})
	now := time.Unix(1000, 0)
	c.Run(now, 0)
	fmt.Println("in the third pass a hand says go: it is left after", c.Release(now.Add(9*time.Second)))
	// Output: in the third pass a hand says go: it is left after 3
}
