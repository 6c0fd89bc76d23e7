package finding

import (
	"fmt"
	"strings"
	"testing"

	"lampblack/si"
)

// A margin is the share of the limit that is left: (3 - 5)/3, (4 - 1)/4, and
// nothing where there is no limit.
func TestMargins(t *testing.T) {
	for _, c := range []struct{ value, limit, want float64 }{{5, 3, -.6667}, {1, 4, .75}, {4, 4, 0}, {7, 0, 0}} {
		r := NewReport(Tells{"blackout": "dark"})
		r.Add(Finding{ID: "blackout", Value: c.value, Limit: c.limit})
		if got := r.List()[0].Margin; got != c.want {
			t.Errorf("%v of %v: margin %v, want %v", c.value, c.limit, got, c.want)
		}
	}
}

// How values read beside their limits.
func TestInWords(t *testing.T) {
	for _, c := range []struct {
		value, limit, low, high, margin float64
		unit, text, want                string
	}{
		{110, 2, 0, 0, -54, "s", "", "110 s; limit 2 s; 55 times the limit"},
		{5, 3, 0, 0, -.667, "flashes in a second", "", "5 flashes in a second; limit 3 flashes in a second; 67 % over the limit"},
		{1, 3, 0, 0, .667, "flashes in a second", "", "1 flash in a second; limit 3 flashes in a second; 33 % of it"},
		{5.16, 10.764, 0, 0, -.52, "lx", "", "5.2 lx; at least 11 lx wanted; 48 % of it"},
		{15, 10.764, 0, 0, .39, "lx", "", "15 lx; at least 11 lx wanted; 139 % of it"},
		{44.8, 10000, 0, 0, .996, "W/(m² sr)", "", "45 W/(m² sr); limit 10 kW/(m² sr); under 1 % of it"},
		{1046, 10000, 264, 1046, .9, "J/m²", "up to 1 kJ/m²", "1 kJ/m² (264 J/m² to 1 kJ/m²); limit 10 kJ/m²; 10 % of it"},
		{5.9, 2, 0, 0, -1.95, "s", "it is dark for 5.9 s", "limit 2 s; 3 times the limit"},
		{.64, 0, 0, 0, 0, "m", "keep 0.64 m away", ""},
		{.64, 0, 0, 0, 0, "m", "keep away", "0.64 m"},
		{0, 0, 0, 0, 0, "", "", ""},
	} {
		f := Finding{Value: c.value, Limit: c.limit, Low: c.low, High: c.high, Margin: c.margin, Unit: c.unit, Text: c.text}
		if got := f.InWords(); got != c.want {
			t.Errorf("%v of %v: %q, want %q", c.value, c.limit, got, c.want)
		}
	}
}

// Five like notes are one note with five places: what is true of all is told
// once; another hint or another severity is told apart.
func TestLikeFindingsAreToldOnce(t *testing.T) {
	var list []Finding
	for i := range 5 {
		list = append(list, Finding{ID: "uv-keep-out", Severity: Note, Place: fmt.Sprintf("unit %d", i), Text: fmt.Sprintf("keep away from unit %d", i), Source: "ICNIRP 2004", Assumed: "an eye that stays", Hint: "mark it"})
	}
	list = append(list, Finding{ID: "uv-keep-out", Severity: Note, Place: "unit 9", Text: "keep away from unit 9", Source: "ICNIRP 2004", Assumed: "an eye that stays", Hint: "mark it well"})
	var b strings.Builder
	WriteText(&b, list, 100, false)
	for text, times := range map[string]int{"by: ICNIRP 2004": 2, "assumed: an eye": 2, "5 places": 1, "Keep away from unit": 6, "DO THIS": 0, "KNOW THIS": 1, "6 notes": 1} {
		if n := strings.Count(b.String(), text); n != times {
			t.Errorf("%q stands there %d times, want %d:\n%s", text, n, times, b.String())
		}
	}
}

// A report makes text of what a family says in parts; the same parts say it in
// another language, numbers by the same rules.
func TestWordsAreMadeAtTheEdge(t *testing.T) {
	r := NewReport(Tells{"supply-load": "load"})
	f := Finding{ID: "supply-load", Cure: Say("move %d units", 2)}.As("supply-load", Warn, "circuit %s carries %s", "left", si.Of(15.31, "A"))
	f.Says = f.Says.And(", %.0f %% of its breaker", 96.2)
	r.Add(f)
	got := r.List()[0]
	if got.Text != "circuit left carries 15 A, 96 % of its breaker" || got.Hint != "move 2 units" {
		t.Errorf("it says %q, %q", got.Text, got.Hint)
	}
	german := map[string]string{
		"circuit %s carries %s":     "durch Kreis %s fließen %s",
		", %.0f %% of its breaker":  ": %.0f %% seiner Sicherung",
		"by %s":                     "von %s",
		"%s sees %s":                "%[2]s sieht %[1]s",
		"a form without any values": "eine Form ohne Werte",
	}
	if said := got.Says.In(german); said != "durch Kreis left fließen 15 A: 96 % seiner Sicherung" {
		t.Errorf("in German it says %q", said)
	}
	if said := Say("%s sees %s", Say("by %s", "Ann"), "Bob").In(german); said != "Bob sieht von Ann" {
		t.Errorf("words in words come to %q", said)
	}
	if said := got.Cure.In(german); said != "move 2 units" {
		t.Errorf("a form without another is said as %q", said)
	}
}
