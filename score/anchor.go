package score

import (
	"fmt"
	"regexp"
	"strconv"
	"time"

	"lampblack/si"
)

// Anchor ties a cue to a moment of the soundtrack: "hit 0:31.20" is the hit
// nearest to that time, "bar 12", "bar 12 beat 3" are counted.
type Anchor struct {
	Kind      string // hit, beat, turn, swell, hush, voice: at Near; or bar: counted
	Near      time.Duration
	Bar, Beat int
	// End ties to the end of the moment instead of its beginning.
	End bool
}

var (
	nearForm = regexp.MustCompile(`^(end of )?(hit|beat|turn|swell|hush|voice) (\S+)$`)
	barForm  = regexp.MustCompile(`^bar (\d{1,5})(?: beat (\d{1,2}))?$`)
)

// UnmarshalText reads the forms that the type's comment shows. The moment itself is
// looked for later, by show.Find: here nothing is known of the soundtrack.
func (a *Anchor) UnmarshalText(b []byte) error {
	text := string(b)
	if m := barForm.FindStringSubmatch(text); m != nil {
		*a = Anchor{Kind: "bar", Beat: 1}
		a.Bar, _ = strconv.Atoi(m[1])
		if m[2] != "" {
			a.Beat, _ = strconv.Atoi(m[2])
		}
		if a.Bar == 0 || a.Beat == 0 {
			return fmt.Errorf("bars and beats count from 1, not as in %q", text)
		}
		return nil
	}
	m := nearForm.FindStringSubmatch(text)
	if m == nil {
		return fmt.Errorf("%q should name a moment: hit 0:31.20, turn 1:04, end of swell 0:40, bar 12 beat 3", text)
	}
	near, err := si.ParseTime(m[3])
	if err != nil {
		return err
	}
	*a = Anchor{Kind: m[2], Near: near, End: m[1] != ""}
	return nil
}

// String prints the form that UnmarshalText reads.
func (a Anchor) String() string {
	if a.Kind == "bar" {
		if a.Beat > 1 {
			return fmt.Sprintf("bar %d beat %d", a.Bar, a.Beat)
		}
		return fmt.Sprintf("bar %d", a.Bar)
	}
	s := a.Kind + " " + si.FormatTime(a.Near)
	if a.End {
		return "end of " + s
	}
	return s
}
