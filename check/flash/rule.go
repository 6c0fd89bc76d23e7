package flash

import "time"

// Rule is one way to tell a flash. Luminances are in cd/m2, or in any other
// unit that the spots are in.
type Rule struct {
	Source    string
	Step      float64 // least change while the darker state is below Bright
	Bright    float64
	Contrast  float64 // least Michelson contrast from Bright on; 0: nothing counts there
	Ratio     float64 // for red: least R/(R+G+B) of the redder state; 0: red is not looked for
	Distance  float64 // for red: difference in u'v' that must be exceeded
	Veil      float64 // for red: luminance of white that lies over everything the eye sees
	Most      int     // flashes allowed in a second
	AreaShare float64 // share of the field that must be exceeded
}

// The rules. Veil is ours, without a source: it makes a red too dim to matter
// count as dark, where the definitions, made for screens, give no floor.
var (
	WCAG = Rule{Source: "WCAG 2.2 SC 2.3.1, general flash", Step: 20, Bright: 160, Most: 3, AreaShare: .25}
	BT   = Rule{Source: "ITU-R BT.1702-3", Step: 20, Bright: 160, Contrast: 1. / 17, Most: 3, AreaShare: .25}
	Red  = Rule{Source: "WCAG 2.2 SC 2.3.1, red flash", Ratio: .8, Distance: .2, Veil: 2, Most: 3, AreaShare: .25}
)

// Constants of the count.
const (
	Second    = time.Second
	Pairing   = time.Second           // longest time between the changes of a flash
	Together  = 20 * time.Millisecond // leading edges this near are one flash
	FieldSize = 0.0239                // sr in a circular field of 10 degrees: 2π(1-cos 5°)
	// Grain is how far sampling at 1 ms may displace two edges. Edges that
	// are a second less this apart are not in one second: 3.0 Hz is 3.
	Grain = 2 * time.Millisecond
)

// Counts tells whether a change between two luminances is large enough.
func (r *Rule) Counts(low, high float64) bool {
	if low < r.Bright {
		return high-low >= r.Step
	}
	return r.Contrast > 0 && high-low >= r.Contrast*(high+low)
}

// Colour is a CIE 1931 tristimulus value; Y is luminance.
type Colour struct{ X, Y, Z float32 }
