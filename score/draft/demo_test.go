package draft

import (
	"bytes"
	"cmp"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"lampblack/demo"
	"lampblack/score"
	"lampblack/si"
	"lampblack/soundfile"
	"lampblack/soundtrack"
)

// lantern is the demo's soundtrack as heard, once.
var lantern = sync.OnceValues(func() (*soundtrack.Track, error) {
	var wav bytes.Buffer
	if err := demo.Synthesise(&wav, demo.TheLanternFish(), nil); err != nil {
		return nil, err
	}
	s, err := soundfile.Open(bytes.NewReader(wav.Bytes()), "lantern-fish.wav")
	if err != nil {
		return nil, err
	}
	return soundtrack.Analyse(context.Background(), s, soundtrack.Options{})
})

// unwritten is the demo's score with its looks and no cue.
func unwritten(t testing.TB) *score.Score {
	t.Helper()
	data, err := fs.ReadFile(os.DirFS("../../demo/show"), "score.yaml")
	if err != nil {
		t.Fatal(err)
	}
	sc, faults := score.Read("score.yaml", data)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	sc.Cues = nil
	return sc
}

func drafted(t testing.TB, sc *score.Score, o Options) *Result {
	t.Helper()
	track, err := lantern()
	if err != nil {
		t.Fatal(err)
	}
	r, faults, err := Draft(context.Background(), track, sc, o)
	if err != nil || faults.Err() != nil {
		t.Fatal(err, faults.Err())
	}
	return r
}

// intent is what the demo's plan wants, as a director would say it.
func intent(t testing.TB) *Wish {
	t.Helper()
	data, err := os.ReadFile("../../demo/show/draft.yaml")
	if err != nil {
		t.Fatal(err)
	}
	w, faults := ReadWish("draft.yaml", data)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return w
}

// Against the known intent: how many planned accents the draft takes at the
// planned density, and how many others.
func TestDraftAgainstThePlan(t *testing.T) {
	for name, o := range map[string]Options{"with the director's wishes": {Wish: intent(t)}, "from the sound alone": {}} {
		r := drafted(t, unwritten(t), o)
		taken, others, planned := againstPlan(r)
		if !r.Proven {
			t.Errorf("%s: the casting of looks was not searched to its end", name)
		}
		t.Logf("%s: %d cues, on %d of %d planned accents; %d bumps on what was not planned", name, len(r.Cues), taken, planned, others)
		holds(t, name, r, unwritten(t), o)
		if taken < planned*7/10 || others > 12 {
			t.Errorf("%s: %d of %d planned accents, %d others", name, taken, planned, others)
		}
	}
}

func againstPlan(r *Result) (taken, others, planned int) {
	p := demo.TheLanternFish()
	lit := map[int]bool{}
	for _, c := range r.Cues {
		if c.On == nil || c.On.Kind != "hit" {
			continue
		}
		found := false
		for i, a := range p.Attacks {
			if a.Accent && (a.Time-c.On.Near).Abs() <= 15*time.Millisecond {
				lit[i], found = true, true
			}
		}
		if !found && c.Bump() {
			others++
		}
	}
	for _, a := range p.Attacks {
		if a.Accent {
			planned++
		}
	}
	return len(lit), others, planned
}

// holds checks a draft by its promises, with plain loops.
func holds(t *testing.T, name string, r *Result, sc *score.Score, o Options) {
	t.Helper()
	most, apart := usualMinute, usualApart
	if sc.Brief.PerMinute > 0 {
		most = int(sc.Brief.PerMinute)
	}
	if o.Wish != nil && o.Wish.PerMinute > 0 {
		most = int(o.Wish.PerMinute)
	}
	var at []time.Duration
	for i := range r.Cues {
		c := &r.Cues[i]
		at = append(at, when(c))
		for _, s := range sc.Calm {
			if c.Bump() && when(c) >= s.From && when(c) < s.To {
				t.Errorf("%s: cue %s bumps while there is to be calm", name, c.Number)
			}
		}
	}
	for i := range sc.Cues {
		if sc.Cues[i].By != score.Draft {
			at = append(at, when(&sc.Cues[i]))
		}
	}
	slices.Sort(at)
	for i := range at {
		inMinute := 0
		for j := i; j < len(at) && at[j] < at[i]+time.Minute; j++ {
			inMinute++
		}
		if inMinute > most {
			t.Errorf("%s: %d cues in the minute from %v, the most is %d", name, inMinute, at[i], most)
		}
		// Anchors are rounded to 1 ms.
		if i > 0 && at[i]-at[i-1] < apart-2*time.Millisecond && len(sc.Cues) == 0 {
			t.Errorf("%s: cues at %v and %v", name, at[i-1], at[i])
		}
	}
}

// The text of a score with a draft in it reads clean, keeps every byte that a
// person wrote, and drafting again gives the same text.
func TestSpliceAndAgain(t *testing.T) {
	before, err := os.ReadFile("../../demo/show/score.yaml")
	if err != nil {
		t.Fatal(err)
	}
	sc, _ := score.Read("score.yaml", before)
	r := drafted(t, sc, Options{})
	text, err := r.Splice("score.yaml", before, sc)
	if err != nil {
		t.Fatal(err)
	}
	again, faults := score.Read("score.yaml", text)
	if err := faults.Err(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if len(again.Cues) != len(sc.Cues)+len(r.Cues) {
		t.Errorf("%d cues, %d and %d were to be", len(again.Cues), len(sc.Cues), len(r.Cues))
	}
	for i, line := range bytes.Split(before, []byte("\n")) {
		if !bytes.Contains(text, line) {
			t.Errorf("line %d is gone: %s", i+1, line)
		}
	}
	for i := range sc.Cues {
		if again.Cues[i].Number.Name != sc.Cues[i].Number.Name || again.Cues[i].By == score.Draft {
			t.Errorf("cue %s was touched", sc.Cues[i].Number)
		}
	}
	numbersFollowTime(t, again)
	second := drafted(t, again, Options{})
	text2, err := second.Splice("score.yaml", text, again)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(text, text2) {
		t.Error("drafting again changes the text")
	}
}

func numbersFollowTime(t *testing.T, sc *score.Score) {
	t.Helper()
	type numbered struct {
		at time.Duration
		n  float64
	}
	var all []numbered
	for i := range sc.Cues {
		n, err := strconv.ParseFloat(sc.Cues[i].Number.Name, 64)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, numbered{when(&sc.Cues[i]), n})
	}
	slices.SortStableFunc(all, func(a, b numbered) int { return cmp.Compare(a.at, b.at) })
	for i := 1; i < len(all); i++ {
		if all[i].n <= all[i-1].n {
			t.Errorf("cue %v at %v comes after cue %v", all[i].n, all[i].at, all[i-1].n)
		}
	}
}

// What was accepted stays and is counted in; a rejected moment gets no cue, a
// nudged one is lit where it was put.
func TestDecisions(t *testing.T) {
	sc := unwritten(t)
	first := drafted(t, sc, Options{})
	var hit *score.Cue
	for i := range first.Cues {
		if first.Cues[i].Bump() {
			hit = &first.Cues[i]
		}
	}
	near := hit.On.Near
	moved := near + 30*time.Millisecond
	for _, c := range []struct {
		text string
		want time.Duration
	}{
		{"verdict: reject", -1},
		{"verdict: accept", near},
		{"move to: " + si.FormatTime(moved), moved},
	} {
		d, faults := ReadDecisions("spotting.yaml", []byte("decisions:\n  - {moment: "+hit.On.String()+", "+c.text+"}\n"))
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		r := drafted(t, sc, Options{Decisions: d})
		found := time.Duration(-1)
		for i := range r.Cues {
			if (when(&r.Cues[i]) - near).Abs() < 50*time.Millisecond {
				found = when(&r.Cues[i])
			}
		}
		if (found - c.want).Abs() > time.Millisecond {
			t.Errorf("%s: a cue at %v, want %v", c.text, found, c.want)
		}
	}
}

// A score without looks gets some, of the wished colours on the rig's systems,
// and the text reads clean.
func TestLooksAreMade(t *testing.T) {
	text := []byte("looks:\n  lights up: {purpose: lights up, parts: [{system: front, colour: \"4000 K\"}]}\ncues:\n  - {cue: 1, at: 0:00, look: lights up}\n")
	sc, faults := score.Read("score.yaml", text)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	w, _ := ReadWish("draft.yaml", []byte("sections:\n  - {from: 0:28, mood: calm, colours: [\"#1f6fd0\", \"#00c0a0\"]}\n  - {from: 2:48, mood: fierce}\n"))
	track, err := lantern()
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := Draft(t.Context(), track, sc, Options{Wish: w}); err == nil {
		t.Error("looks were made of nothing")
	}
	r := drafted(t, sc, Options{Wish: w, Systems: []string{"front", "back"}})
	out, err := r.Splice("score.yaml", text, sc)
	if err != nil {
		t.Fatal(err)
	}
	again, faults := score.Read("score.yaml", out)
	if err := faults.Err(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if len(again.Looks) < 4 || !bytes.Contains(out, []byte("#1f6fd0")) {
		t.Errorf("the looks are\n%s", out)
	}
}

func TestSpotting(t *testing.T) {
	track, err := lantern()
	if err != nil {
		t.Fatal(err)
	}
	list := SpotList(track, nil, 40)
	var text, table bytes.Buffer
	if list.WriteText(&text) != nil || list.WriteCSV(&table) != nil {
		t.Fatal("could not be written")
	}
	if n := strings.Count(table.String(), "\n"); n != len(list)+1 || len(list) < 60 {
		t.Errorf("%d lines for %d moments", n, len(list))
	}
	for _, want := range []string{"2:52.536", "swell", "hush", "turn"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("no %s in the list", want)
		}
	}
}

// Five real pieces, and one of ten minutes: no bound is broken, in under 2 s.
func TestRealPieces(t *testing.T) {
	const music = "/usr/share/games/supertux2/music"
	if _, err := os.Stat(music); err != nil {
		t.Skip("outside check left out: needs music of the Debian package supertux-data")
	}
	if testing.Short() {
		t.Skip("left out: listens to five pieces")
	}
	for _, name := range []string{"antarctic/arctic_cave.ogg", "misc/battle_theme.ogg", "castle/fortress.ogg", "forest/forest2.ogg", "tropical/saharan_penguin.ogg"} {
		track, err := soundtrack.AnalyseFile(t.Context(), filepath.Join(music, name), soundtrack.Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		start := time.Now()
		r, _, err := Draft(t.Context(), track, unwritten(t), Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		sc := unwritten(t)
		holds(t, name, r, sc, Options{})
		t.Logf("%s: %v, %d hits: %d cues in %v", name, track.Duration.Round(time.Second), len(track.Hits()), len(r.Cues), time.Since(start).Round(time.Millisecond))
	}
}

func BenchmarkDraft(b *testing.B) {
	track, err := lantern()
	if err != nil {
		b.Fatal(err)
	}
	sc := unwritten(b)
	for b.Loop() {
		if _, _, err := Draft(b.Context(), track, sc, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
