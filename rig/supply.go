package rig

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lampblack/si"
	"lampblack/source"
)

// Supply is what a fixture type asks of the mains.
type Supply struct {
	source.Pos
	Max     si.Power   `key:"max"`    // rated maximum
	Factor  si.Ratio   `key:"factor"` // power factor at full
	Inrush  Inrush     `key:"inrush"`
	Leakage si.Current `key:"leakage"` // standing, to earth
	Link    LinkLimit  `key:"link"`    // most units in one chain, by the maker
	Through si.Current `key:"through"` // rating of its inlet and outlet
}

// check finds values that no supply has, and forgets them.
func (s *Supply) check(faults *source.Faults) {
	if s.Pos.Line == 0 {
		return
	}
	if s.Max < 0 || s.Leakage < 0 || s.Through < 0 {
		faults.Add(s.Pos, "", "the supply has a negative value")
		s.Max, s.Leakage, s.Through = max(s.Max, 0), max(s.Leakage, 0), max(s.Through, 0)
	}
	if s.Factor < 0 || s.Factor > 1 {
		faults.Add(s.Pos, "watts over volt amperes, 0.5 to 0.99 for most", "the power factor %v lies outside 0 to 1", s.Factor)
		s.Factor = 0
	}
}

// PlainVoltage is taken where a circuit does not say its voltage.
const PlainVoltage si.Voltage = 230

// Mains returns the circuit's voltage, or PlainVoltage where it says none.
func (c *Circuit) Mains() si.Voltage {
	if c.Voltage > 0 {
		return c.Voltage
	}
	return PlainVoltage
}

// check finds values that no circuit has, and forgets them.
func (c *Circuit) check(name string, circuits []string, faults *source.Faults) {
	if c.Voltage < 0 || c.Voltage > 1000 {
		faults.Add(c.Pos, "230 V, or 120 V", "circuit %s has %v", name, c.Voltage)
		c.Voltage = 0
	}
	if c.RCD < 0 || c.Outlet < 0 || c.Other < 0 || c.Cable.Length < 0 || c.Cable.Section.Section < 0 || c.Cable.Connector < 0 {
		faults.Add(c.Pos, "", "circuit %s has a negative value", name)
		c.RCD, c.Outlet, c.Other, c.Cable = 0, 0, 0, Cable{}
	}
	if at := c.At; at != nil && (max(at[0], at[1], at[2]) > 1000 || min(at[0], at[1], at[2]) < -1000) {
		faults.Add(c.Pos, "", "the outlets of circuit %s are more than 1 km away", name)
		c.At = nil
	}
	if n := c.Shares.Name; n != "" && (n == name || !slices.Contains(circuits, n)) {
		others := slices.DeleteFunc(slices.Clone(circuits), func(c string) bool { return c == name })
		faults.Add(c.Shares.Pos, source.OneOf(n, others), "there is no other circuit %q whose device circuit %s could share", n, name)
		c.Shares.Name = ""
	}
}

// LinkLimit is the most units that the maker allows in one chain, the first
// one counted: "8 units" or 8.
type LinkLimit int

// UnmarshalText reads a whole number, with or without the word units.
func (l *LinkLimit) UnmarshalText(b []byte) error {
	text := strings.TrimSpace(string(b))
	number := strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(text, "s"), "unit"))
	v, err := strconv.Atoi(number)
	if err != nil || v < 1 {
		return fmt.Errorf("%q should be a number of units from 1 up, as 8 units", text)
	}
	*l = LinkLimit(v)
	return nil
}

// Units says how the value is written.
func (LinkLimit) Units() string { return "a number of units, as 8 units" }

// Inrush is the surge at switching on: "25 A for 300 us".
type Inrush struct {
	Peak si.Current
	For  float64 // seconds; 0 when it is not known
}

// UnmarshalText reads "25 A for 300 us", or a peak alone.
func (i *Inrush) UnmarshalText(b []byte) error {
	peak, width, timed := strings.Cut(string(b), " for ")
	if err := i.Peak.UnmarshalText([]byte(strings.TrimSpace(peak))); err != nil {
		return fmt.Errorf("inrush %q should be a peak and how long it lasts, as 25 A for 300 us: %w", b, err)
	}
	if i.Peak < 0 {
		return fmt.Errorf("the inrush %q is negative", b)
	}
	i.For = 0
	if !timed {
		return nil
	}
	d, err := si.ParseTime(width)
	if err == nil && d < 0 {
		err = fmt.Errorf("it is negative")
	}
	if err != nil {
		return fmt.Errorf("inrush %q: %w", b, err)
	}
	i.For = d.Seconds()
	return nil
}

// String prints the form that UnmarshalText reads.
func (i Inrush) String() string {
	if i.For == 0 {
		return i.Peak.String()
	}
	return fmt.Sprintf("%v for %g us", i.Peak, math.Round(i.For*1e6))
}

// Units says how the value is written.
func (Inrush) Units() string { return "A, and how long it lasts, as 25 A for 300 us" }

// Circuit is one final circuit of the building or of a distribution unit.
type Circuit struct {
	source.Pos
	Breaker Breaker          `key:"breaker"` // "C16", or "20 A"
	Voltage si.Voltage       `key:"voltage"`
	RCD     si.Current       `key:"residual current device"`
	Shares  source.Ref       `key:"shares device of"` // circuit that sits behind the same residual current device
	Phase   Phase            `key:"phase"`
	Cable   Cable            `key:"cable"`                     // from the board to the first unit
	Outlet  si.Current       `key:"outlet"`                    // rating of the outlet
	At      *[3]si.Length    `key:"at"`                        // where its outlets are; nil where nobody said
	Sockets int              `key:"sockets" within:"1 to 100"` // how many can be plugged in; 0 when absent
	Other   si.ApparentPower `key:"other load"`                // what else draws from it
	Carries []string         `key:"carries"`                   // what else hangs on it: sound, heating
	Dimmed  bool             `key:"dimmed"`
}

// Phase names a phase of a three-phase supply.
type Phase string

// Choices lists the phases.
func (Phase) Choices() []string { return []string{"L1", "L2", "L3"} }

// Breaker is an overcurrent device: "C16" or "C 16 A" with a curve of
// IEC 60898-1, "20 A" without.
type Breaker struct {
	Curve string // B, C, D or ""
	Rated si.Current
}

// UnmarshalText reads "C16", "C 16 A" or "20 A".
func (b *Breaker) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	wrong := fmt.Errorf("%q should be a breaker: C16, B 10 A, or 20 A", s)
	curve := strings.ToUpper(s[:min(1, len(s))])
	if strings.Contains("BCD", curve) && curve != "" {
		b.Curve, s = curve, strings.TrimSpace(s[1:])
		if _, unit, err := si.SplitNumber(s); err == nil && unit == "" {
			s += " A"
		}
	}
	if err := b.Rated.UnmarshalText([]byte(s)); err != nil || b.Rated <= 0 {
		return wrong
	}
	return nil
}

// String prints the form that UnmarshalText reads.
func (b Breaker) String() string {
	if b.Curve == "" {
		return b.Rated.String()
	}
	return fmt.Sprintf("%s%g", b.Curve, float64(b.Rated))
}

// Units says how the value is written.
func (Breaker) Units() string { return "C16 (curve of IEC 60898-1 and amperes), or 20 A" }

// Cable is a run of supply cable.
type Cable struct {
	source.Pos
	Length    si.Length      `key:"length"`
	Section   Conductor      `key:"section"`
	Connector si.Current     `key:"connector"`   // rating of the weaker end
	Reel      Reel           `key:"reel"`        // how far it is off its reel
	Warm      si.Temperature `key:"temperature"` // of the conductor when loaded; 70 °C when absent
}

// Reel is how far a cable is off the reel that it comes on.
type Reel string

// Wound and Unwound are the two states of a reel.
const (
	Wound   Reel = "wound"
	Unwound Reel = "unwound"
)

// Choices lists them.
func (Reel) Choices() []string { return []string{string(Wound), string(Unwound)} }

// Conductor is the size of a copper conductor: "2.5 mm2" or "12 AWG".
type Conductor struct {
	Section si.Section
	AWG     int // 0 when it was given in mm2
}

// UnmarshalText reads a cross-section or a gauge number.
func (c *Conductor) UnmarshalText(b []byte) error {
	text := strings.TrimSpace(string(b))
	number, found := strings.CutSuffix(strings.ToUpper(text), "AWG")
	if !found {
		c.AWG = 0
		return c.Section.UnmarshalText(b)
	}
	v, err := strconv.Atoi(strings.TrimSpace(number))
	if err != nil || v < 1 || v > 40 {
		return fmt.Errorf("%q should be a gauge from 1 to 40 AWG, or mm2", text)
	}
	c.AWG = v
	// ASTM B258: the diameter of gauge n is 0.127 mm times 92^((36-n)/39).
	d := 0.127 * math.Pow(92, float64(36-v)/39)
	c.Section = si.Section(math.Pi / 4 * d * d)
	return nil
}

// String prints the form that UnmarshalText reads.
func (c Conductor) String() string {
	if c.AWG > 0 {
		return fmt.Sprintf("%d AWG", c.AWG)
	}
	return c.Section.String()
}

// Units says how the value is written.
func (Conductor) Units() string { return "mm2 or AWG" }
