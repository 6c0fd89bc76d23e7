package si

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Decibels is a ratio of sound amplitudes as a level: 20·log10 of it, so that half the
// amplitude is -6.02 dB, and twice the power 3.01 dB (ISO 80000-8:2020, field levels).
type Decibels float64

// Lowest and Highest bound what a Decibels may be written as: 60 dB below nobody hears beside
// an audience, and 24 dB above is what a recording may have been made too soft by.
const (
	Lowest  Decibels = -60
	Highest Decibels = 24
)

// Amplitude is the ratio: 1 for 0 dB, 0.1 for -20 dB.
func (v Decibels) Amplitude() float64 { return math.Pow(10, float64(v)/20) }

// DecibelsOf is the level of a ratio of amplitudes.
func DecibelsOf(amplitude float64) Decibels { return Decibels(20 * math.Log10(amplitude)) }

// UnmarshalText reads a number with dB, or the ratio of amplitudes with %.
func (v *Decibels) UnmarshalText(b []byte) error {
	x, unit, err := SplitNumber(strings.ReplaceAll(string(b), "\u2212", "-"))
	if err != nil {
		return fmt.Errorf("level %w", err)
	}
	d := Decibels(x)
	switch unit {
	case "dB":
	case "%":
		d = DecibelsOf(x / 100)
	default:
		return fmt.Errorf("level %q should have one of the units %s", b, v.Units())
	}
	if !(d >= Lowest && d <= Highest) { // the logarithm of nothing as well
		return fmt.Errorf("level %q lies outside %s to %s", b, Lowest, Highest)
	}
	*v = d
	return nil
}

// MarshalText writes what String writes.
func (v Decibels) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Decibels) String() string {
	return strconv.FormatFloat(math.Round(float64(v)*10)/10+0, 'f', -1, 64) + " dB"
}

// Units lists the unit symbols that a Decibels may be written with.
func (Decibels) Units() string { return "dB or % of the amplitude" }
