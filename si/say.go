package si

import (
	"math"
	"strconv"
	"strings"
)

// Say prints a measured value for a person: two significant figures, a prefix
// where plain digits would be many, squares as squares, and a space before the
// unit: 0.0226 "lx" is "0.023 lx", 288300 "J/m2" is "290 kJ/m²", 154.3 "s" is
// "2.6 min". Whole numbers below 1000 keep all their digits, so that limits
// and counts stand as they were set.
//
// Files are written with String, which reads back to the same value; Say is
// for the eye alone.
func Say(v float64, unit string) string { return say(v, unit, 2) }

// Amount is a measured value that is still to be said: its String is what Say
// prints.
type Amount struct {
	Value float64
	Unit  string
}

// Of makes an amount of a value.
func Of(v float64, unit string) Amount { return Amount{v, unit} }

func (a Amount) String() string { return Say(a.Value, a.Unit) }

// SayBoth prints a value and its limit with as many figures, up to four, as it
// takes to tell them apart.
func SayBoth(v, limit float64, unit string) (value, most string) {
	for figures := 2; ; figures++ {
		value, most = say(v, unit, figures), say(limit, unit, figures)
		if value != most || figures == 4 || v == limit {
			return value, most
		}
	}
}

// say is a value in words of so many figures. Long times go over to minutes and hours at two
// of them, so that 90 s stays what a stopwatch shows.
func say(v float64, unit string, figures int) string {
	switch {
	case math.IsNaN(v):
		return "unknown"
	case math.Abs(v) >= 1e300:
		return "beyond measure"
	}
	unit = Squared(unit)
	if unit == "s" && math.Abs(v) >= 120 {
		v, unit = v/60, "min"
		if math.Abs(v) >= 120 {
			v, unit = v/60, "h"
		}
	}
	prefix := ""
	v, prefix = prefixed(v, unit, figures)
	return figured(v, figures) + Gap(prefix+singular(unit, v))
}

// Gap sets a space before a unit that wants one.
func Gap(unit string) string {
	if unit == "" || unit == "°" {
		return unit
	}
	return " " + unit
}

// Squared writes the squares of a unit symbol as squares: "W/m2" is "W/m²".
func Squared(unit string) string {
	return strings.NewReplacer("cm2", "cm²", "mm2", "mm²", "m2", "m²").Replace(unit)
}

// reachOf says, for the unit symbols that take prefixes, above what they take k
// and M: lux and lumens are read in plain thousands.
var reachOf = map[string]float64{
	"W": 1e3, "J": 1e3, "A": 1e3, "V": 1e3, "VA": 1e3, "Hz": 1e3, "m": 1e3,
	"lx": 1e4, "lm": 1e4, "cd": 1e4, "s": math.Inf(1),
}

// whole are those that take no m and µ: nobody reads a thousandth of a candela.
var whole = map[string]bool{"lx": true, "lm": true, "cd": true}

// milli are the symbols of which hundredths are read in thousandths: 30 mA, 50
// ms.
var milli = map[string]bool{"A": true, "V": true, "s": true}

// prefixed brings v between 0.01 and 1000 by a prefix of the unit's first
// symbol, when that takes any.
func prefixed(v float64, unit string, figures int) (float64, string) {
	first, _, _ := strings.Cut(unit, "/")
	top, ok := reachOf[first]
	a := math.Abs(v)
	if !ok || a == 0 {
		return v, ""
	}
	a = rounded(a, figures)
	switch {
	case a >= top*1e3:
		return v / 1e6, "M"
	case a >= top:
		return v / 1e3, "k"
	case a >= .1, whole[first], a >= .01 && !milli[first], first == "m" && a >= .001:
		return v, ""
	case a >= 1e-5:
		return v * 1e3, "m"
	case a >= 1e-8:
		return v * 1e6, "µ"
	}
	return v * 1e9, "n"
}

// tiny is below what plain digits are read for; units with prefixes reach
// farther down.
const tiny = 1e-6

func rounded(v float64, figures int) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'e', figures-1, 64), 64)
	return r
}

// figured prints v with so many significant figures and no idle zeros.
func figured(v float64, figures int) string {
	if v == math.Trunc(v) && math.Abs(v) < 1000 {
		return strconv.FormatFloat(v+0, 'f', -1, 64)
	}
	r := rounded(v, figures)
	if math.Abs(r) < tiny {
		return "nearly 0"
	}
	decimals := max(figures-1-int(math.Floor(math.Log10(math.Abs(r)))), 0)
	s := strconv.FormatFloat(r, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// singular is the unit of one thing: "flashes a second" of 1 is "flash a
// second". Symbols have no plural.
func singular(unit string, v float64) string {
	if v != 1 {
		return unit
	}
	first, rest, more := strings.Cut(unit, " ")
	switch {
	case first == "flashes":
		first = "flash"
	case len(first) > 3 && strings.HasSuffix(first, "s"):
		first = strings.TrimSuffix(first, "s")
	}
	if more {
		return first + " " + rest
	}
	return first
}

// Count prints a number of things: "1 flash", "3 warnings".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
