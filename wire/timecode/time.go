package timecode

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Rate is a frame rate. The numbers are those of MIDI time code.
type Rate uint8

// The four rates.
const (
	Rate24 Rate = iota
	Rate25
	Rate2997Drop
	Rate30
)

// Rates lists the rates in order.
var Rates = [...]Rate{Rate24, Rate25, Rate2997Drop, Rate30}

// Nominal is how many frame numbers a second has.
func (r Rate) Nominal() int64 { return [...]int64{24, 25, 30, 30}[r] }

// Fraction returns the exact frames a second as num/den.
func (r Rate) Fraction() (num, den int64) {
	if r == Rate2997Drop {
		return 30000, 1001
	}
	return r.Nominal(), 1
}

// Drop reports whether numbers are left out.
func (r Rate) Drop() bool { return r == Rate2997Drop }

// String returns the frames a second, "29.97 drop" for 30000/1001.
func (r Rate) String() string { return [...]string{"24", "25", "29.97 drop", "30"}[r] }

// ParseRate reads what String writes; "29.97" and "30 drop" mean the drop
// rate too.
func ParseRate(s string) (Rate, error) {
	switch strings.TrimSpace(s) {
	case "24":
		return Rate24, nil
	case "25":
		return Rate25, nil
	case "29.97", "29.97 drop", "30 drop":
		return Rate2997Drop, nil
	case "30":
		return Rate30, nil
	}
	return 0, fmt.Errorf("frame rate: got %q, want 24, 25, 29.97 or 30", s)
}

// Day is how many frames a day has.
func (r Rate) Day() int64 {
	if r.Drop() {
		return 24 * 6 * tenMinutes
	}
	return 24 * 3600 * r.Nominal()
}

// tenMinutes is how many drop frames ten minutes have: 10·60·30 - 9·2.
const tenMinutes = 17982

// Time is a time address: the number of a frame.
type Time struct {
	Rate                           Rate
	Hours, Minutes, Seconds, Frame uint8
}

// Check returns an error that names the first digit pair out of range.
func (t Time) Check() error {
	switch {
	case t.Rate > Rate30:
		return fmt.Errorf("timecode: rate: got %d, want 0 to 3", t.Rate)
	case t.Hours > 23 || t.Minutes > 59 || t.Seconds > 59 || int64(t.Frame) >= t.Rate.Nominal():
		return fmt.Errorf("timecode: got %02d:%02d:%02d:%02d, want at most 23:59:59:%02d", t.Hours, t.Minutes, t.Seconds, t.Frame, t.Rate.Nominal()-1)
	case t.Rate.Drop() && t.Frame < 2 && t.Seconds == 0 && t.Minutes%10 != 0:
		return fmt.Errorf("timecode: got %v, a number that drop frame leaves out", t)
	}
	return nil
}

// Count returns how many frames lie between midnight and the frame:
// 30 (3600 h + 60 m + s) + f - 2 (M - M div 10), M = 60 h + m, with drop frame.
func (t Time) Count() int64 {
	minutes := 60*int64(t.Hours) + int64(t.Minutes)
	n := t.Rate.Nominal()*(60*minutes+int64(t.Seconds)) + int64(t.Frame)
	if t.Rate.Drop() {
		n -= 2 * (minutes - minutes/10)
	}
	return n
}

// Frame returns the address of the nth frame since midnight; after a day it
// begins again, and negative numbers are before midnight.
func (r Rate) Frame(n int64) Time {
	n = (n%r.Day() + r.Day()) % r.Day()
	if r.Drop() {
		tens, rest := n/tenMinutes, n%tenMinutes
		n += 18 * tens
		if rest > 1 { // the first minute of ten keeps its 0 and 1
			n += 2 * ((rest - 2) / 1798)
		}
	}
	fps := r.Nominal()
	s := n / fps
	return Time{Rate: r, Hours: uint8(s / 3600), Minutes: uint8(s / 60 % 60), Seconds: uint8(s % 60), Frame: uint8(n % fps)}
}

// Add returns the address n frames later.
func (t Time) Add(n int64) Time { return t.Rate.Frame(t.Count() + n) }

// Offset returns how long after midnight the frame starts, in the time of a
// clock, to the nearest nanosecond.
func (t Time) Offset() time.Duration { return t.Rate.Duration(t.Count()) }

// Duration returns how long n frames take, to the nearest nanosecond.
func (r Rate) Duration(n int64) time.Duration {
	if n < 0 {
		return -r.Duration(-n)
	}
	num, den := r.Fraction()
	// num frames take den seconds exactly: only the rest needs the division,
	// and no product overflows.
	rest := n % num * den * int64(time.Second)
	return time.Duration(n/num*den)*time.Second + time.Duration((rest+num/2)/num)
}

// Frames returns the number of the frame that runs d after midnight: the
// largest n with Duration(n) at most d, were it not rounded.
func (r Rate) Frames(d time.Duration) int64 {
	num, den := r.Fraction()
	span := time.Duration(den) * time.Second
	spans, rest := int64(d/span), int64(d%span)
	if rest < 0 {
		spans, rest = spans-1, rest+int64(span)
	}
	return spans*num + rest*num/int64(span)
}

// At returns the address of the frame that runs d after midnight.
func (r Rate) At(d time.Duration) Time { return r.Frame(r.Frames(d)) }

// String returns hours, minutes, seconds and frame, the last after a semicolon
// with drop frame: 01:00:00;02.
func (t Time) String() string {
	mark := ':'
	if t.Rate.Drop() {
		mark = ';'
	}
	return fmt.Sprintf("%02d:%02d:%02d%c%02d", t.Hours, t.Minutes, t.Seconds, mark, t.Frame)
}

// Parse reads an address such as 01:02:03:04, or 01:02:03;04 with drop frame.
func (r Rate) Parse(s string) (Time, error) {
	t := Time{Rate: r}
	parts := strings.FieldsFunc(s, func(c rune) bool { return c == ':' || c == ';' })
	if len(parts) != 4 || strings.Contains(s, ";") && !r.Drop() {
		return Time{}, fmt.Errorf("timecode: got %q, want hours:minutes:seconds:frames at %v frames a second", s, r)
	}
	for i, p := range parts {
		v, err := strconv.ParseUint(p, 10, 8)
		if err != nil {
			return Time{}, fmt.Errorf("timecode %q: got %q, want a number", s, p)
		}
		*[]*uint8{&t.Hours, &t.Minutes, &t.Seconds, &t.Frame}[i] = uint8(v)
	}
	return t, t.Check()
}
