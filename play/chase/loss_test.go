package chase

import (
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/clock"
)

// deck is another machine that sends MIDI time code into a cable, and can fall silent.
type deck struct {
	*testing.T
	cable *cable
	clock *Source
	at    time.Duration // of its own time
	on    bool
	last  clock.Reading
}

// newDeck starts one; the show begins with it.
func newDeck(t *testing.T, loss Loss) *deck {
	t.Helper()
	c := &cable{}
	p := &deck{T: t, cable: c, clock: followedWith(t, "mtc", c, loss), on: true}
	t.Cleanup(func() { _ = p.clock.Close() })
	p.clock.Run(time.Now(), 0)
	return p
}

// pass lets time go by, in frames of 20 ms: the light never leaps, but where it may.
func (p *deck) pass(d time.Duration, leaps bool) clock.Reading {
	p.Helper()
	const step = 5 * time.Millisecond // finer than quarter frames come
	for i := range d / step {
		time.Sleep(step)
		if p.on {
			p.cable.send(quarters(p.at, p.at+step))
		}
		p.at += step
		synctest.Wait()
		if i%4 != 3 {
			continue
		}
		r := p.clock.Read(time.Now())
		if went := r.Position - p.last.Position; !leaps && (went < 0 || went > 60*time.Millisecond) {
			p.Errorf("at %v of the tape the light leaps by %v, from %v to %v", p.at, went, p.last.State, r.State)
		}
		p.last = r
	}
	return p.last
}

// is checks where the show is, how, and what is said.
func (p *deck) is(state clock.State, at time.Duration, speed float64, text, hint string) {
	p.Helper()
	r := p.last
	if r.State != state || (r.Position-at).Abs() > 100*time.Millisecond || (r.Speed-speed) > .05 || (r.Speed-speed) < -.05 || !strings.Contains(r.Fault.Text, text) || !strings.Contains(r.Fault.Hint, hint) {
		p.Errorf("it is %v at %v, speed %v: %q, %q; want %v at %v, speed %v: %q, %q", r.State, r.Position, r.Speed, r.Fault.Text, r.Fault.Hint, state, at, speed, text, hint)
	}
}

// Timecode that is lost is freewheeled past for as long as was wished, and then the show stands,
// or goes on by the computer's clock, from the same place without a leap. What is back is
// followed at once, or offered and followed on go.
func TestTimecodeIsLost(t *testing.T) {
	const freewheel = 5 * time.Second
	lose := func(t *testing.T, loss Loss) *deck {
		p := newDeck(t, loss)
		p.pass(time.Second, true)
		p.pass(9*time.Second, false)
		p.is(clock.Runs, 10*time.Second, 1, "", "")
		p.on = false
		p.pass(time.Second, false) // told within a second
		p.is(clock.Freewheels, 11*time.Second, 1, "the show goes on by itself for 5 s", "see to the other machine")
		p.pass(20*time.Second, false)
		return p
	}
	for name, run := range map[string]func(t *testing.T){
		"stands, and follows again": func(t *testing.T) {
			p := lose(t, Loss{Freewheel: freewheel})
			p.is(clock.Lost, 15*time.Second, 0, "the light stands", "go goes on from 0:14.99")
			p.on = true
			p.pass(5*time.Second, true)
			p.is(clock.Runs, 36*time.Second, 1, "", "")
		},
		"stands, and go goes on": func(t *testing.T) {
			p := lose(t, Loss{Freewheel: freewheel})
			if !p.clock.Follows() || !p.clock.Begin(time.Now()) || p.clock.Begin(time.Now()) || p.clock.Follows() {
				t.Error("go does not go on, or does so twice")
			}
			p.pass(10*time.Second, false)
			p.is(clock.Lost, 25*time.Second, 1, "goes on by the computer's clock", "followed again as soon as it comes")
			p.clock.Hold(time.Now())
			p.pass(5*time.Second, false)
			p.is(clock.Lost, 25*time.Second, 0, "", "")
			p.clock.Run(time.Now(), 25*time.Second)
			p.pass(5*time.Second, false)
			p.is(clock.Lost, 30*time.Second, 1, "", "")
			p.clock.Run(time.Now(), 5*time.Second) // back
			p.pass(5*time.Second, true)
			p.is(clock.Lost, 10*time.Second, 1, "", "")
			p.on = true
			p.pass(5*time.Second, true)
			p.is(clock.Runs, p.at, 1, "", "")
		},
		"held while it is lost, and go goes on": func(t *testing.T) {
			p := newDeck(t, Loss{Freewheel: freewheel})
			p.pass(10*time.Second, true)
			p.clock.Hold(time.Now())
			p.on = false
			p.pass(20*time.Second, false)
			p.clock.Run(time.Now(), 10*time.Second)
			p.pass(5*time.Second, false)
			p.is(clock.Lost, 15*time.Second, 1, "goes on by the computer's clock", "")
		},
		"goes on, and follows again": func(t *testing.T) {
			p := lose(t, Loss{Freewheel: freewheel, GoesOn: true})
			p.is(clock.Lost, 31*time.Second, 1, "goes on by the computer's clock", "followed again as soon as it comes")
			p.on = true
			p.pass(3*time.Second, false) // it was never off
			p.is(clock.Runs, 34*time.Second, 1, "", "")
		},
		"goes on, and follows again when it is asked to": func(t *testing.T) {
			p := lose(t, Loss{Freewheel: freewheel, GoesOn: true, Asks: true})
			p.is(clock.Lost, 31*time.Second, 1, "goes on by the computer's clock", "go follows its timecode when it is back")
			p.at += 20 * time.Second // the tape was wound on meanwhile
			p.on = true
			p.pass(3*time.Second, false)
			p.is(clock.Freewheels, 34*time.Second, 1, "is back, at 0:5", "go follows it again")
			if !p.last.Offers || !p.clock.Begin(time.Now()) {
				t.Error("it does not offer to follow, or does not")
			}
			p.pass(3*time.Second, true)
			p.is(clock.Runs, 57*time.Second, 1, "", "")
		},
		"none ever comes, and go begins": func(t *testing.T) {
			p := newDeck(t, Loss{})
			p.on = false
			p.pass(5*time.Second, false)
			p.is(clock.Held, 0, 0, "none has come yet", "or go, which begins by the computer's clock")
			p.clock.Begin(time.Now())
			p.pass(5*time.Second, false)
			p.is(clock.Lost, 5*time.Second, 1, "has come; the show goes by the computer's clock", "")
		},
	} {
		t.Run(name, func(t *testing.T) { synctest.Test(t, run) })
	}
}
