package score

import (
	"strings"
	"testing"
	"time"
)

// The forms are those that docs/files.md gives. What is read prints again in
// the form that reads, with milliseconds.
func TestAnchor(t *testing.T) {
	const second = time.Second
	for text, want := range map[string]struct {
		anchor  Anchor
		printed string
	}{
		"hit 0:31.20":         {Anchor{Kind: "hit", Near: 31200 * time.Millisecond}, "hit 0:31.200"},
		"beat 12 s":           {Anchor{}, ""},
		"beat 0:12":           {Anchor{Kind: "beat", Near: 12 * second}, "beat 0:12.000"},
		"turn 1:04":           {Anchor{Kind: "turn", Near: 64 * second}, "turn 1:04.000"},
		"end of swell 0:40":   {Anchor{Kind: "swell", Near: 40 * second, End: true}, "end of swell 0:40.000"},
		"end of hush 2:00.5":  {Anchor{Kind: "hush", Near: 120500 * time.Millisecond, End: true}, "end of hush 2:00.500"},
		"voice 0:00":          {Anchor{Kind: "voice"}, "voice 0:00.000"},
		"bar 12":              {Anchor{Kind: "bar", Bar: 12, Beat: 1}, "bar 12"},
		"bar 12 beat 1":       {Anchor{Kind: "bar", Bar: 12, Beat: 1}, "bar 12"},
		"bar 12 beat 3":       {Anchor{Kind: "bar", Bar: 12, Beat: 3}, "bar 12 beat 3"},
		"bar 99999 beat 99":   {Anchor{Kind: "bar", Bar: 99999, Beat: 99}, "bar 99999 beat 99"},
		"bar 100000":          {},
		"bar 12 beat 100":     {},
		"bar 0":               {},
		"bar 12 beat 0":       {},
		"bar":                 {},
		"bar -1":              {},
		"bar 12 beat":         {},
		"hit":                 {},
		"hit ":                {},
		"hits 0:31":           {},
		"hit 31":              {}, // no unit
		"hit 0:75":            {},
		"hit 0:31 0:32":       {},
		"end of bar 12":       {},
		"end swell 0:40":      {},
		"End of swell 0:40":   {},
		"crescendo 0:40":      {},
		"swell 0:40 and more": {},
		"":                    {},
	} {
		var a Anchor
		err := a.UnmarshalText([]byte(text))
		if (err != nil) != (want.printed == "") {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if err != nil {
			continue
		}
		if a != want.anchor || a.String() != want.printed {
			t.Errorf("%q is %+v, printed %q", text, a, a)
		}
		var again Anchor
		if err := again.UnmarshalText([]byte(a.String())); err != nil || again != a {
			t.Errorf("%q reads again as %+v, %v", a, again, err)
		}
	}
}

// What is wrong with an anchor is said in its own words.
func TestAnchorFaults(t *testing.T) {
	for text, want := range map[string]string{
		"bar 0":        `bars and beats count from 1, not as in "bar 0"`,
		"bar 3 beat 0": `bars and beats count from 1, not as in "bar 3 beat 0"`,
		"hit 31":       `time "31": has no unit`,
		"boom 0:31":    `"boom 0:31" should name a moment: hit 0:31.20, turn 1:04, end of swell 0:40, bar 12 beat 3`,
	} {
		var a Anchor
		if err := a.UnmarshalText([]byte(text)); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: got %v, want %s", text, err, want)
		}
	}
}

// An anchor that reads anew loses what it held before.
func TestAnchorIsReplaced(t *testing.T) {
	var a Anchor
	for _, text := range []string{"end of swell 0:40", "hit 0:31", "bar 2 beat 3", "bar 4"} {
		if err := a.UnmarshalText([]byte(text)); err != nil {
			t.Fatal(err)
		}
		var fresh Anchor
		_ = fresh.UnmarshalText([]byte(text))
		if a != fresh {
			t.Errorf("after others, %q is %+v, not %+v", text, a, fresh)
		}
	}
}
