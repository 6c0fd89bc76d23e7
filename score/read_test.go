package score

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/source"
)

// faultsOf are the lines of what is wrong with a score.
func faultsOf(text string) []string {
	_, faults := Read("s", []byte(text))
	var out []string
	for _, f := range faults {
		out = append(out, f.Error())
	}
	return out
}

func same(t *testing.T, text string, want ...string) {
	t.Helper()
	got := faultsOf(text)
	if !slices.Equal(got, want) {
		t.Errorf("%s\n got %s\nwant %s", text, strings.Join(got, "\n     "), strings.Join(want, "\n     "))
	}
}

const full = `brief: {cues per minute: 12, shortest blackout warned of: 2 s}
calm:
  - {from: 0:08.5, to: 0:26, why: a voice}
looks:
  lagoon:
    purpose: night under water
    fades: even to the eye
    people move: yes
    ultraviolet at eyes: {at most: 1 mW/m2}
    dark:
      - {on: backdrop, at most: 0.2 lx}
    parts:
      - {system: front, colour: "#123a7c", lux: 8, on: backdrop}
      - {system: uv, glow: {object: lantern fish, over background: 20}}
  close:
    like: lagoon
    parts:
      - {units: [narrator, bar], cells: [1, 3], emitters: {red: 20 %}, flash: 4 Hz}
  closer:
    like: close
    parts:
      - {system: front, level: 40 %, colour: 4000 K}
cues:
  - {cue: 5, at: 0:12.400, look: lagoon, up: 6 s, lands: starts, why: the fish enters}
  - {cue: 10.5, on: hit 0:31.20, look: close, up: 100 ms, hold: 300 ms, returns: 1.2 s, lands: peaks, by: draft}
  - {cue: 11, at: 0:40, look: lagoon, up: 6 s, down: 2 s, delay: 1 s}
`

// Everything that a score may say arrives where it is looked for.
func TestRead(t *testing.T) {
	s, faults := Read("s", []byte(full))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if s.Brief.PerMinute != 12 || s.Brief.Shortest != 2*time.Second || s.Calm[0] != (Span{source.Pos{File: "s", Line: 3, Column: 5}, 8500 * time.Millisecond, 26 * time.Second, "a voice"}) {
		t.Errorf("brief %+v, calm %+v", s.Brief, s.Calm)
	}
	l := s.Looks.Get("lagoon")
	if l.Purpose != "night under water" || l.Fade != Even || !l.Dim || l.Eyes.Most != .001 || l.Dark[0].On.Name != "backdrop" || l.Dark[0].Most != .2 {
		t.Errorf("lagoon is %+v", l)
	}
	front, glow := l.Parts[0], l.Parts[1].Glow
	if front.System.Name != "front" || front.Colour.Text != "#123a7c" || front.Colour.Pos.Line != 13 || *front.Lux != 8 || front.On.Name != "backdrop" || front.Level != nil || glow.Object.Name != "lantern fish" || glow.Over != 20 {
		t.Errorf("the parts of lagoon are %+v, %+v", front, glow)
	}
	p := s.Looks.Get("close").Parts[0]
	if p.Units[1].Name != "bar" || !slices.Equal(p.Cells, []int{1, 3}) || *p.Emitters.Get("red") != .2 || p.Flash != 4 {
		t.Errorf("close is %+v", p)
	}
	first, bump, last := &s.Cues[0], &s.Cues[1], &s.Cues[2]
	if first.Number.Name != "5" || *first.At != 12400*time.Millisecond || first.On != nil || first.Look.Name != "lagoon" || first.Lands != Starts || first.Why != "the fish enters" || first.Bump() {
		t.Errorf("the first cue is %+v", first)
	}
	if bump.Number.Name != "10.5" || bump.At != nil || bump.On.Kind != "hit" || !bump.Bump() || *bump.Returns != 1200*time.Millisecond || bump.Hold != 300*time.Millisecond || bump.Lands != Peaks || bump.By != Draft {
		t.Errorf("the bump is %+v", bump)
	}
	if first.Falls() != 6*time.Second || last.Falls() != 2*time.Second || last.Delay != time.Second {
		t.Errorf("light falls in %v and %v", first.Falls(), last.Falls())
	}
}

// A look that is like another begins with its parts, and so on; the looks stay
// as they were read.
func TestParts(t *testing.T) {
	s, _ := Read("s", []byte(full))
	for name, want := range map[string][]int{"lagoon": {13, 14}, "close": {13, 14, 18}, "closer": {13, 14, 18, 22}, "none": nil} {
		for range 2 { // asking changes nothing
			var lines []int
			for _, p := range s.Parts(name) {
				lines = append(lines, p.Line)
			}
			if !slices.Equal(lines, want) {
				t.Errorf("%s has the parts of lines %v, want %v", name, lines, want)
			}
		}
	}
}

// oneLook is a score with this text in a look's place, on its line 2.
func oneLook(look string) string { return "looks:\n  l: " + look + "\ncues: []\n" }

// A part's bounds are met exactly: the values at them are right, those past them
// are faults.
func TestPartBounds(t *testing.T) {
	for part, want := range map[string]string{
		"{system: a, level: 0 %}":                      "",
		"{system: a, level: 100 %}":                    "",
		"{system: a, level: 101 %}":                    "a level of 101 % lies outside 0 % to 100 %",
		"{system: a, level: -1 %}":                     "a level of -1 % lies outside 0 % to 100 %",
		"{system: a, colour: reed}":                    `colour "reed"`,
		"{system: a, colour: \"#ff0000\"}":             "",
		"{units: [a], level: 5 %}":                     "",
		"{system: a}":                                  "the part does not say how much light (give colour and level, lux, emitters or glow)",
		"{system: a, lux: 8}":                          "the part asks for lux, but not where (name the surface or object with on)",
		"{system: a, lux: 0, on: b}":                   "",
		"{system: a, lux: 100000, on: b}":              "",
		"{system: a, lux: 100001, on: b}":              "100001 lx lies outside 0 to 100 000 lx",
		"{system: a, lux: -1, on: b}":                  "-1 lx lies outside 0 to 100 000 lx",
		"{system: a, level: 5 %, lux: 3, on: b}":       "the part says how much light in 2 ways (level, lux, emitters and glow exclude one another)",
		"{system: a, level: 5 %, emitters: {uv: 3 %}}": "the part says how much light in 2 ways (level, lux, emitters and glow exclude one another)",
		"{system: a, lux: 3, on: b, glow: {object: c, over background: 2}, emitters: {uv: 3 %}}": "the part says how much light in 3 ways (level, lux, emitters and glow exclude one another)",
		"{system: a, emitters: {uv: 0 %, red: 100 %}}":                                           "",
		"{system: a, emitters: {uv: 101 %}}":                                                     "uv at 101 % lies outside 0 % to 100 %",
		"{system: a, emitters: {uv: -1 %}}":                                                      "uv at -1 % lies outside 0 % to 100 %",
		"{system: a, level: 5 %, flash: 60 Hz}":                                                  "",
		"{system: a, level: 5 %, flash: 61 Hz}":                                                  "a flash of 61 Hz lies outside 0 to 60 Hz",
		"{system: a, level: 5 %, flash: 60.1 Hz}":                                                "a flash of 60.1 Hz lies outside 0 to 60 Hz",
		"{system: a, level: 5 %, flash: -1 Hz}":                                                  "a flash of -1 Hz lies outside 0 to 60 Hz",
		"{system: a, glow: {object: c}}":                                                         "the glow does not say how much (give over background, or luminance)",
		"{system: a, glow: {object: c, over background: 0}}":                                     "the glow does not say how much (give over background, or luminance)",
		"{system: a, glow: {object: c, over background: 0.5}}":                                   "",
		"{system: a, glow: {object: c, luminance: 0.1 cd/m2}}":                                   "",
		"{system: a, glow: {object: c, luminance: 100000 cd/m2}}":                                "",
		"{system: a, glow: {object: c, luminance: 100001 cd/m2}}":                                "a glow of 100001 cd/m² lies outside 0 cd/m² to 100 000 cd/m²",
		"{system: a, glow: {object: c, over background: 1e6}}":                                   "",
		"{system: a, glow: {object: c, over background: 1.01e6}}":                                "a glow of 1.01e+06 times its background lies outside 0 to 1 000 000",
		"{system: a, glow: {object: c, over background: -1, luminance: 5 cd/m2}}":                "a glow of -1 times its background lies outside 0 to 1 000 000",
		"{system: a, glow: {object: c, over background: 5, luminance: -5 cd/m2}}":                "a glow of -5 cd/m² lies outside 0 cd/m² to 100 000 cd/m²",
	} {
		got := faultsOf(oneLook("{parts: [" + part + "]}"))
		switch {
		case want == "" && len(got) > 0, want != "" && len(got) != 1:
			t.Errorf("%s: got %q, want %q", part, got, want)
		case want != "" && (!strings.HasPrefix(got[0], "s:2:") || !strings.Contains(got[0], ": "+want)):
			t.Errorf("%s: got %q, want %q", part, got, want)
		}
	}
}

// A part that is no mapping has one fault, and not those of an empty part.
func TestPartOfAnotherForm(t *testing.T) {
	got := faultsOf(oneLook("{parts: [front]}"))
	if len(got) != 1 || !strings.Contains(got[0], "this should be a mapping") {
		t.Errorf("got %q", got)
	}
}

// A colour that does not read is told at its place and forgotten.
func TestColourIsForgotten(t *testing.T) {
	s, faults := Read("s", []byte(oneLook("{parts: [{system: a, colour: reddish, level: 5 %}]}")))
	if p := s.Looks[0].Value.Parts[0]; p.Colour != nil || len(faults) != 1 || faults[0].Column != 35 {
		t.Errorf("%+v, %v", p.Colour, faults)
	}
}

// Asks for darkness may be met by no light, and not by less.
func TestDarkness(t *testing.T) {
	same(t, oneLook("{parts: [], dark: [{on: b, at most: 0 lx}], ultraviolet at eyes: {at most: 0 W/m2}}"))
	same(t, oneLook("{parts: [], dark: [{on: b, at most: -1 lx}], ultraviolet at eyes: {at most: -1 W/m2}}"),
		"s:2:25: -1 lx on b is less than no light", "s:2:72: -1 W/m² at the eyes is less than no ultraviolet")
}

// Looks that are like others: by name, and never in a circle, of which every
// look that is part of it is told; one that leads into a circle is not.
func TestLike(t *testing.T) {
	same(t, "looks:\n  lagoon: {parts: []}\n  close: {like: lagon, parts: []}\ncues: []\n",
		`s:3:17: there is no look "lagon" (did you mean "lagoon"?)`)
	same(t, "looks:\n  a: {like: a}\ncues: []\n", `s:2:13: look "a" is like itself, by way of others`)
	for n := 2; n < 6; n++ {
		var b strings.Builder
		b.WriteString("looks:\n")
		for i := range n {
			fmt.Fprintf(&b, "  k%d: {like: k%d}\n", i, (i+1)%n)
		}
		b.WriteString("  outside: {like: k0}\ncues: []\n")
		s, faults := Read("s", []byte(b.String()))
		if len(faults) != 1 || !strings.Contains(faults[0].Error(), `s:2:14: look "k0" is like itself, by way of others`) {
			t.Errorf("a circle of %d: %v", n, faults)
		}
		// What is left is no circle: it is followed to its end.
		for _, l := range s.Looks {
			if s.Parts(l.Name) != nil {
				t.Errorf("%s has parts", l.Name)
			}
		}
	}
}

// A chain of looks that are like one another is followed so far and no
// further: what is longer is told, and what is left can be gathered. Of more
// looks than there may be cues the rest goes.
func TestLikeInAChain(t *testing.T) {
	chain := func(n int, from string) string {
		var b strings.Builder
		b.WriteString("looks:\n  k0: {" + from + "parts: []}\n")
		for i := 1; i <= n; i++ {
			fmt.Fprintf(&b, "  k%d: {like: k%d}\n", i, i-1)
		}
		return b.String() + "cues: []\n"
	}
	same(t, chain(32, ""))
	same(t, chain(33, ""), `s:35:15: look "k33" is like more than 32 others, one by way of the other (write the parts that it needs into the look itself)`)
	same(t, chain(65, ""), `s:35:15: look "k33" is like more than 32 others, one by way of the other (write the parts that it needs into the look itself)`)
	if s, faults := Read("s", []byte(chain(40, "like: k40, "))); len(faults) == 0 || s.Parts("k20") != nil {
		t.Errorf("a long circle: %v", faults)
	}
	s, faults := Read("s", []byte(chain(12000, "")))
	if len(s.Looks) != 12000 || len(faults) == 0 || faults[0].Error() != "s:1:1: 12001 looks are more than the 12000 that one show may have" {
		t.Errorf("%d looks, %v", len(s.Looks), faults[0])
	}
}

// oneCue is a score with this text as a cue, on its line 5.
func oneCue(cue string) string {
	return "looks:\n  lagoon: {parts: []}\ncues:\n  - {cue: 1, at: 0:01, look: lagoon}\n  - " + cue + "\n"
}

func TestCueFaults(t *testing.T) {
	for cue, want := range map[string]string{
		"{cue: 2, at: 0:00, look: lagoon}":                           "",
		"{cue: 2, on: hit 0:05, look: lagoon}":                       "",
		"{cue: 12345.678, at: 0:02, look: lagoon}":                   "",
		"{cue: 123456, at: 0:02, look: lagoon}":                      `s:5:11: "123456" is no cue number (a number, with a point cue between two as 10.5)`,
		"{cue: 1.2345, at: 0:02, look: lagoon}":                      `s:5:11: "1.2345" is no cue number (a number, with a point cue between two as 10.5)`,
		"{cue: first, at: 0:02, look: lagoon}":                       `s:5:11: "first" is no cue number (a number, with a point cue between two as 10.5)`,
		"{cue: 2., at: 0:02, look: lagoon}":                          `s:5:11: "2." is no cue number (a number, with a point cue between two as 10.5)`,
		"{cue: 1, at: 0:02, look: lagoon}":                           "s:5:11: two cues have the number 1 (the first is on line 4)",
		"{cue: 2, at: 0:02, look: lagon}":                            `s:5:30: there is no look "lagon" (did you mean "lagoon"?)`,
		"{cue: 2, look: lagoon}":                                     "s:5:5: cue 2 does not say when (give at 0:12.4, or on hit 0:31.2, or follows and a cue)",
		"{cue: 2, at: 0:02, on: hit 0:02, look: lagoon}":             "s:5:5: cue 2 says when in two ways (at, on and follows exclude one another)",
		"{cue: 2, at: -0:02, look: lagoon}":                          "s:5:5: cue 2 is before the beginning",
		"{cue: 2, at: 0:02, look: lagoon, up: 240 min}":              "",
		"{cue: 2, at: 0:02, look: lagoon, up: 240.1 min}":            "s:5:5: cue 2 has a time outside 0 to 4 h: 4:00:06.000",
		"{cue: 2, at: 0:02, look: lagoon, down: 240.1 min}":          "s:5:5: cue 2 has a time outside 0 to 4 h: 4:00:06.000",
		"{cue: 2, at: 0:02, look: lagoon, delay: -1 s}":              "s:5:5: cue 2 has a time outside 0 to 4 h: -0:01.000",
		"{cue: 2, at: 0:02, look: lagoon, returns: -1 s}":            "s:5:5: cue 2 has a time outside 0 to 4 h: -0:01.000",
		"{cue: 2, at: 0:02, look: lagoon, hold: -1 s, returns: 1 s}": "s:5:5: cue 2 has a time outside 0 to 4 h: -0:01.000",
		"{cue: 2, at: 0:02, look: lagoon, hold: 1 s, returns: 0 s}":  "",
		"{cue: 2, at: 0:02, look: lagoon, hold: 1 s}":                "s:5:5: cue 2 holds, but does not return (give returns, or leave hold out)",
		"{cue: 2, at: 0:02, look: lagoon, lands: ends}":              `s:5:45: "ends" is none of the words that may stand here (there is starts, peaks, completes)`,
		"{cue: 2, at: 0:02, look: lagoon, by: someone}":              `s:5:42: "someone" is none of the words that may stand here (there is hand, draft, accepted)`,
		"{at: 0:02, look: lagoon}":                                   `s:5:5: "cue" is missing here`,
		"just text":                                                  `s:5:5: this should be a mapping, not "just text" (it takes cue, at, on, follows, look, delay, up, down, hold, returns, lands, why, by, on the beat, in turn, through the room, follows the sound, lives like, wanders)`,
	} {
		if want == "" {
			same(t, oneCue(cue))
		} else {
			same(t, oneCue(cue), want)
		}
	}
}

// Times that no cue can have are not left for others to fall over.
func TestTimesAreForgotten(t *testing.T) {
	s, _ := Read("s", []byte(oneCue("{cue: 2, at: 0:02, look: lagoon, up: -1 s, delay: -2 s, hold: -3 s, down: -4 s, returns: -5 s}")))
	if c := s.Cues[1]; c.Up != 0 || c.Delay != 0 || c.Hold != 0 || *c.Down != 0 || *c.Returns != 0 {
		t.Errorf("%+v", c)
	}
}

func TestCalmFaults(t *testing.T) {
	same(t, "looks: {}\ncalm: [{from: 0:01, to: 0:02}]\ncues: []\n")
	same(t, "looks: {}\ncalm: [{from: 0:02, to: 0:02}]\ncues: []\n", "s:2:8: a calm span ends at 0:02.000, not after it begins")
	same(t, "looks: {}\ncalm:\n  - {from: 0:01, to: 0:02}\n  - {from: 0:03, to: 0:02}\ncues: []\n", "s:4:5: a calm span ends at 0:02.000, not after it begins")
}

// A score of as many cues as there may be is read; of one more, the rest goes.
func TestTooManyCues(t *testing.T) {
	var b strings.Builder
	b.WriteString("looks: {l: {parts: []}}\ncues:\n")
	for i := range 12000 {
		fmt.Fprintf(&b, "- {cue: %d, at: 1 s, look: l}\n", i)
	}
	s, faults := Read("s", []byte(b.String()))
	if len(faults) > 0 || len(s.Cues) != 12000 {
		t.Fatalf("%d cues, %v", len(s.Cues), faults)
	}
	b.WriteString("- {cue: 12000, at: 1 s, look: m}\n")
	s, faults = Read("s", []byte(b.String()))
	if len(s.Cues) != 12000 || len(faults) != 1 || faults[0].Error() != "s:1:1: 12001 cues are more than the 12000 that one show may have" {
		t.Errorf("%d cues, %v", len(s.Cues), faults)
	}
}

// The words that may stand in a score are those that docs/files.md lists.
func TestWords(t *testing.T) {
	for _, c := range []struct {
		got  []string
		want string
	}{
		{FadePath("").Choices(), "straight in light, even to the eye"},
		{Landing("").Choices(), "starts, peaks, completes"},
		{Author("").Choices(), "hand, draft, accepted"},
	} {
		if got := strings.Join(c.got, ", "); got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(full))
	f.Add([]byte("looks: {a: {like: b}, b: {like: a, parts: [{system: x, glow: {object: y, over background: 1e9}}]}}\ncues: [{cue: 1, on: bar 3, look: a, hold: 1 s}]\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, _ := Read("s", data)
		for _, l := range s.Looks {
			s.Parts(l.Name) // ends
		}
		for i := range s.Cues {
			if c := &s.Cues[i]; c.Up < 0 || c.Falls() < 0 || c.Hold < 0 {
				t.Errorf("a cue with a time below zero is left: %+v", c)
			}
		}
	})
}
