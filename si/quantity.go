package si

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Length is in metres.
type Length float64

// Angle is in radians; files give degrees.
type Angle float64

// Wavelength is in nanometres.
type Wavelength float64

// Power is in watts: electrical power, or radiant flux of a source.
type Power float64

// ApparentPower is in volt amperes.
type ApparentPower float64

// LuminousFlux is in lumens.
type LuminousFlux float64

// LuminousIntensity is in candelas.
type LuminousIntensity float64

// Illuminance is in lux.
type Illuminance float64

// Luminance is in candelas per square metre.
type Luminance float64

// Irradiance is in watts per square metre.
type Irradiance float64

// Speed is in metres a second.
type Speed float64

// Current is in amperes.
type Current float64

// Voltage is in volts.
type Voltage float64

// Frequency is in hertz.
type Frequency float64

// Temperature is in kelvins; files may give degrees Celsius.
type Temperature float64

// Section is the cross-section of a conductor in square millimetres.
type Section float64

// Mass is in kilograms.
type Mass float64

// Ratio is a plain number; files may give it in per cent.
type Ratio float64

// quantity ties a type to the symbols that it may be written with; the first
// symbol is the one that String prints. A number with a symbol is
// number·factor + offset in the stored unit; only degrees Celsius have an offset.
// Feet and inches are the international ones (0.3048 m exactly, 1959), a footcandle
// is a lumen on a square foot, 1/0.3048² lx.
type quantity struct {
	name  string
	units []symbol
}

type symbol struct {
	text   string
	factor float64
	offset float64
}

var (
	lengths      = quantity{"length", []symbol{{"m", 1, 0}, {"cm", .01, 0}, {"mm", .001, 0}, {"km", 1000, 0}, {"ft", .3048, 0}, {"in", .0254, 0}}}
	angles       = quantity{"angle", []symbol{{"°", math.Pi / 180, 0}, {"deg", math.Pi / 180, 0}, {"rad", 1, 0}}}
	wavelengths  = quantity{"wavelength", []symbol{{"nm", 1, 0}}}
	powers       = quantity{"power", []symbol{{"W", 1, 0}, {"mW", .001, 0}, {"kW", 1000, 0}}}
	apparents    = quantity{"apparent power", []symbol{{"VA", 1, 0}, {"kVA", 1000, 0}}}
	fluxes       = quantity{"luminous flux", []symbol{{"lm", 1, 0}, {"klm", 1000, 0}}}
	intensities  = quantity{"luminous intensity", []symbol{{"cd", 1, 0}, {"kcd", 1000, 0}}}
	illuminances = quantity{"illuminance", []symbol{{"lx", 1, 0}, {"lux", 1, 0}, {"fc", 10.763910416709722, 0}}}
	luminances   = quantity{"luminance", []symbol{{"cd/m²", 1, 0}, {"cd/m2", 1, 0}}}
	irradiances  = quantity{"irradiance", []symbol{{"W/m²", 1, 0}, {"W/m2", 1, 0}, {"mW/m2", .001, 0}, {"uW/cm2", .01, 0}, {"µW/cm2", .01, 0}, {"µW/cm²", .01, 0}, {"mW/cm2", 10, 0}}}
	currents     = quantity{"current", []symbol{{"A", 1, 0}, {"mA", .001, 0}, {"uA", 1e-6, 0}}}
	voltages     = quantity{"voltage", []symbol{{"V", 1, 0}, {"mV", .001, 0}, {"kV", 1000, 0}}}
	speeds       = quantity{"speed", []symbol{{"m/s", 1, 0}, {"cm/s", .01, 0}, {"km/h", 1 / 3.6, 0}, {"ft/s", .3048, 0}}}
	frequencies  = quantity{"frequency", []symbol{{"Hz", 1, 0}, {"kHz", 1000, 0}, {"/s", 1, 0}}}
	temperatures = quantity{"temperature", []symbol{{"K", 1, 0}, {"°C", 1, 273.15}, {"C", 1, 273.15}}}
	sections     = quantity{"cross-section", []symbol{{"mm²", 1, 0}, {"mm2", 1, 0}}}
	masses       = quantity{"mass", []symbol{{"kg", 1, 0}, {"g", .001, 0}, {"t", 1000, 0}, {"lb", .45359237, 0}}}
	ratios       = quantity{"ratio", []symbol{{"", 1, 0}, {"%", .01, 0}}}
)

// SplitNumber cuts "12.5 kW" into 12.5 and "kW". Infinities, NaN and hex
// floats are refused: no quantity of a show is one. So are signs and points
// within the number, as in "1.2.3 m"; a comma begins the unit, which then is none.
func SplitNumber(s string) (number float64, unit string, err error) {
	s = strings.TrimSpace(s)
	end := 0
	for end < len(s) && goesOn(s, end) {
		end++
	}
	number, err = strconv.ParseFloat(s[:end], 64)
	if err != nil || math.IsInf(number, 0) {
		return 0, "", fmt.Errorf("%q does not begin with a number", s)
	}
	return number, strings.TrimSpace(s[end:]), nil
}

// goesOn tells whether the number that s begins with still goes on at byte i. A
// sign belongs to it in front and behind an e; an e does when an exponent follows,
// so that a unit may begin with one.
func goesOn(s string, i int) bool {
	switch s[i] {
	case '.':
		return true
	case '+', '-':
		return i == 0 || isE(s[i-1])
	case 'e', 'E':
		return i > 0 && isExponent(s[i+1:])
	}
	return '0' <= s[i] && s[i] <= '9'
}

func isE(c byte) bool { return c == 'e' || c == 'E' }

// isExponent tells whether s begins with a digit, behind signs or not.
func isExponent(s string) bool {
	s = strings.TrimLeft(s, "+-")
	return s != "" && s[0] >= '0' && s[0] <= '9'
}

// parse reads a number with a unit into the quantity's base unit. Symbols are taken as they
// are written, case and all: mW is not MW.
func (q quantity) parse(s string) (float64, error) {
	n, unit, err := SplitNumber(s)
	if err != nil {
		return 0, fmt.Errorf("%s %w", q.name, err)
	}
	for _, u := range q.units {
		if u.text == unit {
			v := n*u.factor + u.offset
			if math.IsInf(v, 0) {
				return 0, fmt.Errorf("%s %q is beyond all numbers", q.name, s)
			}
			return v, nil
		}
	}
	if unit == "" {
		return 0, fmt.Errorf("%s %q has no unit: write %s %s", q.name, s, strings.TrimSpace(s), typed(q.units[0].text))
	}
	return 0, fmt.Errorf("%q is no unit of %s: use %s", unit, q.name, q.symbols())
}

// parse reads a number with one of the quantity's symbols and returns it in the
// stored unit. Only a symbol of "" allows a number alone: a file that says 250 where
// one thinks of centimetres and one of metres would be read wrongly without a word.
func typed(symbol string) string { return strings.ReplaceAll(symbol, "²", "2") }

// symbols lists the symbols for hints and schemas, each in the form that keyboards
// have.
func (q quantity) symbols() string {
	var texts []string
	for _, u := range q.units {
		switch u.text {
		case "":
			texts = append(texts, "a plain number")
		case "m²", "cd/m²", "W/m²", "J/m²", "mm²", "µW/cm2", "µW/cm²":
			// Another form, with plain letters, stands in the list.
		default:
			texts = append(texts, u.text)
		}
	}
	if len(texts) == 1 {
		return texts[0]
	}
	return strings.Join(texts[:len(texts)-1], ", ") + " or " + texts[len(texts)-1]
}

// format prints v in the first unit with as many digits as read back to v, or
// rounded to six decimals where that is shorter: 0.3 for a sum that came out as
// 0.30000000000000004. What is smaller than a millionth of the unit is lost by it.
func (q quantity) format(v float64) string {
	u := q.units[0]
	n := (v - u.offset) / u.factor
	text := strconv.FormatFloat(n, 'f', -1, 64)
	if short := strconv.FormatFloat(n, 'f', 6, 64); len(short) < len(text) {
		text = strings.TrimRight(strings.TrimRight(short, "0"), ".")
	}
	if u.text == "" {
		return text
	}
	if u.text == "°" {
		return text + u.text
	}
	return text + " " + u.text
}
