package retime

import (
	"bytes"
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/folder"
	"lampblack/folder/foldertest"
	"lampblack/score"
	"lampblack/soundfile"
	"lampblack/soundtrack/retake"
	"lampblack/source"
)

const rate = 44100

// tune makes seconds of plucked notes that never repeat.
func tune(seconds int) []float32 {
	rng := rand.New(rand.NewPCG(3, 4))
	out := make([]float32, seconds*rate)
	for at := 0; at < len(out); at += rate/8 + rng.IntN(rate/4) {
		pitch := 110 * math.Exp2(rng.Float64()*4)
		for i := 0; i < rate/2 && at+i < len(out); i++ {
			x := float64(i) / rate
			out[at+i] += float32(.2 * math.Exp(-8*x) * math.Sin(2*math.Pi*pitch*x))
		}
	}
	return out
}

func stream(t *testing.T, samples []float32) soundfile.Stream {
	t.Helper()
	var b bytes.Buffer
	if err := soundfile.WriteWAV(&b, rate, 1, 16, samples); err != nil {
		t.Fatal(err)
	}
	s, err := soundfile.Open(bytes.NewReader(b.Bytes()), "tune.wav")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

const before = `# looks stay as they are
looks:
  dark: {purpose: nothing}

calm:
  - {from: 0:30, to: 0:35, why: a voice}   # moves too
  - {from: 0:08, to: 0:22}   # shorter by what is cut out of its middle
cues:
  - {cue: 1, at: 0:02, look: dark}          # the head
  - {cue: 2, on: hit 0:15.5, look: dark, why: cut away}
  # a remark between
  - cue: 3
    on: end of swell 0:31.250
    look: dark
  - {cue: 4, on: bar 20, look: dark}
on stage:
  puppet: [0:15 to 0:40, from cue 4]   # it enters in what is cut out
  hand: until 0:31
  ghost: cue 2
  moon: [cues 2 to 4, from cue 4]
crosses:
  ghost:
    - {cue: 2, to: [1 m, 1 m, 1 m]}
  hand:
    - {at: 0:30, to: [1 m, 1 m, 1 m], takes: 2 s}
opens:
  curtain:
    - {cue: 2, to: open}
    - {at: 0:31, to: closed, takes: 2 s}
`

const wish = `# what the director wants
voice: dark        # a look
sections:
  - {from: 0:00, mood: calm}
  - from: 0:12          # all of it is cut
    mood: still
  - {from: 0:18, mood: lively}   # its beginning is cut
  - {from: 0:40, mood: fierce}
`

const decisions = `decisions:
  - {moment: hit 0:15.5, verdict: reject, note: "a cough"}   # cut away
  - {moment: turn 0:25, verdict: accept, move to: 0:25.05}
`

// showFolder is an open folder with these files.
func showFolder(t *testing.T, files map[string]string) *folder.Folder {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	f, err := folder.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

func mapOf(t *testing.T, old, take []float32) retake.Map {
	t.Helper()
	print, err := retake.Take(stream(t, old))
	if err != nil {
		t.Fatal(err)
	}
	m, err := retake.Align(print, stream(t, take))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Bars of two seconds.
var bars = Options{
	Moment: func(a score.Anchor) (time.Duration, error) {
		if a.Kind == "bar" {
			return time.Duration(a.Bar) * 2 * time.Second, nil
		}
		return a.Near, nil
	},
	Anchor: func(a score.Anchor, at time.Duration) (score.Anchor, bool) {
		if a.Kind == "bar" {
			return score.Anchor{Kind: "bar", Bar: int(at / (2 * time.Second)), Beat: 1}, true
		}
		a.Near = at
		return a, true
	},
}

// Three seconds of leader before it, ten seconds cut out of its middle: the
// times in all files move by what the edit moved, exactly known; what was cut
// is kept aside word for word; every other byte stays.
func TestMove(t *testing.T) {
	old := tune(60)
	cutFrom, cutTo, leader := 10*rate, 20*rate, 3*rate
	take := append(make([]float32, leader), old[:cutFrom]...)
	take = append(take, old[cutTo:]...)
	dir := showFolder(t, map[string]string{"score.yaml": before, "draft.yaml": wish, "spotting.yaml": decisions})
	r, err := Move(dir, mapOf(t, old, take), bars)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"score.yaml": strings.NewReplacer(
			"at: 0:02,", "at: 0:05.000,",
			"  - {cue: 2, on: hit 0:15.5, look: dark, why: cut away}\n", "",
			"end of swell 0:31.250", "end of swell 0:24.250",
			"bar 20", "bar 16",
			"from: 0:30, to: 0:35", "from: 0:23.000, to: 0:28.000",
			"from: 0:08, to: 0:22", "from: 0:11.000, to: 0:15.000",
			"0:15 to 0:40", "0:13.000 to 0:33.000",
			"until 0:31", "until 0:24.000",
			"ghost: cue 2", "ghost: never",
			"cues 2 to 4", "cues 3 to 4",
			"- {cue: 2, to:", "- {at: 0:13.000, to:",
			"{at: 0:30, to:", "{at: 0:23.000, to:",
			"{cue: 2, to: open}", "{at: 0:13.000, to: open}",
			"{at: 0:31, to: closed", "{at: 0:24.000, to: closed",
		).Replace(before),
		"draft.yaml": strings.NewReplacer(
			"from: 0:00", "from: 0:00.000",
			"  - from: 0:12          # all of it is cut\n    mood: still\n", "",
			"from: 0:18", "from: 0:13.000",
			"from: 0:40", "from: 0:33.000",
		).Replace(wish),
		"spotting.yaml": strings.NewReplacer(
			"  - {moment: hit 0:15.5, verdict: reject, note: \"a cough\"}   # cut away\n", "",
			"turn 0:25", "turn 0:18.000",
			"move to: 0:25.05", "move to: 0:18.050",
		).Replace(decisions),
	} {
		if string(r.Texts[name]) != want {
			t.Errorf("%s: got\n%s\nwant\n%s", name, r.Texts[name], want)
		}
	}
	for kind, want := range map[Kind]string{
		Cue:      "  - {cue: 2, on: hit 0:15.5, look: dark, why: cut away}\n",
		Section:  "  - from: 0:12          # all of it is cut\n    mood: still\n",
		Decision: "  - {moment: hit 0:15.5, verdict: reject, note: \"a cough\"}   # cut away\n",
	} {
		if !strings.Contains(r.Aside[kind], want) {
			t.Errorf("kept aside of every %s: %q", kind, r.Aside[kind])
		}
	}
	if r.Aside[Calm] != "" {
		t.Errorf("a calm span that is there was kept aside: %q", r.Aside[Calm])
	}
	for _, m := range r.Moved {
		cut := m.Name == "2" || m.Kind == Section && m.Old == 12*time.Second || m.Name == "hit 0:15.500 reject"
		cut = cut || m.Name == "ghost, cue 2"
		// What was cut, and what comes next stands in.
		doubtful := m.Kind == Presence && m.Old == 15*time.Second || m.Name == "moon, cues 2 to 4" || m.Kind == Crossing && m.Name == "ghost" || m.Kind == Draw && m.Old < 20*time.Second
		if m.Cut != cut || m.Doubtful != doubtful {
			t.Errorf("%s %s: %+v", m.Kind, m.Name, m)
		}
	}
}

// The second half comes first: sections are written in their new order, one
// that lies on both sides of the joint twice; a calm span in two pieces is two;
// one that is cut is kept aside, and a file that loses all goes.
func TestReordered(t *testing.T) {
	old := tune(60)
	take := append(slices.Clone(old[30*rate:55*rate]), old[:30*rate]...)
	const text = `looks: {dark: {purpose: nothing}}
cues: [{cue: 1, at: 0:40, look: dark}, {cue: 2, at: 0:58, look: dark}]
calm: [{from: 0:28, to: 0:32, why: "a: voice"}, {from: 0:56, to: 0:59}]
`
	dir := showFolder(t, map[string]string{
		"score.yaml":    text,
		"draft.yaml":    "sections:\n  - {from: 0:00, mood: calm}   # first\n  - {from: 0:20, mood: lively}\n  - {from: 0:50, mood: still}\n",
		"spotting.yaml": "decisions:\n  - {moment: hit 0:57, verdict: reject}\n",
	})
	r, err := Move(dir, mapOf(t, old, take), bars)
	if err != nil {
		t.Fatal(err)
	}
	want := `looks: {dark: {purpose: nothing}}
cues: [{cue: 1, at: 0:10.000, look: dark}]
calm: [{from: 0:00.000, to: 0:02.000, why: "a: voice"}, {from: 0:53.000, to: 0:55.000, why: "a: voice"}]
`
	if string(r.Texts["score.yaml"]) != want {
		t.Errorf("got\n%s\nwant\n%s", r.Texts["score.yaml"], want)
	}
	want = "sections:\n  - {from: 0:00.000, mood: lively}\n  - {from: 0:20.000, mood: still}\n  - {from: 0:25.000, mood: calm}   # first\n  - {from: 0:45.000, mood: lively}\n"
	// The joint is heard to the millisecond, where it falls in a rest.
	if got := strings.Replace(string(r.Texts["draft.yaml"]), "0:25.001", "0:25.000", 1); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if data, there := r.Texts["spotting.yaml"]; !there || data != nil || !strings.Contains(r.Aside[Decision], "  - {moment: hit 0:57, verdict: reject}\n") {
		t.Errorf("spotting.yaml became %q, aside %q", data, r.Aside[Decision])
	}
	if !strings.Contains(r.Aside[Calm], "  - {from: 0:56, to: 0:59}\n") {
		t.Errorf("the calm span that was cut: %q", r.Aside[Calm])
	}
}

// What was cut and kept aside reads as the file that it was cut from does, also
// when more is added to it.
func TestAsideReads(t *testing.T) {
	old := tune(60)
	take := append(slices.Clone(old[:10*rate]), old[20*rate:]...)
	dir := showFolder(t, map[string]string{"score.yaml": before, "draft.yaml": wish, "spotting.yaml": decisions, "show.yaml": "title: x\nsoundtrack: old.wav\n",
		"cut-sections.yaml": "sections:\n  - {from: 0:05, mood: calm}"})
	m := mapOf(t, old, take)
	r, err := Move(dir, m, bars)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "new.wav")
	if err := os.WriteFile(path, []byte("sound"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := r.Commit(t.Context(), dir, Take{Path: path, Name: "new.wav", Print: &retake.Print{}}); err != nil {
		t.Fatal(err)
	}
	for name, items := range map[string]int{"cut-cues.yaml": 1, "cut-sections.yaml": 2, "cut-decisions.yaml": 1} {
		data, err := dir.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		text, faults := source.OpenText(name, data)
		if faults.Err() != nil {
			t.Fatalf("%v\n%s", faults, data)
		}
		key := strings.TrimSuffix(strings.TrimPrefix(name, "cut-"), ".yaml")
		if _, last := text.Find(key, items-1); !last {
			t.Errorf("%s does not hold %d items:\n%s", name, items, data)
		}
		if _, more := text.Find(key, items); more {
			t.Errorf("%s holds more than %d items:\n%s", name, items, data)
		}
	}
	if data, _ := dir.ReadFile("cut-sections.yaml"); !strings.Contains(string(data), "mood: calm}\n  # section") {
		t.Errorf("what was added does not begin on a line of its own:\n%s", data)
	}
	bill, _ := dir.ReadFile("show.yaml")
	sound, _ := dir.ReadFile("new.wav")
	if !strings.Contains(string(bill), "soundtrack: new.wav") || string(sound) != "sound" {
		t.Errorf("show.yaml is %q, the sound %q", bill, sound)
	}
}

// A cut inside a section leaves one section, and the next one earlier. Another
// file of the take's name is not written over.
func TestCutWithinASection(t *testing.T) {
	old := tune(60)
	dir := showFolder(t, map[string]string{"score.yaml": before, "draft.yaml": "sections: [{from: 0:00, mood: calm}, {from: 0:30, mood: lively}]\n",
		"show.yaml": "title: x\nsoundtrack: old.wav\n", "new.wav": "another"})
	r, err := Move(dir, mapOf(t, old, append(slices.Clone(old[:10*rate]), old[20*rate:]...)), bars)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := string(r.Texts["draft.yaml"]), "sections: [{from: 0:00.000, mood: calm}, {from: 0:20.000, mood: lively}]\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	path := filepath.Join(t.TempDir(), "new.wav")
	if err := os.WriteFile(path, []byte("new"), 0o644); err != nil {
		t.Fatal(err)
	}
	err = r.Commit(t.Context(), dir, Take{Path: path, Name: "new.wav", Print: &retake.Print{}})
	if data, _ := os.ReadFile(filepath.Join(dir.Dir(), "new.wav")); !errors.Is(err, ErrTaken) || string(data) != "another" {
		t.Errorf("%v; the file holds %q", err, data)
	}
}

// A fault at any step of the writing leaves the old show on the old track or
// the new show on the new one.
func TestFaultAtEveryStep(t *testing.T) {
	old := tune(40)
	m := mapOf(t, old, append(slices.Clone(old[:10*rate]), old[20*rate:]...))
	path := filepath.Join(t.TempDir(), "new.wav")
	if err := os.WriteFile(path, []byte("the new sound"), 0o644); err != nil {
		t.Fatal(err)
	}
	prepare := func(dir string) {
		for name, text := range map[string]string{"score.yaml": before, "draft.yaml": wish, "spotting.yaml": decisions, "show.yaml": "title: x\nsoundtrack: old.wav\n", "old.wav": "the old sound", "cut-cues.yaml": "cues:\n"} {
			if err := errors.Join(os.MkdirAll(dir, 0o755), os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644)); err != nil {
				t.Fatal(err)
			}
		}
	}
	steps := foldertest.EveryStep(t, 1, prepare, func(ctx context.Context, dir string) error {
		f, err := folder.Open(ctx, dir)
		if err != nil {
			return err
		}
		defer f.Close()
		r, err := Move(f, m, bars)
		if err != nil {
			return err
		}
		return r.Commit(ctx, f, Take{Path: path, Name: "new.wav", Print: &retake.Print{}})
	})
	if steps < 30 {
		t.Errorf("only %d steps were tried", steps)
	}
}

// A take that holds nothing of the score is refused, and nothing is written.
func TestWrongFile(t *testing.T) {
	const preset = "looks: {dark: {purpose: nothing}}\ncues: [{cue: 1, at: 0:00, look: dark}]\n"
	other := mapOf(t, tune(20), make([]float32, 20*rate))
	for _, files := range []map[string]string{
		{"score.yaml": before},
		{"score.yaml": preset + "calm: [{from: 0:02, to: 0:03}]\n"},
		{"score.yaml": preset, "spotting.yaml": "decisions: [{moment: hit 0:05, verdict: reject}]\n"},
	} {
		_, err := Move(showFolder(t, files), other, bars)
		if err == nil || !strings.Contains(err.Error(), "is it the right file?") {
			t.Errorf("a silent take for %v: %v", files, err)
		}
	}
}

// The light that people come into goes with no sound: it stands at the
// beginning of the new take, whether that begins earlier or later in the music,
// or elsewhere.
func TestPreset(t *testing.T) {
	const text = "looks: {warm: {purpose: come in}, dark: {purpose: nothing}}\ncues:\n  - {cue: 1, at: 0:00, look: warm}   # preset\n  - {cue: 2, at: 0:40, look: dark}\n"
	old := tune(60)
	for name, c := range map[string]struct {
		take []float32
		at   string // of the second cue
		also []time.Duration
	}{
		"begins later":   {old[5*rate:], "0:35.000", nil},
		"begins earlier": {append(make([]float32, 3*rate), old...), "0:43.000", []time.Duration{3 * time.Second}},
		"turned round":   {append(slices.Clone(old[30*rate:]), old[:30*rate]...), "0:10.000", []time.Duration{30 * time.Second}},
	} {
		dir := showFolder(t, map[string]string{"score.yaml": text})
		r, err := Move(dir, mapOf(t, old, c.take), bars)
		if err != nil {
			t.Fatal(err)
		}
		want := strings.Replace(text, "0:40", c.at, 1)
		if got := string(r.Texts["score.yaml"]); got != want || r.Aside[Cue] != "" {
			t.Errorf("%s: got\n%s\nand aside %q", name, got, r.Aside[Cue])
		}
		m := r.Moved[0]
		for i := range m.Also { // a joint is heard to the millisecond
			m.Also[i] = m.Also[i].Round(10 * time.Millisecond)
		}
		if m.Name != "1" || m.New != 0 || m.Cut || m.Doubtful || !slices.Equal(m.Also, c.also) {
			t.Errorf("%s: at %v, cut %v, doubtful %v, also at %v", name, m.New, m.Cut, m.Doubtful, m.Also)
		}
	}
}

// A score without a cue, or with the preset alone, has nothing that a new take
// could lack.
func TestNoCues(t *testing.T) {
	for _, cues := range []string{"cues: []\n", "cues: [{cue: 1, at: 0:00, look: dark}]\n"} {
		text := "looks: {dark: {purpose: nothing}}\n" + cues
		dir := showFolder(t, map[string]string{"score.yaml": text})
		r, err := Move(dir, mapOf(t, tune(20), tune(30)[10*rate:]), bars)
		if err != nil || string(r.Texts["score.yaml"]) != text {
			t.Errorf("%s: %v", cues, err)
		}
	}
}

// A cue on a moment that is not heard in the new take keeps its time there and
// is said to, in both forms of a mapping: a show that could be opened can be
// opened after.
func TestUnheard(t *testing.T) {
	old := tune(60)
	take := append(make([]float32, 3*rate), old...)
	dir := showFolder(t, map[string]string{"score.yaml": before, "spotting.yaml": decisions})
	deaf := Options{Moment: bars.Moment, Anchor: func(score.Anchor, time.Duration) (score.Anchor, bool) { return score.Anchor{}, false }}
	r, err := Move(dir, mapOf(t, old, take), deaf)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"  - {cue: 2, at: 0:18.500, look: dark, why: cut away}\n",
		"  - cue: 3\n    at: 0:34.250\n    look: dark\n",
		"  - {cue: 4, at: 0:43.000, look: dark}\n",
	} {
		if text := string(r.Texts["score.yaml"]); !strings.Contains(text, want) {
			t.Errorf("the score lacks %q:\n%s", want, text)
		}
	}
	if text := string(r.Texts["spotting.yaml"]); !strings.Contains(text, "moment: hit 0:18.500, verdict: reject") {
		t.Errorf("what was decided is lost:\n%s", text)
	}
	timed := 0
	for _, m := range r.Moved {
		if m.Timed {
			timed++
		}
	}
	if timed != 3 {
		t.Errorf("%d cues are told to have a time now, want 3", timed)
	}
}
