package si

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Stretch is a length of time in parts: "1 h 30 min", "90 min", "1:30:00".
type Stretch time.Duration

// UnmarshalText reads one of the forms that the type's comment lists. An even number of
// words is taken for pairs of number and unit, anything else for one time: "1:30:00".
func (s *Stretch) UnmarshalText(b []byte) error {
	words := strings.Fields(string(b))
	if len(words)%2 != 0 || len(words) == 0 {
		words = []string{string(b)}
	} else {
		for i := 0; i < len(words); i++ {
			words[i] += " " + words[i+1]
			words = slices.Delete(words, i+1, i+2)
		}
	}
	total := time.Duration(0)
	for _, w := range words {
		d, err := ParseTime(w)
		if err != nil {
			return err
		}
		total += d
	}
	if total < 0 {
		return fmt.Errorf("%q is a negative length of time", b)
	}
	*s = Stretch(total)
	return nil
}

// Units says how the value is written.
func (Stretch) Units() string { return "h, min or s, one after another, as 1 h 30 min" }
