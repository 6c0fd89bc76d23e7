package show

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"lampblack/si"
	"lampblack/source"
)

// Bill is the text of show.yaml: what the show is called, what it sounds like,
// where it goes out, when it plays, and what a person has signed for.
type Bill struct {
	source.Pos
	Title      string      `key:"title"`      // the folder's name when absent
	Soundtrack source.Ref  `key:"soundtrack"` // a file inside the folder
	Outputs    []Output    `key:"outputs"`
	Days       []Day       `key:"days"`
	Wiring     Code        `key:"wiring rules"` // which code's load rule is computed
	Place      string      `key:"place"`
	About      string      `key:"about"` // what happens, in a sentence or two, for people
	Signed     []Signature `key:"signed"`
	Alarm      *bool       `key:"alarm input"` // whether one outside this program ends the dark
	Timing     Timing      `key:"timing"`
	// GoOnce is how long presses of go count as one; nil is [OneGo].
	GoOnce *si.Stretch `key:"go once in"`

	Sound  Sound                    `key:"sound"`        // the device, and how loud
	Extras source.Named[Extra]      `key:"extra sounds"` // by name
	Alarms source.Named[AlarmInput] `key:"alarm inputs"` // that this program listens to, by name

	Silence  Silence  `key:"when the run fails"` // and is started again
	Timecode Timecode `key:"timecode"`           // that is followed, when it is gone
	Live     Live     `key:"live sound"`         // that is heard as it comes
}

// Output is one way out: a line in the form that play/output reads.
type Output struct {
	source.Pos
	To        string `key:"to,required"`
	Universes []int  `key:"universes"` // all when empty
}

// Spec returns the output as one line, its universes with it.
func (o Output) Spec() string {
	if len(o.Universes) == 0 {
		return o.To
	}
	list := make([]string, len(o.Universes))
	for i, u := range o.Universes {
		list[i] = strconv.Itoa(u)
	}
	return o.To + " universes " + strings.Join(list, ",")
}

// Day says how long the ultraviolet is on for in one day of the run.
type Day struct {
	source.Pos
	Name      string     `key:"day,required"`
	Shows     int        `key:"shows"`
	Rehearsal si.Stretch `key:"rehearsal"`         // with ultraviolet, as "1 h 30 min" or "90 min"
	Children  bool       `key:"children"`          // take part or watch on this day
	Visitor   *int       `key:"each visitor sees"` // shows; somebody who sits through all of them when absent
}

// checkDays finds days that no run has, and forgets what is wrong with them.
func (b *Bill) checkDays(faults *source.Faults) {
	for i := range b.Days {
		d := &b.Days[i]
		if d.Shows < 0 || d.Shows > 100 {
			faults.Add(d.Pos, "", "%d shows on %s lie outside 0 to 100", d.Shows, d.Name)
			d.Shows = 0
		}
		if v := d.Visitor; v != nil && (*v < 0 || *v > d.Shows) {
			faults.Add(d.Pos, "", "a visitor sees %d of the %d shows on %s", *v, d.Shows, d.Name)
			d.Visitor = nil
		}
		if time.Duration(d.Rehearsal) > 24*time.Hour {
			faults.Add(d.Pos, "", "%v of rehearsal on %s are more than a day", time.Duration(d.Rehearsal), d.Name)
			d.Rehearsal = 0
		}
	}
	if t := &b.Timing; t.Speaker < 0 || t.Back < 0 {
		faults.Add(t.Pos, "", "a speaker is a negative distance away")
		t.Speaker, t.Back = 0, 0
	}
}

// Code names a wiring rule.
type Code string

// Wiring rules that the supply check can compute by.
const (
	CodeIEC Code = "IEC 60364"
	CodeUK  Code = "BS 7671"
	CodeUS  Code = "NEC"
)

// Choices lists the wiring rules.
func (Code) Choices() []string { return []string{string(CodeIEC), string(CodeUK), string(CodeUS)} }

// Signature lets a run go on in spite of one finding, in a person's name. It
// lapses when the measured value gets worse than Value, or the finding moves
// to another place.
type Signature struct {
	source.Pos
	Finding string   `key:"finding,required"` // its identifier
	Place   string   `key:"place"`            // as the finding gives it
	Person  string   `key:"person,required"`
	Date    Date     `key:"date,required"`
	Reason  string   `key:"reason,required"`
	Value   *float64 `key:"value"` // as the finding gave it when it was signed
	Light   string   `key:"light"` // sum of the cues and looks that were there then
}

// Date is a day of the calendar, ISO 8601: 2026-03-14.
type Date string

// UnmarshalText checks that the text is a day that exists.
func (d *Date) UnmarshalText(b []byte) error {
	if _, err := time.Parse(time.DateOnly, string(b)); err != nil {
		return fmt.Errorf("%q should be a day, as 2026-03-14", b)
	}
	*d = Date(b)
	return nil
}

// Units says how the value is written.
func (Date) Units() string { return "year-month-day" }

// Timing holds what delays sound and light on the way to the seat.
type Timing struct {
	source.Pos
	Speaker si.Length `key:"speaker to centre seat"`
	Back    si.Length `key:"speaker to back seat"`
	Sound   Delay     `key:"sound delay"` // "20 ms to 40 ms", of the playback
	Light   Delay     `key:"light delay"` // of the data line and the units
}

// Delay is a delay with its interval: "30 ms", "20 ms to 40 ms" or
// "30 ms ± 10 ms".
type Delay struct{ Low, High time.Duration }

// Best returns the middle of the interval.
func (d Delay) Best() time.Duration { return (d.Low + d.High) / 2 }

// UnmarshalText reads one of the forms that the type's comment lists. "±" is taken as
// the half width: 30 ms ± 10 ms is 20 ms to 40 ms.
func (d *Delay) UnmarshalText(b []byte) error {
	text := strings.ReplaceAll(string(b), "+-", "±")
	low, high, between := strings.Cut(text, " to ")
	best, spread, around := strings.Cut(text, "±")
	var err error
	switch {
	case between:
		d.Low, d.High, err = twoTimes(low, high)
	case around:
		d.Low, d.High, err = twoTimes(best, spread)
		d.Low, d.High = d.Low-d.High, d.Low+d.High
	default:
		d.Low, err = si.ParseTime(text)
		d.High = d.Low
	}
	if err == nil && d.High < d.Low {
		err = fmt.Errorf("the interval %q runs backwards", text)
	}
	return err
}

func twoTimes(a, b string) (x, y time.Duration, err error) {
	if x, err = si.ParseTime(a); err == nil {
		y, err = si.ParseTime(b)
	}
	return x, y, err
}

// Units says how the value is written.
func (Delay) Units() string { return "ms, alone, as an interval, or with ± and a spread" }

// OneGo is how long presses of go count as one where nobody says: less than a person takes
// between two that are meant (common practice, no source).
const OneGo = 300 * time.Millisecond

// Again is how soon after a go another counts.
func (b *Bill) Again() time.Duration {
	if b.GoOnce == nil {
		return OneGo
	}
	return time.Duration(*b.GoOnce)
}
