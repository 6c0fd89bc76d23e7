package main

import (
	"encoding/json"
	"time"

	"github.com/spf13/cobra"

	"lampblack/play/hand"
	"lampblack/play/keeper"
	"lampblack/show"
	"lampblack/si"
)

// What the keeper remembers for the run that is started when this one dies, by names.
const (
	memoHand  = "hand"  // []hand.Came
	memoPhone = "phone" // the address where other devices come
	memoCodes = "codes" // []admit.Code

	memoDevices = "devices" // []admit.Device
)

// remember has the keeper remember something, where there is one.
func remember(name string, v any) {
	if toKeeper == nil {
		return
	}
	data, err := json.Marshal(v)
	if err != nil {
		data = nil
	}
	toKeeper.Remember(name, data)
}

// recall fills v with what the run before had remembered, and tells whether there is any.
func recall(name string, v any) bool {
	if again == nil || toKeeper == nil {
		return false
	}
	data, ok := toKeeper.Recall()[name]
	return ok && json.Unmarshal(data, v) == nil
}

// solvedFor loads a show for a run. One that is started again has the looks from its first frame as
// they were, worked out without the units that are out. That stops no run: the show was checked
// with all of them, and what is out was seen to be.
func solvedFor(c *cobra.Command, dir string, how reading, load func(*cobra.Command, string, reading) (*loaded, *show.Show, error)) (*loaded, *show.Show, error) {
	var came []hand.Came
	if how.night && recall(memoHand, &came) && len(came) > 0 {
		if how.out = came[len(came)-1].OutUnits(); len(how.out) > 0 {
			l, s, err := load(c, dir, how)
			if err == nil {
				return l, s, nil
			}
			if l != nil {
				l.close()
			}
		}
		how.out = nil
	}
	l, s, err := load(c, dir, how)
	if err == nil && how.night {
		err = l.unstopped(c)
	}
	return l, s, err
}

// before is what the hand of the run that died held. Black light that somebody had set by hand comes
// back only while it still stood: after that it is off, and a person sets it anew.
func (l *byHand) before(s *show.Show) (came []hand.Came, ok bool) {
	if !recall(memoHand, &came) || len(came) == 0 {
		return nil, false
	}
	stands := s.Bill.Silence.Ultraviolet
	if stands <= 0 {
		stands = keeper.UsualUltraviolet
	}
	dark := time.Since(again.Lit)
	last := &came[len(came)-1]
	if dark > stands {
		if state, set := l.unlit(last.State, s, "for "+si.Say(dark.Round(100*time.Millisecond).Seconds(), "s")); set {
			return []hand.Came{{State: state, At: last.At}}, true
		}
	}
	if !last.Nothing() {
		l.say("note", "the hand holds what it held: "+last.String())
	}
	return came, true
}

// unlit puts off the black light of a hand, and says so if there was any. length is how long the
// lamps were left to themselves.
func (l *byHand) unlit(state hand.State, s *show.Show, length string) (next hand.State, set bool) {
	if next, set = state.Unlit(s.Rig); set {
		l.say("warning", "black light that was set by hand stays off, as the lamps were left to themselves "+length+"; held is: "+next.String())
		l.say("hint", "set it anew on the page By hand, once you see that nobody looks into the lamps")
	}
	return next, set
}
