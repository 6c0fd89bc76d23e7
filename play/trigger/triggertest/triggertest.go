// Package triggertest checks that a source of triggers keeps the contract of package
// trigger, whatever it listens to: call [Check], or [CheckInBubble] where all of it runs
// in false time, with what opens one, and with the far end of it.
package triggertest

import (
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/leaktest"
	"lampblack/play/trigger"
)

// Machine is a set with one trigger that has no rules, and what a test knows of the
// other side.
type Machine struct {
	Set *trigger.Set
	// Close closes the contact, and Open opens it. Open is nil for what is pressed
	// only; Close then presses.
	Close, Open func()
	// Level is true for a contact that stands somehow before anything is said, and so is
	// read afresh.
	Level bool
	// Lose takes the source away, and Find brings it back. Both are nil for what cannot
	// be lost. Silence is how long its loss takes to be one.
	Lose, Find func()
	Silence    time.Duration
	// Noise is what says nothing: damaged packets, other messages. It may be nil.
	Noise func()
	// Flood is more than anybody reads. It may be nil.
	Flood func()
	// End ends the other side. It may be nil.
	End func()
}

// told is how soon a loss is to be told; patience is how long a busy machine may take
// for what comes at once.
const (
	told     = time.Second
	patience = 20 * time.Second
)

type part struct {
	name string
	run  func(*table)
}

var parts = []part{
	{"closings fire", fires},
	{"what cannot be read does no harm", noise},
	{"a flood does no harm", flood},
	{"what is found closed fires nothing", foundClosed},
	{"it is lost, says so and what to do, and is found", lost},
	{"it is closed while it is lost", closesLost},
}

// Check runs the contract against machines that open makes, one for each part. Each
// gives its options to Open: a set tells there what it hears. What a set has started
// and Close has not ended fails the test.
func Check(t *testing.T, open func(t *testing.T, o trigger.Options) Machine) {
	for _, p := range parts {
		t.Run(p.name, func(t *testing.T) {
			leaktest.Check(t, func() { try(t, open, p, false) })
		})
	}
}

// CheckInBubble is Check in bubbles of false time, where losses are timed.
func CheckInBubble(t *testing.T, open func(t *testing.T, o trigger.Options) Machine) {
	for _, p := range parts {
		t.Run(p.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) { try(t, open, p, true) })
		})
	}
}

// table is where a machine is tried.
type table struct {
	*testing.T
	Machine
	heard  chan trigger.Heard
	bubble bool
	any    bool // what fires besides is no fault
}

func try(t *testing.T, open func(t *testing.T, o trigger.Options) Machine, p part, bubble bool) {
	b := &table{T: t, heard: make(chan trigger.Heard, 1<<16), bubble: bubble}
	b.Machine = open(t, trigger.Options{Heard: func(h trigger.Heard) { b.heard <- h }})
	p.run(b)
	for range 2 {
		if err := b.Set.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	}
	if b.End != nil {
		b.End()
	}
	for f := range b.Set.Fired() { // which is closed
		if !b.any {
			t.Errorf("it fired once more, at %v", f.Time)
		}
	}
	b.Set.Press("nobody") // of what was closed does no harm
	b.Set.Status()
}

// await waits until one of some things is heard.
func (b *table) await(texts ...string) trigger.Heard {
	b.Helper()
	for timeout := time.After(patience); ; {
		select {
		case h := <-b.heard:
			if slices.Contains(texts, h.Text) || len(texts) == 0 && h.Hint != "" {
				return h
			}
		case <-timeout:
			b.Fatalf("it was not heard that the contact %q: %+v", texts, b.Set.Status())
		}
	}
}

// opens opens the contact, and waits until that was heard.
func (b *table) opens() {
	b.Helper()
	if b.Open != nil {
		b.Open()
		if b.Set.Status()[0].Level != trigger.Opened {
			b.await("opens", "is open")
		}
	}
}

// closes closes the contact, and waits for it to fire.
func (b *table) closes() {
	b.Helper()
	b.Machine.Close()
	select {
	case f := <-b.Set.Fired():
		if f.Name != b.Set.Status()[0].Name || f.Since.After(f.Time) || time.Since(f.Time) > patience {
			b.Errorf("fired %+v", f)
		}
	case <-time.After(patience):
		b.Fatalf("it did not fire: %+v", b.Set.Status())
	}
}

// fires: each closing fires once, however often it is said that it is closed.
func fires(b *table) {
	for range 3 {
		b.opens()
		b.closes()
		if b.Open != nil {
			b.Machine.Close()
		}
	}
	b.opens()
	if s := b.Set.Status()[0]; s.Fired != 3 || s.Fault != "" || s.Doubtful+s.Short+s.Deaf+s.Dropped != 0 {
		b.Errorf("status %+v", s)
	}
}

// noise: what cannot be read fires nothing, is counted, and what comes after it counts.
func noise(b *table) {
	if b.Noise == nil {
		return
	}
	b.opens()
	b.closes()
	b.Noise()
	b.opens()
	b.Noise()
	b.closes()
	if s := b.Set.Status()[0]; s.Fired != 2 || s.Fault != "" {
		b.Errorf("status %+v", s)
	}
}

// flood: what comes after a flood counts.
func flood(b *table) {
	if b.Flood == nil {
		return
	}
	b.opens()
	b.Flood()
	for range 100 { // what the flood fired itself, and what was lost in it
		if b.Open != nil {
			b.Open()
		}
		b.Machine.Close()
		select {
		case <-b.Set.Fired():
			b.any = true
			return
		case <-time.After(patience / 100):
		}
	}
	b.Errorf("after a flood nothing fires: %+v", b.Set.Status())
}

// foundClosed: a contact that is closed when it is first read fires nothing, and its
// next closing does.
func foundClosed(b *table) {
	if !b.Level || b.Lose == nil {
		return
	}
	b.opens()
	b.lose()
	b.Machine.Close()
	b.Find()
	b.await("is closed")
	b.opens()
	if s := b.Set.Status()[0]; s.Fired != 0 || s.Doubtful != 1 {
		b.Errorf("found closed: %+v", s)
	}
	b.closes()
}

// lose takes the source away: that is told in time, with what to do.
func (b *table) lose() {
	b.Helper()
	for len(b.heard) > 0 {
		<-b.heard // of before, when it may have been away as well
	}
	gone := time.Now()
	b.Lose()
	b.await()
	if after := time.Since(gone) - b.Silence; b.bubble && after > told {
		b.Errorf("it is told %v later", after)
	}
	if s := b.Set.Status()[0]; s.Fault == "" || s.Hint == "" || s.Level != trigger.Unknown {
		b.Errorf("lost, it is %+v", s)
	}
}

// lost: what was lost counts again when it is back, and again.
func lost(b *table) {
	if b.Lose == nil {
		return
	}
	rounds := 3
	if !b.bubble {
		rounds = 1 // the look for a device takes seconds
	}
	for range rounds {
		b.opens()
		b.closes()
		b.opens()
		b.lose()
		if b.bubble {
			time.Sleep(time.Minute)
		}
		b.Find()
		b.await("is listened to")
		if b.Level {
			b.await("is open")
		}
	}
	b.closes()
}

// closesLost: Close ends what looks for the source.
func closesLost(b *table) {
	if b.Lose != nil {
		b.opens()
		b.lose()
	}
}
