package web

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/check/finding"
	"lampblack/light"
	"lampblack/show"
	"lampblack/soundtrack"
)

// hall is a show for tests: systems front, back, foot and uv, a sound with
// every kind of moment, and cues as sparse and as crowded as pages must bear.
// Everything in it is invented.
var hall = map[string]string{
	"show.yaml": "title: The Tide Clock\nsoundtrack: tide.wav\nplace: school hall\n",
	"fixtures/par.yaml": `
name: colour par, 40 W
size: [20 cm, 20 cm, 25 cm]
beam: {half: 25°, tenth: 45°}
supply: {max: 45 W, factor: 0.9}
emitters:
  red:   {peak: 629 nm, width: 15 nm, output: 2 W}
  green: {peak: 519 nm, width: 32 nm, output: 1.4 W}
  blue:  {peak: 454 nm, width: 18 nm, output: 2 W}
  white: {like: phosphor 6500 K, output: 500 lm}
modes:
  six slots:
    1: {dims: all, curve: {dark to: 12, then: linear}}
    2: {drives: red}
    3: {drives: green}
    4: {drives: blue}
    5: {drives: white}
    6: {0-9: open, 10-255: flash 1 Hz to 20 Hz}
`,
	"fixtures/bar.yaml": `
name: black-light bar, 1 m
size: [1 m, 9 cm, 12 cm]
cells: 6
beam: {half: 40°, tenth: 72°}
supply: {max: 62 W, factor: 0.92}
emitters:
  uv: {peak: 385 nm, width: 12 nm, output: 6 W ± 40 %}
modes:
  two slots:
    1: {dims: all}
    2: {drives: uv}
`,
	"rig.yaml": `
circuits:
  left wall: {breaker: C16, voltage: 230 V}
  right wall: {breaker: C16, voltage: 230 V}
units:
  - {unit: front left,  type: par, address: 1,  at: [-3 m, -2 m, 3 m], aim: [-0.8 m, 2 m, 1 m], systems: front, circuit: left wall}
  - {unit: front right, type: par, address: 11, at: [3 m, -2 m, 3 m],  aim: [0.8 m, 2 m, 1 m], systems: front, circuit: right wall}
  - {unit: back left,   type: par, address: 21, at: [-2 m, 3.6 m, 3.2 m], aim: [-0.5 m, 1.4 m, 0.6 m], systems: back, fed by: front left}
  - {unit: back right,  type: par, address: 31, at: [2 m, 3.6 m, 3.2 m],  aim: [0.5 m, 1.4 m, 0.6 m], systems: back, fed by: front right}
  - {unit: foot,        type: par, address: 41, at: [0 m, 0.1 m, 0.1 m],  aim: [0 m, 3.8 m, 1.6 m], systems: foot, circuit: left wall}
  - {unit: uv left,     type: bar, address: 101, at: [-1.6 m, 0.3 m, 0.15 m], aim: [-0.6 m, 2.4 m, 1.2 m], systems: uv, circuit: left wall}
  - {unit: uv right,    type: bar, address: 111, at: [1.6 m, 0.3 m, 0.15 m],  aim: [0.6 m, 2.4 m, 1.2 m], systems: uv, circuit: right wall}
`,
	"room.yaml": `
size: [9 m, 14 m, 4 m]
stage front: 9 m
walls: cream plaster
floor: wood floor
surfaces:
  backdrop: {material: black cloth, centre: [0 m, 4 m, 1.6 m], width: 6 m, height: 3.2 m, faces: [0 m, -1 m, 0 m]}
  stage: {material: black dance floor, centre: [0 m, 2 m, 0.01 m], width: 6.4 m, height: 3.8 m, faces: [0 m, 0 m, 1 m]}
objects:
  moon: {paint: PAINT, centre: [-1.2 m, 2.6 m, 2.1 m], width: 0.7 m, height: 0.7 m, faces: [0 m, -1 m, 0 m], background: backdrop}
  whale: {paint: PAINT, centre: [0.7 m, 2.2 m, 1.1 m], width: 1.4 m, height: 0.5 m, faces: [0 m, -1 m, 0 m], background: backdrop}
audience:
  - {name: third row centre, at: [0 m, -4 m, 1.2 m], looks at: [0 m, 2 m, 1.3 m]}
  - {name: front row left, at: [-2.5 m, -1.6 m, 1 m], looks at: [0 m, 2 m, 1.2 m]}
performers:
  - {name: hooded puppeteer, at: [0.5 m, 2.9 m, 1.6 m], looks at: [0 m, 0.5 m, 1 m]}
`,
}

const looks = `
looks:
  house to half: {purpose: people find their seats, parts: [{system: front, colour: 3000 K, level: 55 %}]}
  dusk: {purpose: the shore before the tide, parts: [{system: front, colour: "#ffb070", level: 35 %}, {system: back, colour: "#c04a2a", level: 70 %}]}
  deep water: {purpose: night under water, parts: [{system: front, colour: "#123a7c", level: 12 %}, {system: back, colour: "#1040c0", level: 60 %}, {system: uv, emitters: {uv: 90 %}}]}
  moonrise: {purpose: the moon is all there is, parts: [{system: uv, emitters: {uv: 100 %}}, {system: foot, colour: "#203060", level: 8 %}]}
  bell: {purpose: the clock strikes, parts: [{system: back, colour: "#fff0c0", level: 100 %}]}
  storm: {purpose: nothing is safe, parts: [{system: front, colour: "#3a5a90", level: 45 %}, {system: back, colour: "#8090ff", level: 90 %}, {system: foot, colour: "#206a50", level: 40 %}, {system: uv, emitters: {uv: 40 %}}]}
  dawn: {purpose: relief, parts: [{system: front, colour: "#ffd8c0", level: 80 %}, {system: back, colour: "#ff9a80", level: 60 %}, {system: foot, colour: "#ffe0a0", level: 20 %}]}
  dark: {purpose: nothing is seen}
cues:
`

// hallScore writes a cue list: a slow beginning, a crowded storm, an end.
func hallScore(minutes int) string {
	var b strings.Builder
	b.WriteString(looks)
	number := 0
	cue := func(format string, args ...any) {
		number++
		fmt.Fprintf(&b, "  - {cue: %d, "+format+"}\n", append([]any{number}, args...)...)
	}
	cue(`at: 0:00, look: house to half, up: 3 s, why: doors`)
	cue(`at: 0:08, look: dusk, up: 8 s, down: 4 s, why: "surf alone, nobody on stage"`)
	cue(`on: hit 0:31.20, look: bell, up: 0.1 s, hold: 0.1 s, returns: 1.6 s, lands: peaks, why: first stroke of the bell`)
	for m := range minutes {
		at := float64(m)*60 + 38
		cue(`at: %s, look: deep water, up: 6 s, down: 9 s, lands: starts, why: the whale comes in from the left`, clockText(at))
		cue(`at: %s, look: moonrise, up: 5 s, lands: completes, why: the moon clears the mast`, clockText(at+14))
		if m%2 == 1 {
			for i := range 10 {
				look := []string{"storm", "dark", "bell"}[i%3]
				cue(`at: %s, look: %s, up: 0.4 s, down: 1 s`, clockText(float64(m)*60+2+float64(i)*2.4), look)
			}
		}
	}
	end := float64(minutes)*60 - 6
	cue(`at: %s, look: dawn, up: 3 s, why: the tide turns`, clockText(end))
	cue(`at: %s, look: dark, up: 2 s, lands: completes, by: draft`, clockText(end+5))
	return b.String()
}

func clockText(seconds float64) string {
	ms := int(math.Round(seconds * 1000))
	return fmt.Sprintf("%d:%02d.%03d", ms/60000, ms/1000%60, ms%1000)
}

// hallTrack is what listening would give for a sound that nobody made.
func hallTrack(minutes int) *soundtrack.Track {
	dice := rand.New(rand.NewPCG(7, 11))
	length := time.Duration(minutes) * time.Minute
	t := &soundtrack.Track{Duration: length, Rate: 44100, Channels: 2}
	t.Loudness.Hop, t.Overview.Hop = 100*time.Millisecond, 20*time.Millisecond
	add := func(kind soundtrack.Kind, from, to float64, strength float64, why string) *soundtrack.Moment {
		t.Moments = append(t.Moments, soundtrack.Moment{Kind: kind, Time: at(from), End: at(to), Strength: strength, Why: why})
		return &t.Moments[len(t.Moments)-1]
	}
	hits := map[int]bool{}
	for s := 0.0; s < length.Seconds(); s += 2 {
		minute := int(s) / 60
		if int(s)%60 == 0 {
			add(soundtrack.Turn, s, s+60, .8, "the harmony changes for good").Label = string(rune('A' + minute%3))
		}
		if int(s)%60 == 20 {
			add(soundtrack.Swell, s, s+9, .6, "louder by 14 LU over 9 s")
			add(soundtrack.Voice, s+11, s+17, .5, "syllables at 4 Hz between 300 and 3000 Hz")
		}
		if int(s)%60 == 52 {
			add(soundtrack.Hush, s, s+5, .9, "below -45 LUFS for 5 s")
		}
		m := add(soundtrack.Bar, s, s, .7, "first count")
		m.Bar, m.Beat = int(s)/2+1, 1
		for b := 1; b < 4; b++ {
			m := add(soundtrack.Beat, s+float64(b)*.5, s+float64(b)*.5, .4, "count")
			m.Bar, m.Beat = int(s)/2+1, b+1
		}
		if dice.Float64() < .5 || s == 30 {
			h := s + 1.2
			add(soundtrack.Hit, h, h+.4, .2+.8*dice.Float64(), "struck bright, 9 LU above what was before")
			hits[int(h*50)] = true
		}
	}
	n, ring := int(length/t.Overview.Hop), 0.0
	for i := range n {
		s := float64(i) / 50
		if hits[i] {
			ring = 1
		}
		ring *= .985
		swell := 150 + 50*math.Sin(s*2*math.Pi/23) + 20*dice.Float64()
		if int(s)%60 >= 52 && int(s)%60 < 57 {
			swell = 20
		}
		t.Overview.Low = append(t.Overview.Low, uint8(min(255, swell+25*math.Sin(s*math.Pi))))
		t.Overview.Mid = append(t.Overview.Mid, uint8(min(255, swell*.8+70*ring)))
		t.Overview.High = append(t.Overview.High, uint8(min(255, swell*.6+150*ring)))
		if i%5 == 0 {
			t.Loudness.Values = append(t.Loudness.Values, float32(swell/4-60))
		}
	}
	return t
}

func at(seconds float64) time.Duration {
	return time.Duration(math.Round(seconds*1e6)) * time.Microsecond
}

// halls keeps solved shows: they do not change, and solving takes a while.
var halls sync.Map

// openHall returns the hall with a score of so many minutes.
func openHall(t testing.TB, minutes int) *show.Show {
	t.Helper()
	if s, ok := halls.Load(minutes); ok {
		return s.(*show.Show)
	}
	s := solveHall(t, minutes)
	halls.Store(minutes, s)
	return s
}

func solveHall(t testing.TB, minutes int) *show.Show {
	t.Helper()
	dir := fstest.MapFS{}
	for name, text := range hall {
		dir[name] = &fstest.MapFile{Data: []byte(strings.ReplaceAll(text, "PAINT", paint()))}
	}
	dir["score.yaml"] = &fstest.MapFile{Data: []byte(hallScore(minutes))}
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	s, faults := show.New(context.Background(), f, hallTrack(minutes))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return s
}

// hallFindings are remarks of every kind, about seconds and about the whole.
func hallFindings() []finding.Finding {
	return []finding.Finding{
		{ID: "flash", Severity: finding.Stop, Text: "4.2 flashes in one second, seen from the third row", Value: 4.2, Limit: 3, Unit: "/s", From: 62.1, To: 75, Place: "third row centre", Source: "WCAG 2.2, 2.3.1", Hint: "give cue 8 an up of 0.6 s"},
		{ID: "landing", Severity: finding.Warn, Text: "cue 3 peaks 80 ms after its hit", Value: 80, Limit: 45, Unit: "ms", From: 31.2, To: 31.28, Place: "cue 3", Source: "common practice", Cues: []string{"3"}},
		{ID: "dark", Severity: finding.Note, Text: "people move in the dark for 4 s", Value: 4, Limit: 3, Unit: "s", From: 112, To: 116, Place: "hooded puppeteer", Source: "common practice"},
		{ID: "dose", Severity: finding.Warn, Text: "UV-A at the puppeteer's eyes uses 62 % of the day's limit", Value: 6200, Limit: 10000, Unit: "J/m2", From: 0, To: 300, Place: "hooded puppeteer", Source: "Directive 2006/25/EC, annex I, table 1.1 b"},
		{ID: "terminator", Severity: finding.Note, Text: "it is not said that the line is terminated", Place: "line 1", Source: "ANSI E1.11, 7"},
		{ID: "lap", Severity: finding.Stop, Text: "slots 21 to 26 overlap", Value: 6, Unit: "slots", Place: "back left", Source: "ANSI E1.11", Signed: "A. Person, 2026-11-01"},
	}
}

// paint names a paint that glows.
func paint() string {
	for _, p := range light.Paints() {
		if p.Fluoresces() {
			return p.Name
		}
	}
	return light.Paints()[0].Name
}
