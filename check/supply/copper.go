package supply

import (
	"math"

	"lampblack/rig"
	"lampblack/si"
)

// Copper by IEC 60228's reference at 20 °C: 0.017241 ohm mm2/m, and a change
// of 0.00393 per kelvin.
const (
	copper      = 0.017241
	copperPerK  = 0.00393
	warmRunning = 343.15 // K: 70 °C, the limit of PVC insulation (BS 7671 appendix 4)
)

// tabled are voltage drops of two-core copper cable at 70 °C, single phase, in
// mV per ampere and metre (BS 7671 appendix 4, two-core PVC).
var tabled = map[float64]float64{1: 44, 1.5: 29, 2.5: 18, 4: 11, 6: 7.3, 10: 4.4, 16: 2.8, 25: 1.75}

// gauges are resistances of stranded uncoated copper at 75 °C in ohm per 1000
// feet (NEC chapter 9 table 8).
var gauges = map[int]float64{18: 7.95, 16: 4.99, 14: 3.14, 12: 1.98, 10: 1.24, 8: .778, 6: .491, 4: .308}

// flexible cord ratings in A: two current-carrying conductors. By mm2, BS 7671
// appendix 4 for flexible cords; by gauge, NEC table 400.5(A), column B; both
// from memory.
var (
	cordMetric = []struct{ section, amperes float64 }{{.5, 3}, {.75, 6}, {1, 10}, {1.25, 13}, {1.5, 16}, {2.5, 25}, {4, 32}, {6, 40}}
	cordGauge  = map[int]float64{18: 10, 16: 13, 14: 18, 12: 25, 10: 30, 8: 40, 6: 55, 4: 70}
)

// cold are the greatest resistances of flexible copper at 20 °C in ohm per km
// (IEC 60228, class 5).
var cold = map[float64]float64{.5: 39, .75: 26, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21}

// Drop returns the voltage lost on a two-wire run, there and back: from the
// published tables where they have the conductor, else
//
//	V = 2 I L R (1 + 0.00393 (T - 20 °C))
//
// with R from IEC 60228, class 5, or 0.017241 ohm mm2/m over the section. The
// temperature is that of the loaded conductor; a stated one outranks the
// tables.
func Drop(c rig.Cable, amperes si.Current) si.Voltage {
	length, section := float64(c.Length), float64(c.Section.Section)
	if length <= 0 || section <= 0 {
		return 0
	}
	if c.Warm == 0 {
		if ohms, ok := gauges[c.Section.AWG]; ok {
			return si.Voltage(2 * length / .3048 * float64(amperes) * ohms / 1000)
		}
		if mv, ok := tabled[section]; ok && c.Section.AWG == 0 {
			return si.Voltage(mv * float64(amperes) * length / 1000)
		}
		c.Warm = warmRunning
	}
	ohms := copper / section
	if known, ok := cold[section]; ok {
		ohms = known / 1000
	}
	return si.Voltage(2 * float64(amperes) * length * ohms * (1 + copperPerK*(float64(c.Warm)-293.15)))
}

// carries returns how much current a flexible cord may carry, 0 when that is not known.
// A section between two of the table has the rating of the smaller; one below the table
// is not known. Grouping, reels and hot rooms lower all of these, and are not seen.
func carries(c rig.Conductor) si.Current {
	if c.AWG > 0 {
		return si.Current(cordGauge[c.AWG])
	}
	amperes := 0.0
	for _, row := range cordMetric {
		if float64(c.Section) >= row.section-1e-9 {
			amperes = row.amperes
		}
	}
	return si.Current(amperes)
}

// Neutral returns the current in the neutral of three phases that carry
// currents of one kind: sqrt(a²+b²+c²-ab-bc-ca).
func Neutral(a, b, c si.Current) si.Current {
	x, y, z := float64(a), float64(b), float64(c)
	return si.Current(math.Sqrt(max(0, x*x+y*y+z*z-x*y-y*z-z*x)))
}

// magnetic returns the multiple of the rated current below which a breaker
// does not trip at once: 3, 5 and 10 for the curves B, C and D (IEC 60898-1).
// A breaker without a curve is taken for the quickest.
func magnetic(b rig.Breaker) float64 {
	switch b.Curve {
	case "C":
		return 5
	case "D":
		return 10
	}
	return 3
}

// Withstand returns the surge of the given length that a breaker lets pass: the
// magnetic threshold, raised for surges shorter than a half wave of 50 Hz by equal
// energy, sqrt(10 ms/t). The factor is a model without a source; makers publish curves
// that outrank it. Low is without the factor. Best is a hint to switch in groups;
// whether a breaker trips at a given surge is a matter of luck below its guaranteed
// tripping current, which is higher (10 times for C).
func Withstand(b rig.Breaker, seconds float64) si.Estimate[si.Current] {
	low := si.Current(magnetic(b)) * b.Rated
	factor := 1.0
	if seconds > 0 && seconds < .01 {
		factor = math.Sqrt(.01 / seconds)
	}
	best := low * si.Current(factor)
	return si.Estimate[si.Current]{Best: best, Low: low, High: best}
}
