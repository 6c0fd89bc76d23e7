package beacon

import (
	"bytes"
	"reflect"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/course"
)

// pairOn opens one of a pair in a hall of false networks, with a clock of its own that began
// another day.
func pairOn(t *testing.T, word string, standby bool, a air, began time.Duration) *Pair {
	t.Helper()
	start := time.Now()
	p, err := openPair(word, standby, a, func() int64 { return int64(time.Since(start) + began) })
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func zones(in time.Duration) []course.Told {
	return []course.Told{{Zone: "hall", State: evening.State{Instant: time.Now(), Step: 1, In: in, Speed: 1}}}
}

// The two hear each other, and each knows when the other is gone; the place of the show is that
// of the instant at which it was said, though their clocks differ by a day.
func TestPair(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := &hall{}
		main, other := pairOn(t, "a long word", false, h.on("a"), 0), pairOn(t, "a long word", true, h.on("b"), 24*time.Hour)
		began := time.Now()
		main.Shows("v", "s")
		time.Sleep(time.Second)
		for range 20 {
			main.Say(zones(time.Since(began)), true, false, false)
			other.Say(nil, true, false, false)
			time.Sleep(pairEvery)
		}
		now := time.Now()
		heard, ok := other.Other(now)
		if !ok || !heard.Runs || heard.Version != "v" || len(heard.Zones) != 1 {
			t.Fatalf("the standby hears %+v, %v", heard, ok)
		}
		if in := heard.Zones[0].State.On(now).In; (in - now.Sub(began)).Abs() > time.Millisecond {
			t.Errorf("the show is at %v, and is told to be at %v", now.Sub(began), in)
		}
		if heard, ok := main.Other(now); !ok || !heard.Standby {
			t.Errorf("the main machine hears %+v, %v", heard, ok)
		}
		main.Bye()
		synctest.Wait()
		if heard, ok := other.Other(time.Now()); !ok || !heard.Ended || heard.Runs {
			t.Errorf("after its end the standby hears %+v", heard)
		}
		_ = main.Close()
		time.Sleep(2 * Gone)
		if _, ok := other.Other(time.Now()); ok {
			t.Error("a machine that says nothing is heard")
		}
		_ = other.Close()
	})
}

// Nobody is heard who does not know the word, nor what was recorded before, nor what was
// changed on the way.
func TestPairHearsNobodyElse(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := &hall{}
		other := pairOn(t, "a long word", true, h.on("b"), 0)
		stranger := pairOn(t, "another word", false, h.on("c"), 0)
		stranger.Say(zones(0), true, false, true)
		time.Sleep(5 * pairEvery)
		if heard, ok := other.Other(time.Now()); ok {
			t.Errorf("who does not know the word is heard: %+v", heard)
		}
		_ = stranger.Close()

		main := pairOn(t, "a long word", false, h.on("a"), 0)
		main.Say(zones(0), true, false, true)
		time.Sleep(5 * pairEvery)
		if _, ok := other.Other(time.Now()); !ok {
			t.Fatal("the main machine is not heard")
		}
		packet := main.message()
		_ = main.Close()
		synctest.Wait() // what it sent before is heard
		for i := range packet {
			bad := bytes.Clone(packet)
			bad[i] ^= 1
			before, _ := other.Other(time.Now())
			other.take(time.Now(), bad)
			if after, _ := other.Other(time.Now()); after.Seq != before.Seq {
				t.Fatalf("a packet with octet %d changed is heard", i)
			}
		}
		other.take(time.Now(), packet)
		time.Sleep(2 * Gone)
		other.take(time.Now(), packet) // recorded
		if _, ok := other.Other(time.Now()); ok {
			t.Error("a packet that came before is heard again")
		}
		_ = other.Close()

		// Another evening the recorded packet names a run that is over.
		tomorrow := pairOn(t, "a long word", true, h.on("b"), 0)
		tomorrow.take(time.Now(), packet)
		if heard, ok := tomorrow.Other(time.Now()); ok {
			t.Errorf("a packet of another evening is heard: %+v", heard)
		}
		_ = tomorrow.Close()
	})
}

// A person is told of who should not be there, within three seconds and until three seconds after
// it is gone: one with another word, one that plays the same part, one that hears nothing.
func TestPairTellsOfCompany(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := &hall{}
		main := pairOn(t, "a long word", false, h.on("a"), 0)
		is := func(what string, want Company) {
			t.Helper()
			time.Sleep(lately)
			got := main.Company(time.Now())
			got.Begun, got.Other = time.Time{}, Heard{}
			if !reflect.DeepEqual(got, want) {
				t.Errorf("%s: %+v, want %+v", what, got, want)
			}
		}
		is("nobody", Company{})
		stranger := pairOn(t, "another word", true, h.on("b"), 0)
		stranger.named(strings.Repeat("x", 1000))
		is("another word", Company{Stranger: strings.Repeat("x", longName)})
		if _, ok := main.Other(time.Now()); ok {
			t.Error("it is obeyed")
		}
		_ = stranger.Close()
		is("it is gone", Company{})
		double := pairOn(t, "a long word", false, h.on("c"), 0)
		double.named("second")
		is("two main machines", Company{Double: "second"})
		double.Bye()
		is("one has ended", Company{})
		_ = double.Close()
		deaf := h.on("d")
		close(deaf.gone) // it hears nothing
		one, err := openPair("a long word", true, muffled{deaf}, func() int64 { return 0 })
		if err != nil {
			t.Fatal(err)
		}
		one.named("deaf")
		is("one that hears nothing", Company{Deaf: "deaf"})
		_ = one.Close()
		standby := pairOn(t, "a long word", true, h.on("e"), 0)
		is("the one that should be there", Company{})
		if c := main.Company(time.Now()); c.Other.In.IsZero() || !c.Other.Standby {
			t.Errorf("%+v", c.Other)
		}
		_ = standby.Close()
		_ = main.Close()
	})
}

// named gives the machine of a pair another name.
func (p *Pair) named(machine string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.ours.Machine = machine
}

// muffled is an air that is closed already.
type muffled struct{ *hallAir }

func (muffled) Close() error { return nil }

func FuzzPair(f *testing.F) {
	f.Add([]byte(pairHead))
	p := &Pair{key: []byte("k"), mono: func() int64 { return 0 }, peers: map[string]*peer{}}
	f.Fuzz(func(t *testing.T, b []byte) {
		p.take(time.Now(), b)
		p.take(time.Now(), append(append([]byte(pairHead), p.sign(b)...), b...)) // who knows the word may still send anything
		p.Other(time.Now())
	})
}
