package hand

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// What is written for a night is read back the same.
func TestTonight(t *testing.T) {
	name := rapid.StringMatching(`[a-z#:"'\\ä-]([a-z #:"'\\ä-]{0,10}[a-zö])?`)
	share := rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(0, 10000).Draw(t, "share")) / 1e4 })
	rapid.Check(t, func(t *rapid.T) {
		var s State
		for range rapid.IntRange(0, 3).Draw(t, "trims") {
			trim := Trim{Factor: 2 * share.Draw(t, "factor")}
			if rapid.Bool().Draw(t, "of a system") {
				trim.System = name.Draw(t, "system")
			} else {
				trim.Unit = name.Draw(t, "unit")
			}
			s = s.trim(trim)
		}
		for range rapid.IntRange(0, 3).Draw(t, "outs") {
			s = s.takeOut(Out{name.Draw(t, "unit"), name.Draw(t, "why"), time.Date(2026, 3, 14, 19, rapid.IntRange(0, 59).Draw(t, "minute"), 0, 0, time.UTC)})
		}
		for range rapid.IntRange(0, 3).Draw(t, "held") {
			h := Held{Units: rapid.SliceOfNDistinct(name, 1, 3, rapid.ID).Draw(t, "units"), Dark: rapid.Bool().Draw(t, "dark"), Level: share.Draw(t, "level")}
			if !h.Dark {
				h.Colour = rapid.SampledFrom([]string{"", "#12ab9f", "4000 K", "x 0.31 y 0.33"}).Draw(t, "colour")
			}
			s = s.hold(h)
		}
		text := WriteTonight(s, "2026-03-14")
		back, night, faults := ReadTonight(text)
		if faults.Err() != nil || night != "2026-03-14" {
			t.Fatalf("%v %q\n%s", faults, night, text)
		}
		if !reflect.DeepEqual(back.String(), s.String()) || string(WriteTonight(back, night)) != string(text) {
			t.Fatalf("%+v became %+v\n%s", s, back, text)
		}
	})
}

// Whatever stands in the file, nothing panics, and no level beyond its bounds gets in.
func FuzzReadTonight(f *testing.F) {
	f.Add("night: 2026-03-14\ntrims:\n  - {system: front, level: 120 %}\nout:\n  - {unit: par 3, why: flickers, since: \"2026-03-14T19:30:00Z\"}\nby hand:\n  - {units: [a, b], colour: \"#102030\", level: 50 %}\n")
	f.Add("night: x\ntrims: [{level: .nan}, {system: a, unit: b, level: 5}]\nout: []\nby hand: [{units: [], level: -1}]\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, night, faults := ReadTonight([]byte(text))
		for _, trim := range s.Trims {
			if !(trim.Factor >= 0 && trim.Factor <= mostTrim) {
				t.Errorf("a trim of %g", trim.Factor)
			}
		}
		for _, h := range s.Held {
			if !(h.Level >= 0 && h.Level <= 1) {
				t.Errorf("a level of %g", h.Level)
			}
		}
		if faults.Err() != nil || strings.TrimSpace(night) == "" {
			return
		}
		again, _, faults := ReadTonight(WriteTonight(s, night))
		if faults.Err() != nil || string(WriteTonight(again, night)) != string(WriteTonight(s, night)) {
			t.Errorf("%v\n%s", faults, WriteTonight(s, night))
		}
	})
}
