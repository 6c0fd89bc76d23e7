package draft

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/score"
	"lampblack/soundtrack"
)

// hits is a track of one section with a hit every two seconds, some stronger.
func hits(n int) *soundtrack.Track {
	length := time.Duration(n+1) * 2 * time.Second
	t := &soundtrack.Track{Duration: length, Loudness: soundtrack.Curve{Hop: time.Second, Values: slices.Repeat([]float32{-20}, 2*n+3)}}
	t.Moments = append(t.Moments, soundtrack.Moment{Kind: soundtrack.Turn, Label: "A", End: length, Strength: 1})
	for i := range n {
		at := time.Duration(i+1) * 2 * time.Second
		t.Moments = append(t.Moments, soundtrack.Moment{Kind: soundtrack.Hit, Time: at, End: at, Strength: .5 + .4*float64(i%5)/5, Rank: i + 1, After: -18, Decay: 600 * time.Millisecond})
	}
	return t
}

func read(t testing.TB, text string) *score.Score {
	t.Helper()
	sc, faults := score.Read("score.yaml", []byte(text))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return sc
}

const plain = "brief: {cues per minute: 30}\nlooks:\n  a: {parts: [{system: front, colour: \"4000 K\", level: 20 %}]}\ncues: []\n"

func fierce() *Wish { return &Wish{PerMinute: 30, Sections: []Section{{Mood: Fierce}}} }

// draftOf drafts and puts the draft into the text.
func draftOf(t testing.TB, track *soundtrack.Track, text string, o Options) (*Result, string) {
	t.Helper()
	sc := read(t, text)
	r, faults, err := Draft(t.Context(), track, sc, o)
	if err != nil || faults.Err() != nil {
		t.Fatal(err, faults.Err())
	}
	out, err := r.Splice("score.yaml", []byte(text), sc)
	if err != nil {
		t.Fatal(err)
	}
	read(t, string(out))
	return r, string(out)
}

// Judges who dislike single moments, with or without naming the cues, or too
// much of something: what is left passes, all that is not disliked is kept, and
// as much of the rest as may be.
func TestRepair(t *testing.T) {
	track := hits(24)
	all, _ := draftOf(t, track, plain, Options{Wish: fierce()})
	if len(all.Cues) < 12 {
		t.Fatalf("%d cues are too few to show anything", len(all.Cues))
	}
	for seed := range uint64(40) {
		rnd := rand.New(rand.NewPCG(seed, 5))
		bad := map[time.Duration]bool{}
		for _, c := range all.Cues[1:] {
			bad[when(&c)] = rnd.IntN(6) == 0
		}
		names, most := rnd.IntN(2) == 0, 5+rnd.IntN(10)
		sums := seed%4 == 3
		gentle := seed%4 == 2 // slower is enough
		calls := 0
		judge := func(_ context.Context, r *Result) ([]Objection, error) {
			calls++
			if sums {
				if len(r.Cues) > most {
					return []Objection{{What: "too much"}}, nil
				}
				return nil, nil
			}
			var out []Objection
			for i := range r.Cues {
				if c := &r.Cues[i]; bad[when(c)] && !(gentle && *c.Returns >= time.Second) {
					o := Objection{What: fmt.Sprint("bad at ", when(c))}
					if names {
						o.Cues = []string{c.Number.Name}
					}
					out = append(out, o)
				}
			}
			return out, nil
		}
		r, _ := draftOf(t, track, plain, Options{Wish: fierce(), Judge: judge})
		said, _ := judge(t.Context(), r)
		if len(said) > 0 {
			t.Errorf("seed %d: the draft does not pass: %v", seed, said)
		}
		if calls > mostTries+1 {
			t.Errorf("seed %d: judged %d times", seed, calls)
		}
		got := map[time.Duration]bool{}
		for i := range r.Cues {
			got[when(&r.Cues[i])] = true
		}
		if sums {
			if len(r.Cues) != most {
				t.Errorf("seed %d: %d cues, %d would pass", seed, len(r.Cues), most)
			}
			continue
		}
		for _, c := range all.Cues {
			if want := gentle || !bad[when(&c)]; got[when(&c)] != want {
				t.Errorf("seed %d: a cue at %v: %v, want %v (names %v)", seed, when(&c), got[when(&c)], want, names)
			}
		}
		if r.Optimum != all.Worth || r.Worth > r.Optimum && len(r.Cues) <= len(all.Cues) {
			t.Errorf("seed %d: worth %d of %d, at first %d", seed, r.Worth, r.Optimum, all.Worth)
		}
	}
}

// What a person reads of a repaired draft.
func TestRepairIsExplained(t *testing.T) {
	track := hits(12)
	judge := func(_ context.Context, r *Result) (out []Objection, err error) {
		for i := range r.Cues {
			c := &r.Cues[i]
			if at := when(c); c.Bump() && (at == 8*time.Second || at == 10*time.Second && *c.Returns < time.Second) {
				out = append(out, Objection{What: "flash-rate at seat A", Cues: []string{c.Number.Name}})
			}
		}
		return out, nil
	}
	r, text := draftOf(t, track, plain, Options{Wish: fierce(), Judge: judge})
	if r.Gentler != 1 || r.Dropped != 1 {
		t.Errorf("%d gentler and %d left out, want 1 and 1", r.Gentler, r.Dropped)
	}
	if !strings.Contains(text, "gentler than at first, for flash-rate at seat A") {
		t.Errorf("no cue says why it is gentler:\n%s", text)
	}
	i := slices.IndexFunc(r.Left, func(l Left) bool { return l.Moment.Time == 8*time.Second })
	if i < 0 || !strings.Contains(r.Left[i].Why, "worse: flash-rate at seat A") {
		t.Errorf("left out: %v", r.Left)
	}
}

// Errors of the judge and an end of the context end the draft.
func TestRepairEnds(t *testing.T) {
	broken := errors.New("broken")
	_, _, err := Draft(t.Context(), hits(5), read(t, plain), Options{Judge: func(context.Context, *Result) ([]Objection, error) { return nil, broken }})
	if !errors.Is(err, broken) {
		t.Errorf("error %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	calls := 0
	_, _, err = Draft(ctx, hits(5), read(t, plain), Options{Judge: func(context.Context, *Result) ([]Objection, error) {
		calls++
		cancel()
		return []Objection{{What: "x"}}, nil
	}})
	if !errors.Is(err, context.Canceled) || calls != 1 {
		t.Errorf("error %v after %d judgings", err, calls)
	}
}

// An accent gives at most twice what the look has, in the way in which the look
// is written; more in a fierce section, and where a person named it.
func TestAccentsKeepTheStep(t *testing.T) {
	looks := `
  a: {parts: [{system: front, colour: "4000 K", level: 5 %}, {system: back, colour: "#123a7c", lux: 8, on: backdrop}, {system: uv, glow: {object: fish, over background: 12}}, {system: side, emitters: {red: 30 %, uv: 10 %}}], dark: [{on: floor, at most: 0.5 lx}], ultraviolet at eyes: {at most: 0.4 W/m2}}
`
	black := "\n  a: {parts: [{system: uv, glow: {object: fish, over background: 12}}]}\n"
	blow := `  blow: {like: a, parts: [{system: work, colour: "4000 K", level: 90 %}]}` + "\n"
	small := `  blow: {like: a, parts: [{system: front, colour: "4000 K", level: 9 %}]}` + "\n"
	for _, c := range []struct {
		name, looks string
		mood        Mood
		accent      string
		want        []string // in the look of the bumps, or its name
		not         []string
	}{
		{"each in its way", looks, Calm, "", []string{"level: 10 %", "lux: 16, on: backdrop", "emitters: {red: 60 %, uv: 10 %}", "dark: [{on: floor, at most: 0.5 lx}]", "ultraviolet at eyes: {at most: 0.4 W/m2}"}, []string{"glow", "purpose: drafted: a"}},
		{"fierce", looks, Fierce, "", []string{"level: 25 %"}, nil},
		{"black light alone", black, Calm, "", []string{"glow: {object: fish, over background: 12, luminance: 10 cd/m2}"}, []string{"level", "colour"}},
		{"fierce over black light", black, Fierce, "", []string{"luminance: 10 cd/m2"}, []string{"level", "colour"}},
		{"written, beyond the step", looks + blow, Calm, "", []string{"level: 10 %"}, nil},
		{"written, inside it", looks + small, Calm, "", []string{"look: blow"}, nil},
		{"written, beyond, fierce", looks + blow, Fierce, "", []string{"look: blow"}, nil},
		{"written, beyond, named", looks + blow, Calm, "blow", []string{"look: blow"}, nil},
	} {
		w := &Wish{Sections: []Section{{Mood: c.mood}}}
		w.Sections[0].Look.Name = "a"
		w.Sections[0].Accent.Name = c.accent
		track := hits(4)
		for i := range track.Moments {
			track.Moments[i].Strength = 1
		}
		text := "looks:" + c.looks + "cues: []\n"
		o := Options{Wish: w, Brightness: map[string]float64{"a": .3, "blow": .5}}
		r, out := draftOf(t, track, text, o)
		bump := slices.IndexFunc(r.Cues, func(c score.Cue) bool { return c.Bump() })
		if bump < 0 {
			t.Errorf("%s: no bump", c.name)
			continue
		}
		got := "look: " + r.Cues[bump].Look.Name
		if l := r.Looks.Get(r.Cues[bump].Look.Name); l != nil {
			got = *l
		}
		for _, want := range c.want {
			if !strings.Contains(got, want) {
				t.Errorf("%s: the accent has no %q: %s", c.name, want, got)
			}
		}
		for _, not := range c.not {
			if strings.Contains(got, not) {
				t.Errorf("%s: the accent has %q: %s", c.name, not, got)
			}
		}
		if again, _ := draftOf(t, track, out, o); len(again.Cues) != len(r.Cues) {
			t.Errorf("%s: %d cues, and %d again", c.name, len(r.Cues), len(again.Cues))
		}
	}
}

// Solved black light is raised from where it is, unit by unit, and not at all
// when it is at its full.
func TestSolvedBlackLight(t *testing.T) {
	text := "looks:\n  a: {parts: [{system: uv, glow: {object: fish, over background: 12}}]}\ncues: []\n"
	level := .3
	lively := &Wish{Sections: []Section{{Mood: Lively}}}
	o := Options{Wish: lively, Black: func(look string, p *score.Part) []EmitterLevel {
		if look != "a" || p.System.Name != "uv" {
			t.Errorf("asked for %s of %s", p.System.Name, look)
		}
		return []EmitterLevel{{"u1", "uv", level}, {"u2", "uv", .95}}
	}}
	r, _ := draftOf(t, hits(6), text, o)
	if len(r.Looks) != 1 || !strings.Contains(r.Looks[0].Value, "parts: [{units: [u1], emitters: {uv: 60 %}}]") {
		t.Errorf("looks %v", r.Looks)
	}
	level = .9
	if r, _ = draftOf(t, hits(6), text, o); len(r.Cues) != 1 {
		t.Errorf("%d cues over lamps that have no more to give", len(r.Cues))
	}
}

// Work light is no accent, whoever wrote it, and is in no made look; and a
// change that would bring the paths below what walking needs keeps it.
func TestWorkLight(t *testing.T) {
	track := hits(6)
	track.Moments[0].End = 7 * time.Second
	track.Moments = append(track.Moments, soundtrack.Moment{Kind: soundtrack.Turn, Label: "B", Time: 7 * time.Second, End: track.Duration, Strength: 1})
	way := `{system: way, colour: "2700 K", level: 12.5 %}`
	marked := Options{WorkSystems: []string{"way"}}
	text := func(first, second, more string) string {
		return fmt.Sprintf("looks:\n  a: {parts: [{system: front, colour: \"4000 K\", level: 20 %%}, %s]}\n  b: {parts: [{system: front, colour: \"#123a7c\", level: 30 %%}%s]}\n%scues: []\n", first, second, more)
	}
	wish := func(accent string) *Wish {
		w := &Wish{Sections: []Section{{Mood: Calm}, {From: 7 * time.Second, Mood: Calm}}}
		w.Sections[0].Look.Name, w.Sections[1].Look.Name = "a", "b"
		w.Sections[0].Accent.Name = accent
		return w
	}
	named := func(o Options, w *Wish) Options { o.Wish = w; return o }
	blow := "  blow: {like: a, parts: [{system: way, colour: \"2700 K\", level: 100 %}]}\n"
	for _, c := range []struct {
		name, text string
		o          Options
		second     string // the look at 7 s
		kept       bool   // with the work light in it
	}{
		{"no paths", text(way, "", ""), named(marked, wish("")), "b", false},
		{"paths need it", text(way, "", ""), named(Options{WorkSystems: []string{"way"}, Walk: map[string]float64{"a": 9, "b": 1}}, wish("")), "b, safe to walk", true},
		{"paths have enough", text(way, ", "+way, ""), named(Options{WorkSystems: []string{"way"}, Walk: map[string]float64{"a": 9, "b": 2.2}}, wish("")), "b", false},
		{"no darker than it was", text(way, "", ""), named(Options{WorkSystems: []string{"way"}, Walk: map[string]float64{"a": .5, "b": .5}}, wish("")), "b", false},
		{"marked in the look", text(strings.Replace(way, "}", ", use: safety light}", 1), "", ""), named(Options{Walk: map[string]float64{"a": 9, "b": 0}}, wish("")), "b, safe to walk", true},
		{"named as an accent", text(way, "", blow), named(marked, wish("blow")), "b", false},
		{"written as an accent", text(way, "", blow), named(marked, wish("")), "b", false},
	} {
		r, out := draftOf(t, track, c.text, c.o)
		found := ""
		for i := range r.Cues {
			cue := &r.Cues[i]
			if !cue.Bump() && when(cue) == 7*time.Second || !cue.Bump() && when(cue) == 8*time.Second {
				found = cue.Look.Name
			}
			if cue.Bump() && cue.Look.Name == "blow" {
				t.Errorf("%s: work light is an accent", c.name)
			}
		}
		if found != c.second {
			t.Errorf("%s: look %q at 7 s, want %q", c.name, found, c.second)
		}
		for _, l := range r.Looks {
			light := strings.Contains(l.Value, "system: way")
			if want := c.kept && l.Name == c.second; light != want {
				t.Errorf("%s: look %s: %s", c.name, l.Name, l.Value)
			}
			if light && !strings.Contains(l.Value, "level: 12.5 %") {
				t.Errorf("%s: the work light was changed: %s", c.name, l.Value)
			}
		}
		sc := read(t, out)
		again, _, err := Draft(t.Context(), track, sc, c.o)
		if err != nil {
			t.Fatal(err)
		}
		if text, err := again.Splice("score.yaml", []byte(out), sc); err != nil || string(text) != out {
			t.Errorf("%s: drafting again changes the text: %v\n%s\n%s", c.name, err, out, text)
		}
	}
	o := marked
	o.Systems = []string{"front", "way"}
	r, _ := draftOf(t, track, "looks:\n  up: {purpose: lights up, parts: [{system: way, colour: \"4000 K\"}]}\ncues: []\n", o)
	for _, l := range r.Looks {
		if strings.Contains(l.Value, "system: way") {
			t.Errorf("a made look uses work light: %s", l.Value)
		}
	}
}

// Cues in a minute are counted with those that stand, by their starts, against
// the stricter of brief and wishes; less than one in a minute is one in more.
func TestDensity(t *testing.T) {
	for _, c := range []struct {
		brief, wish, want float64
	}{{6, 0, 6}, {0, 6, 6}, {6, 12, 6}, {12, 6, 6}, {2.5, 0, 2}, {1, 0, 1}, {.4, 0, .4}} {
		text := fmt.Sprintf("brief: {cues per minute: %g}\nlooks:\n  a: {parts: [{system: front, colour: \"4000 K\", level: 20 %%}]}\ncues:\n  - {cue: 1, at: 0:00, look: a}\n  - {cue: 2, on: bar 9, look: a}\n", c.brief)
		if c.brief == 0 {
			text = strings.Replace(text, "brief: {cues per minute: 0}\n", "", 1)
		}
		o := Options{Wish: &Wish{PerMinute: c.wish, Sections: []Section{{Mood: Fierce}}}, Placed: map[string]Placed{"2": {Moment: 70 * time.Second, Start: 70 * time.Second, Complete: 70 * time.Second}}}
		r, _ := draftOf(t, hits(90), text, o)
		starts := []time.Duration{0, 70 * time.Second}
		for i := range r.Cues {
			starts = append(starts, r.at[i].Start)
		}
		slices.Sort(starts)
		within, most := time.Minute, int(c.want)
		if c.want < 1 {
			within, most = time.Duration(float64(time.Minute)/c.want), 1
		}
		top := 0
		for i := range starts {
			n := 0
			for _, s := range starts[i:] {
				if s-starts[i] < within {
					n++
				}
			}
			top = max(top, n)
		}
		// Without a third cue of a person's in reach, nothing of the draft may
		// be in a minute that is full.
		if top > most && !(c.want < 1 && len(r.Cues) == 0) {
			t.Errorf("brief %g, wish %g: %d cues in %v, the most is %d", c.brief, c.wish, top, within, most)
		}
		if c.want >= 2 && top < most {
			t.Errorf("brief %g, wish %g: %d cues in %v where %d may be", c.brief, c.wish, top, within, most)
		}
	}
}

// A drafted look that a person's cue, look or wish names stays when the rest of
// the draft goes; the others go with it.
func TestLooksThatWereTakenOver(t *testing.T) {
	track := hits(6)
	r, text := draftOf(t, track, plain, Options{Wish: fierce()})
	if len(r.Looks) == 0 || !strings.Contains(text, "by: draft}\n") {
		t.Fatalf("nothing was made: %s", text)
	}
	sc := read(t, text)
	bareText, err := Bare("score.yaml", []byte(text), sc, nil)
	if err != nil {
		t.Fatal(err)
	}
	if left := read(t, string(bareText)); len(left.Looks) != 1 || len(left.Cues) != 0 {
		t.Errorf("left of it:\n%s", bareText)
	}
	accent := r.Looks[0].Name
	i := slices.IndexFunc(sc.Cues, func(c score.Cue) bool { return c.Look.Name == accent })
	if i < 0 {
		t.Fatal("no cue uses the accent")
	}
	sc.Cues[i].By = score.Accepted
	kept, gone := bare(sc, &Wish{})
	if kept.Looks.Get(accent) == nil || slices.Contains(gone, accent) || len(kept.Cues) != 1 {
		t.Errorf("an accepted cue lost its look: %v", gone)
	}
	sc.Cues[i].By = score.Draft
	w := &Wish{}
	w.Voice.Name = accent
	if kept, _ = bare(sc, w); kept.Looks.Get(accent) == nil {
		t.Error("a wished look is gone")
	}
}

// A look that is made of another, so that people can walk, comes in as the other
// would: how colours travel is not taken over with the parts (a look that is
// like another starts from its parts alone, package score).
func TestWorkLightKeepsTheFade(t *testing.T) {
	track := hits(6)
	track.Moments[0].End = 7 * time.Second
	track.Moments = append(track.Moments, soundtrack.Moment{Kind: soundtrack.Turn, Label: "B", Time: 7 * time.Second, End: track.Duration, Strength: 1})
	text := `looks:
  a: {parts: [{system: way, colour: "2700 K", level: 12.5 %}]}
  b: {fades: even to the eye, parts: [{system: front, colour: "#123a7c", level: 30 %}]}
cues: []
`
	w := &Wish{Sections: []Section{{Mood: Calm}, {From: 7 * time.Second, Mood: Calm}}}
	w.Sections[0].Look.Name, w.Sections[1].Look.Name = "a", "b"
	r, out := draftOf(t, track, text, Options{Wish: w, WorkSystems: []string{"way"}, Walk: map[string]float64{"a": 9, "b": 1}})
	l := read(t, out).Looks.Get("b, safe to walk")
	if l == nil || l.Fade != score.Even {
		t.Errorf("looks %v: the safe look does not fade as b does", r.Looks)
	}
}

// What is written reads back as the same look.
func TestLookTextReads(t *testing.T) {
	text := `looks:
  base: {parts: [{system: s, level: 1 %}]}
  a: {like: base, purpose: "x: y", dark: [{on: floor, at most: 0.25 lx}], ultraviolet at eyes: {at most: 0.004 W/m2}, people move: yes, parts: [{system: "the, front", units: [a b, "c: d"], cells: [1, 3], colour: "x 0.31 y 0.33", level: 12.345 %, flash: 2.5 Hz, use: work light}, {system: s, colour: "#123a7c", lux: 0.125, on: back wall}, {units: [u], emitters: {uv: 33.3 %, red: 1 %}}, {system: s, glow: {object: fish, over background: 12.5, luminance: 7.25 cd/m2}}], by: draft}
cues: []
`
	sc := read(t, text)
	first := lookText(sc.Looks.Get("a"))
	again := read(t, "looks:\n  base: {parts: [{system: s, level: 1 %}]}\n  a: "+first+"\ncues: []\n")
	if second := lookText(again.Looks.Get("a")); first != second || !strings.Contains(text, first) {
		t.Errorf("written as\n%s\nand again as\n%s", first, second)
	}
	if math.Abs(float64(*again.Looks.Get("a").Parts[0].Level)-.12345) > 1e-9 {
		t.Error("a level lost digits")
	}
}
