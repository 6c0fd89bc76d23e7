package si

import (
	"fmt"
	"regexp"
	"strconv"
)

// The foot and the inch are 0.3048 m and 0.0254 m, exactly (NIST Special
// Publication 811, 2008, table B.8).
const (
	foot = .3048
	inch = .0254
)

// feetForm is how tape measures are read aloud: whole feet, then inches, which
// may have a binary fraction: 12 ft 6 in, 12' 6", 12' 6 1/2".
var feetForm = regexp.MustCompile(`^(-?)(\d{1,6}) *(?:ft|'|′) *(?:(\d{1,3}(?:\.\d{1,6})?)(?: +(\d{1,3})/(\d{1,3}))? *(?:in|"|″))?$`)

// parseLength reads feet with inches, or one number with a unit.
func parseLength(text string) (float64, error) {
	m := feetForm.FindStringSubmatch(text)
	if m == nil {
		return lengths.parse(text)
	}
	n := [6]float64{}
	for i := 2; i < len(m); i++ {
		n[i], _ = strconv.ParseFloat(m[i], 64) // digits alone, or nothing
	}
	feet, inches := n[2], n[3]
	if m[5] != "" {
		if n[4] >= n[5] {
			return 0, fmt.Errorf("length %q: %s/%s in is no part of an inch", text, m[4], m[5])
		}
		inches += n[4] / n[5]
	}
	if inches >= 12 {
		return 0, fmt.Errorf("length %q: 12 inches are a foot: write %v ft, or inches alone", text, feet+float64(int(inches/12)))
	}
	v := float64(feet*foot) + float64(inches*inch)
	if m[1] != "" {
		v = -v
	}
	return v, nil
}
