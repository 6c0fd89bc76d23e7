// Package clocktest checks that a clock keeps the contract of clock.Clock,
// whatever it goes by: call [Check].
package clocktest

import (
	"math"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/clock"
)

// Machine is a clock and what it goes by: a device, another machine, a player. It is
// what a test knows of the other side; all of it runs in the bubble's own time.
type Machine struct {
	Clock clock.Clock
	// Tick lets the machine do what it does by now, at its own pace of 1. It is
	// called every 5 ms while the machine is there, and may be nil.
	Tick func(now time.Time)
	// Lose takes the machine away, and Find brings it back. Both are nil for
	// what cannot be lost.
	Lose, Find func()
	// Waits is true for a clock that stands until it hears the machine.
	Waits bool
	// GoesOn is true for a clock by which the show goes on without its machine.
	GoesOn bool
}

// Limits of the contract.
const (
	// Limits are this project's choice: what a person at the desk needs to see in time,
	// and what light and sound may be apart before it is seen.
	told    = time.Second            // from a cause to its fault
	lostBy  = 3 * time.Second        // from silence to Lost, the freewheeling included
	foundBy = 5 * time.Second        // from the machine's return, the look for its device included
	steady  = 60 * time.Millisecond  // of corrections, in a second
	begins  = 700 * time.Millisecond // until a clock that was told to run does
)

// Check runs the contract against clocks that open makes, one for each part. It
// runs in bubbles of false time; what a clock has started and Close has not
// ended fails the bubble.
func Check(t *testing.T, open func(t *testing.T) Machine) {
	for _, p := range []struct {
		name string
		run  func(*table)
	}{
		{"runs as fast as it says", runs},
		{"holds and goes on", holds},
		{"says that it waits", waits},
		{"is lost, says so and what to do, and is found", lost},
		{"is lost again", lostTwice},
		{"is lost while it is held", lostHeld},
		{"ends while it is lost", closesLost},
		{"close ends it", func(*table) {}},
	} {
		t.Run(p.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				m := open(t)
				if m.Clock.Name() == "" {
					t.Error("the clock has no name")
				}
				b := &table{T: t, m: m, on: true}
				p.run(b)
				for range 2 {
					if err := m.Clock.Close(); err != nil {
						t.Errorf("Close: %v", err)
					}
				}
				m.Clock.Read(time.Now()) // of what was closed does no harm
			})
		})
	}
}

// table is where a clock is tried: time goes on by pass alone.
type table struct {
	*testing.T
	m    Machine
	on   bool // the machine is there
	last clock.Reading
	at   time.Time
}

// pass lets time go by, and reads the clock at every frame of some 44 a second: what it
// says must hang together. Five milliseconds is finer than any machine's pace, so
// nothing that it says is late for want of a tick.
func (b *table) pass(d time.Duration) clock.Reading {
	b.Helper()
	const step = 5 * time.Millisecond
	end := time.Now().Add(d)
	for i := 1; time.Now().Before(end); i++ {
		time.Sleep(step)
		if b.on && b.m.Tick != nil {
			b.m.Tick(time.Now())
		}
		synctest.Wait()
		if i%4 == 0 {
			b.read()
		}
	}
	return b.read()
}

// read reads the clock and holds the reading against the one before.
//
// Whatever the state: a fault has a text and a hint or neither; speeds are not
// negative; what is held stands; what runs has nothing wrong with it; what freewheels
// or is lost says why.
func (b *table) read() clock.Reading {
	b.Helper()
	now := time.Now()
	r := b.m.Clock.Read(now)
	switch faulty := r.Fault.Text != ""; {
	case r.State == clock.Runs && faulty:
		b.Errorf("it runs, and says %q", r.Fault.Text)
	case (r.State == clock.Freewheels || r.State == clock.Lost) && !faulty:
		b.Errorf("it is %v, and does not say what is wrong", r.State)
	case faulty && r.Fault.Hint == "":
		b.Errorf("it says %q, and not what to do", r.Fault.Text)
	}
	if r.Speed < 0 || r.State == clock.Held && r.Speed != 0 {
		b.Errorf("it is %v at speed %v", r.State, r.Speed)
	}
	if b.last.State == r.State && !b.at.IsZero() {
		b.follows(r, now.Sub(b.at))
	}
	b.last, b.at = r, now
	return r
}

// follows holds a reading against the one before in the same state: as long ago as that
// is, the position has gone as far as the speed says. Only readings in one state are
// compared: a change of state may move the position, as when a lost machine is found
// elsewhere.
func (b *table) follows(r clock.Reading, since time.Duration) {
	b.Helper()
	went := r.Position - b.last.Position
	if r.State == clock.Runs && went < 0 {
		b.Errorf("while it runs it goes back by %v", -went)
	}
	if r.State != clock.Runs && r.Speed == 0 && b.last.Speed == 0 && went != 0 {
		b.Errorf("while it is %v and stands it goes by %v", r.State, went)
	}
}

// away and back take the machine away and bring it back.
func (b *table) away() { b.on = false; b.m.Lose() }
func (b *table) back() { b.on = true; b.m.Find() }

// until passes time until the clock is in a state, at most so long.
func (b *table) until(s clock.State, most time.Duration) (r clock.Reading, took time.Duration) {
	b.Helper()
	begin := time.Now()
	for r = b.read(); r.State != s; r = b.pass(20 * time.Millisecond) {
		if took = time.Since(begin); took > most {
			b.Fatalf("after %v it is %v (%s), want %v", took, r.State, r.Fault.Text, s)
		}
	}
	return r, time.Since(begin)
}

// start runs the clock until it moves. It then lets it settle, as a clock may pull
// itself straight at first.
func (b *table) start() clock.Reading {
	b.Helper()
	b.m.Clock.Run(time.Now(), 0)
	b.until(clock.Runs, begins)
	return b.pass(begins)
}

// runs: the position goes as far as the speed says, which is that of the
// machine.
func runs(b *table) {
	r := b.start()
	for range 10 {
		before := r
		r = b.pass(time.Second)
		if went := r.Position - before.Position; (went - time.Duration(before.Speed*1e9)).Abs() > steady {
			b.Errorf("in a second at speed %.3f it went %v", before.Speed, went)
		}
		if math.Abs(r.Speed-1) > .02 || r.State != clock.Runs {
			b.Errorf("it is %v at speed %v", r.State, r.Speed)
		}
	}
}

// holds: a hold stops the position where it was, for as long as it lasts and without a
// fault, and running again goes on from there.
func holds(b *table) {
	before := b.start()
	b.m.Clock.Hold(time.Now())
	r := b.read()
	if (r.Position-before.Position).Abs() > steady || r.State != clock.Held {
		b.Errorf("hold takes it from %v to %v, %v", before.Position, r.Position, r.State)
	}
	if later := b.pass(10 * time.Second); later.Position != r.Position || later.State != clock.Held || later.Fault.Text != "" {
		b.Errorf("held at %v, then %v at %v (%s)", r.Position, later.State, later.Position, later.Fault.Text)
	}
	b.m.Clock.Run(time.Now(), r.Position)
	b.at = time.Time{} // it may go elsewhere
	b.until(clock.Runs, begins)
	if on := b.pass(2 * time.Second); on.Position < r.Position+time.Second {
		b.Errorf("2 s after a hold at %v it is at %v", r.Position, on.Position)
	}
}

// waits: before its machine is heard a clock stands, and says so.
func waits(b *table) {
	if !b.m.Waits {
		return
	}
	b.on = false
	b.m.Clock.Run(time.Now(), 0)
	if r := b.pass(time.Minute); r.State != clock.Held || r.Fault.Text == "" {
		b.Errorf("before the machine is heard it is %v (%s)", r.State, r.Fault.Text)
	}
}

// loss takes the machine away: the fault is there within a second, and the clock
// lost soon after.
func (b *table) loss() clock.Reading {
	b.Helper()
	before := b.read()
	gone := time.Now()
	b.away()
	for b.read().Fault.Text == "" {
		b.pass(20 * time.Millisecond)
		if since := time.Since(gone); since > told {
			b.Fatalf("%v after its machine has gone it says nothing", since)
		}
	}
	b.Logf("told after %v: %s", time.Since(gone), b.last.Fault.Text)
	if b.last.State == clock.Runs || b.last.State == clock.Held {
		b.Errorf("its machine has gone, and it is %v", b.last.State)
	}
	_, took := b.until(clock.Lost, lostBy)
	b.Logf("lost %v later", took)
	r := b.pass(10 * time.Second)
	went := r.Position - before.Position
	since := time.Since(gone)
	if goes := r.Speed == 1; goes != b.m.GoesOn || r.State != clock.Lost {
		b.Errorf("without its machine it is %v at speed %v", r.State, r.Speed)
	}
	if b.m.GoesOn && (went-since).Abs() > steady || !b.m.GoesOn && went > lostBy {
		b.Errorf("in %v without its machine it went %v", since, went)
	}
	return r
}

// found brings the machine back: the clock runs again within five seconds, and then at
// the machine's pace.
func (b *table) found() {
	b.Helper()
	b.back()
	_, took := b.until(clock.Runs, foundBy)
	b.Logf("found after %v", took)
	before := b.pass(begins)
	if r := b.pass(time.Second); r.State != clock.Runs || (r.Position-before.Position-time.Second).Abs() > steady {
		b.Errorf("found after %v, it is %v and goes %v in a second", took, r.State, r.Position-before.Position)
	}
}

// lost: what can be lost is, in time and with a reason, and is found again; what cannot
// runs on.
func lost(b *table) {
	if b.m.Lose == nil {
		if b.start(); b.pass(5*time.Minute).State != clock.Runs {
			b.Error("what cannot be lost does not run")
		}
		return
	}
	b.start()
	b.pass(2 * time.Second)
	b.loss()
	b.found()
}

// lostTwice: being found leaves nothing behind that would hide a second or third loss.
func lostTwice(b *table) {
	if b.m.Lose == nil {
		return
	}
	b.start()
	for range 3 {
		b.pass(2 * time.Second)
		b.loss()
		b.found()
	}
}

// lostHeld: what is lost stays lost when it is held, and goes on when it is back.
func lostHeld(b *table) {
	if b.m.Lose == nil {
		return
	}
	b.start()
	b.pass(2 * time.Second)
	b.loss()
	b.m.Clock.Hold(time.Now())
	r := b.read()
	if later := b.pass(5 * time.Second); later.Position != r.Position || later.Speed != 0 {
		b.Errorf("lost and held at %v, then at %v, speed %v", r.Position, later.Position, later.Speed)
	}
	b.back()
	b.pass(foundBy)
	b.m.Clock.Run(time.Now(), r.Position)
	b.at = time.Time{} // it may go elsewhere
	b.until(clock.Runs, begins)
}

// closesLost: Close must end what looks for the machine.
func closesLost(b *table) {
	if b.m.Lose == nil {
		return
	}
	b.start()
	b.away()
	b.pass(lostBy)
}
