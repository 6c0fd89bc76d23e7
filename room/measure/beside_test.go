package measure

import (
	"math"
	"strings"
	"testing"

	"lampblack/room"
)

// A match by eye brings two units to what was seen, by the law of levels: output one =
// level · output other. It says nothing of what both give, and less than a meter where the
// two do not agree.
func TestMatchesCorrectOutputs(t *testing.T) {
	transport, rg := setting(t)
	sheet, faults := Read("readings.yaml", []byte("readings:\n  - {unit: bar 1, emitter: red, matches: bar 2, at level: 62 % (60 % to 64 %)}\n"))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	corrected, found, faults := Fit(transport, sheet, rg)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	of := map[string]Factor{}
	for _, f := range found {
		of[f.Unit+" "+f.Emitter] = f
	}
	one, other := of["bar 1 red"], of["bar 2 red"]
	// The prior holds on a little: units of one maker are 8 % apart, and a match is 5 % off
	// where the lamps do not stand alike. Both are 1/variance in a mean of the logarithm.
	prior, match := 2*sortedSpread*sortedSpread, matchError*matchError+math.Pow(math.Log(64./60)/2/widen, 2)
	want := math.Log(.62) * prior / (prior + match)
	if got := math.Log(float64(one.Output.Best / other.Output.Best)); math.Abs(got-want) > .01 {
		t.Errorf("the two are apart by %.3f, want %.3f in ln", got, want)
	}
	if one.Readings != 1 || other.Readings != 1 || of["bar 1 blue"].Readings != 0 || of["foot red"].Readings != 0 {
		t.Errorf("readings counted as %d, %d, %d and %d", one.Readings, other.Readings, of["bar 1 blue"].Readings, of["foot red"].Readings)
	}
	if both := float64(one.Output.Best * other.Output.Best); math.Abs(math.Log(both)) > .02 {
		t.Errorf("together they give %.3f of what the file says", both)
	}
	if a, b := corrected.Row(0, room.Radiant)[0]/transport.Row(0, room.Radiant)[0], float64(one.Output.Best); math.Abs(a-b) > 1e-3 {
		t.Errorf("the transport is corrected by %v, want %v", a, b)
	}
}

// What a match wants is told where it stands.
func TestBadMatches(t *testing.T) {
	transport, rg := setting(t)
	for text, want := range map[string]string{
		"{unit: bar 1, emitter: red}":                                                          "does not say where it was taken",
		"{unit: bar 1, emitter: red, matches: bar 2}":                                          "names its emitter, the other unit and the level",
		"{unit: bar 1, matches: bar 2, at level: 62 %}":                                        "names its emitter, the other unit and the level",
		"{unit: bar 1, emitter: red, at level: 62 %}":                                          "names its emitter, the other unit and the level",
		"{unit: bar 1, emitter: red, matches: bar 2, at level: 62 %, at: backdrop, lux: 3 lx}": "no reading of a meter",
		"{unit: bar 1, emitter: red, matches: bar 2, at level: 0 %}":                           "a level of 0 % lies outside",
		"{unit: bar 1, emitter: red, matches: bar 9, at level: 62 %}":                          `there is no other unit "bar 9"`,
		"{unit: bar 1, emitter: red, matches: bar 1, at level: 62 %}":                          `there is no other unit "bar 1"`,
		"{unit: bar 1, emitter: red, matches: front, at level: 62 %}":                          `unit front has no emitter "red"`,
	} {
		sheet, faults := Read("readings.yaml", []byte("readings:\n  - "+text+"\n"))
		_, _, more := Fit(transport, sheet, rg)
		if err := append(faults, more...).Err(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}
