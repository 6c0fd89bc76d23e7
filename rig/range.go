package rig

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"lampblack/si"
	"lampblack/source"
)

// Range is a span of slot values with one meaning.
type Range struct {
	source.Pos
	From, To  int
	Does      Action
	Low, High si.Frequency // of Flash and FlashRandom, at From and at To; a guess where Told is not zero
	Told      Told         // how the maker tells the rates, where there are no figures
}

// Told is what a maker says of flash rates in place of figures.
type Told string

// What makers say of flash rates in place of figures.
const (
	SlowToFast  Told = "slow to fast" // faster with the value
	FastToSlow  Told = "fast to slow" // slower with the value
	RateUnknown Told = "unknown"      // nothing at all
)

// told lists them, for reading.
var told = []Told{SlowToFast, FastToSlow, RateUnknown}

// Rates that the words of makers stand for: best guess, and the most that it may be.
// Small units are met from 0.5 Hz to 2 Hz at their slowest and from 10 Hz to 25 Hz at
// their fastest; the bounds are wider (common practice, no source).
const (
	slowBest, slowMost si.Frequency = 1, 3
	fastBest, fastMost si.Frequency = 15, 30
)

// guess sets the rates that the words stand for.
func (r *Range) guess(t Told) {
	r.Told = t
	switch t {
	case SlowToFast:
		r.Low, r.High = slowBest, fastBest
	case FastToSlow:
		r.Low, r.High = fastBest, slowBest
	case RateUnknown:
		r.Low, r.High = slowBest, slowBest
	}
}

// Fastest returns the fastest that the unit may flash at a slot value: the rate as the
// table says it, the greater end of a random one, and the most that words may stand
// for.
func (r *Range) Fastest(value int) si.Frequency {
	worst := *r
	switch r.Told {
	case SlowToFast:
		worst.Low, worst.High = slowMost, fastMost
	case FastToSlow:
		worst.Low, worst.High = fastMost, slowMost
	case RateUnknown:
		return fastMost
	}
	switch {
	case worst.Low == 0 && worst.High == 0: // the table says no rate
		return fastMost
	case r.Does == FlashRandom:
		return max(worst.Low, worst.High)
	}
	return worst.Rate(value)
}

// Meaning is what the range does, as a type's file has it: "open", "flash 1 Hz to 12 Hz".
func (r *Range) Meaning() string {
	text := string(r.Does)
	switch {
	case r.Does != Flash && r.Does != FlashRandom:
	case r.Told != "":
		text += " " + string(r.Told)
	case r.Low == r.High:
		text += fmt.Sprintf(" %v", r.Low)
	default:
		text += fmt.Sprintf(" %v to %v", r.Low, r.High)
	}
	return text
}

// Action is what a unit does in a range of slot values.
type Action string

// What a unit does in a range of slot values.
const (
	Open        Action = "open"          // light as the other slots say
	Closed      Action = "closed"        // no light, whatever the other slots say
	Level       Action = "level"         // the slot dims, from dark at From to full at To
	LevelDown   Action = "level falling" // the same upside down: full at From, dark at To
	Flash       Action = "flash"         // at a rate from Low to High
	FlashRandom Action = "flash random"  // at random, between Low and High on the mean
	Never       Action = "never"         // programs, sound, reset: the tool keeps out
	Nothing     Action = "nothing"       // no function
	Fan         Action = "fan"           // the fan's speed, from its slowest at From to its fastest at To
	FanOff      Action = "fan off"       // the fan stands
)

// bare lists the meanings that take no figure, and words that makers use for
// one of them.
var (
	bare    = []Action{Open, Closed, Level, LevelDown, Never, Nothing, Fan, FanOff}
	nothing = []string{"off", "no function"}
)

// rangeWords is the form of a meaning, as a regular expression.
func rangeWords() string {
	words := slices.Clone(nothing)
	for _, a := range bare {
		words = append(words, string(a))
	}
	return `^(` + strings.Join(words, "|") + `|flash (random )?([0-9.]+ *(Hz|kHz|/s)( to [0-9.]+ *(Hz|kHz|/s))?|slow to fast|fast to slow|unknown))$`
}

// rangeForm is one value or two.
var rangeForm = regexp.MustCompile(`^(\d{1,3})(?:\s*-\s*(\d{1,3}))?$`)

// readRange reads a key that is no word of a slot: a range of its values, with what they
// do.
func (s *Slot) readRange(key source.Ref, v source.Value) {
	m := rangeForm.FindStringSubmatch(key.Name)
	if m == nil {
		v.Fault(source.OneOf(key.Name, append(slices.Clone(slotKeys), "a range as 10-255")), "unknown key %q in a slot", key.Name)
		return
	}
	r := Range{Pos: key.Pos}
	r.From, _ = strconv.Atoi(m[1])
	r.To = r.From
	if m[2] != "" {
		r.To, _ = strconv.Atoi(m[2])
	}
	if r.To > 255 || r.To < r.From {
		v.Fault("", "the range %s is not inside 0-255, lower value first", key.Name)
		return
	}
	if err := r.action(v.Text()); err != nil {
		v.Fault("it may be open, closed, level, flash 1 Hz to 20 Hz, flash slow to fast, flash random 1 Hz to 10 Hz, fan, fan off, nothing, or never", "%v", err)
		return
	}
	s.Ranges = append(s.Ranges, r)
}

// action reads "open", "flash 1 Hz to 20 Hz" and the other words of a range.
func (r *Range) action(text string) error {
	switch {
	case slices.Contains(nothing, text):
		r.Does = Nothing
		return nil
	case slices.Contains(bare, Action(text)):
		r.Does = Action(text)
		return nil
	}
	rates, flash := strings.CutPrefix(text, string(Flash)+" ")
	if !flash {
		return fmt.Errorf("%q is no meaning of a range", text)
	}
	r.Does = Flash
	if rest, random := strings.CutPrefix(rates, "random "); random {
		r.Does, rates = FlashRandom, rest
	}
	if t := Told(rates); slices.Contains(told, t) {
		r.guess(t)
		return nil
	}
	low, high, two := strings.Cut(rates, " to ")
	if err := r.Low.UnmarshalText([]byte(low)); err != nil {
		return err
	}
	r.High = r.Low
	if two {
		if err := r.High.UnmarshalText([]byte(high)); err != nil {
			return err
		}
	}
	// Past 100 Hz nobody sees a flash; such a number is a slip, or a driver's frequency. Low
	// may be above High: on some lamps more means slower.
	if r.Low < 0 || r.High < 0 || r.Low > 100 || r.High > 100 {
		return fmt.Errorf("a flash rate lies outside 0 to 100 Hz")
	}
	return nil
}

// At returns the range that value lies in, or nil.
func (s *Slot) At(value int) *Range {
	for i := range s.Ranges {
		if r := &s.Ranges[i]; value >= r.From && value <= r.To {
			return r
		}
	}
	return nil
}

// Rate returns the flash rate that the range gives for a slot value.
func (r *Range) Rate(value int) si.Frequency {
	if r.To == r.From {
		return r.Low
	}
	share := float64(value-r.From) / float64(r.To-r.From)
	return r.Low + si.Frequency(share)*(r.High-r.Low)
}

// Value returns the slot value in the range whose flash rate is nearest to hz and no faster, where the
// range goes so slow: a rate that was asked for at a limit stays at the limit.
func (r *Range) Value(hz float64) int {
	if r.High == r.Low {
		return r.From
	}
	x := (hz - float64(r.Low)) / float64(r.High-r.Low)
	x = min(max(x, 0), 1)
	v := r.From + int(x*float64(r.To-r.From)+.5)
	slower := -1
	if r.High < r.Low {
		slower = 1
	}
	if float64(r.Rate(v)) > hz*(1+1e-9) && v+slower >= r.From && v+slower <= r.To {
		v += slower
	}
	return v
}

// find returns the first range that does one of the actions.
func (s *Slot) find(actions ...Action) *Range {
	for i := range s.Ranges {
		if slices.Contains(actions, s.Ranges[i].Does) {
			return &s.Ranges[i]
		}
	}
	return nil
}

// Rest is the value that the slot is set to; else that at which it lets light
// through and does nothing else: the middle of its open or empty range, or an
// end of it that is 0 or 255, since a value just inside a range may be another
// on the next batch. A fan rests at its fastest, which cools whatever the light
// does.
func (s *Slot) Rest() int {
	if s.Set != nil {
		return *s.Set
	}
	r := s.find(Open)
	if r == nil {
		r = s.find(Nothing)
	}
	fan := s.find(Fan)
	switch {
	case r == nil && fan != nil:
		return fan.To
	case r == nil:
		return 0
	case r.From == 0:
		return 0
	case r.To == 255:
		return 255
	}
	return (r.From + r.To) / 2
}
