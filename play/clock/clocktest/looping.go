package clocktest

import (
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/clock"
)

// Loops are those of the clocks that CheckLooping tries, on a track of a minute or more:
// from 2 to 3 s and from 5 to 6 s.
func Loops() []clock.Loop {
	return []clock.Loop{{From: 2 * time.Second, To: 3 * time.Second}, {From: 5 * time.Second, To: 6 * time.Second}}
}

// CheckLooping runs the contract of clock.Looping, beside that of every clock, against
// clocks that open makes with Loops. Their devices take less than 0.3 s ahead.
func CheckLooping(t *testing.T, open func(t *testing.T) Machine) {
	Check(t, open)
	t.Run("loops are left as it says", func(t *testing.T) {
		synctest.Test(t, func(t *testing.T) {
			m := open(t)
			b := &table{T: t, m: m, on: true}
			looping(b, m.Clock.(clock.Looping))
			if err := m.Clock.Close(); err != nil {
				t.Errorf("Close: %v", err)
			}
		})
	})
}

// looping: the position runs on as a loop repeats; a loop is left in the pass that is
// heard, or in the next at its very end; the answer stays the same, over a hold too; the
// next loop comes where that leaves it; and a jump takes its own passes.
func looping(b *table, c clock.Looping) {
	b.start()
	b.until(clock.Runs, begins)
	at := b.passTo(6400 * time.Millisecond)
	n := c.Release(time.Now())
	if in := int((at - 2*time.Second) / time.Second); n < in+1 || n > in+2 || in != 4 {
		b.Errorf("released at %v, it is left after %d passes", at, n)
	}
	c.Hold(time.Now())
	b.pass(time.Second)
	at = b.read().Position
	c.Run(time.Now(), at)
	b.goOn()
	if again := c.Release(time.Now()); again != n {
		b.Errorf("released again over a hold it has %d passes, and had %d", again, n)
	}
	second := 5*time.Second + time.Duration(n-1)*time.Second // on the line
	b.passTo(second + 1400*time.Millisecond)
	if n := c.Release(time.Now()); n != 2 {
		b.Errorf("the second loop is left after %d passes, want 2", n)
	}
	b.passTo(second + 2400*time.Millisecond)
	if n := c.Release(time.Now()); n != 0 {
		b.Errorf("behind all loops one is left after %d passes", n)
	}
	for _, jump := range []struct {
		to     time.Duration
		passes []int
		want   int
	}{
		{2400 * time.Millisecond, nil, 1},
		{4400 * time.Millisecond, []int{0, 7}, 3},
		{9400 * time.Millisecond, []int{3}, 3},
		{time.Second, []int{5, 6}, 5}, // left ahead
		{30 * time.Second, []int{1, 1}, 0},
		{2400 * time.Millisecond, []int{-1, -1, 9, 9}, 1}, // what no run ever counted
	} {
		c.RunAfter(time.Now(), jump.to, jump.passes)
		b.goOn()
		if n := c.Release(time.Now()); n != jump.want {
			b.Errorf("after a jump to %v with passes %v it is left after %d, want %d", jump.to, jump.passes, n, jump.want)
		}
	}
}

// goOn lets a clock begin that was told to run, from wherever.
func (b *table) goOn() {
	b.at = time.Time{}
	b.until(clock.Runs, begins)
}

// passTo passes time until the clock is at a position.
func (b *table) passTo(to time.Duration) time.Duration {
	b.Helper()
	r := b.read()
	for end := time.Now().Add(time.Minute); r.Position < to; r = b.pass(20 * time.Millisecond) {
		if time.Now().After(end) {
			b.Fatalf("after a minute it is at %v, want %v", r.Position, to)
		}
	}
	return r.Position
}
