package editing

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"lampblack/amend"
	"lampblack/check/finding"
	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/show"
	"lampblack/source"
)

const (
	rigText   = "units:\n  - {unit: left, type: colour par, address: 1, at: [-2 m, -1 m, 3 m], aim: [0 m, 2 m, 1 m], systems: front}\n"
	scoreText = "# of one lamp\nlooks:\n  warm: {level: 60 %}\n  cold: {level: 10 %}\ncues:\n  - {cue: 1, at: 0:00, look: warm}\n  - {cue: 2, at: 0:10, look: cold}   # the end\n"
)

// book is what is told of a show that is changed.
type book struct {
	mu     sync.Mutex
	shown  []*show.Show
	found  [][]finding.Finding
	stale  []bool
	faulty source.Faults
}

func open(t *testing.T) (w *Work, b *book, dir string) {
	t.Helper()
	dir, b = t.TempDir(), &book{}
	put(t, dir, "rig.yaml", rigText)
	put(t, dir, "score.yaml", scoreText)
	solve := func(ctx context.Context, over map[string][]byte, from *Solved, quick bool) (*Solved, error) {
		files, faults := show.Read(&folder.Laid{FS: os.DirFS(dir), Texts: over})
		out := &Solved{Files: files, Faults: faults}
		if faults.Err() != nil || quick && from.Base != nil && !from.Base.SameLight(files) {
			return out, nil
		}
		var s *show.Show
		var more source.Faults
		if from.Base == nil {
			s, more = show.New(ctx, files, nil)
		} else {
			s, more = from.Base.Again(ctx, files, nil)
		}
		if out.Faults = append(faults, more...); more.Err() == nil {
			out.Base, out.Shown = s, s
		}
		out.Check = func(context.Context) ([]finding.Finding, error) {
			return []finding.Finding{{ID: "checked", Text: s.Bill.Title}}, nil
		}
		return out, nil
	}
	first, err := solve(t.Context(), nil, &Solved{}, false)
	if err != nil || first.Shown == nil {
		t.Fatal(err, first.Faults)
	}
	w = New(Options{Dir: dir, Solve: solve,
		Changed: func(s *Solved, found []finding.Finding, stale bool) {
			b.mu.Lock()
			defer b.mu.Unlock()
			b.shown, b.found, b.stale = append(b.shown, s.Shown), append(b.found, found), append(b.stale, stale)
		},
		Faulty: func(f source.Faults) { b.mu.Lock(); b.faulty = f; b.mu.Unlock() },
		Told:   func(err error) { t.Error(err) },
	}, first, nil)
	t.Cleanup(w.Close)
	if _, err := ledger.Note(t.Context(), dir, "start", ""); err != nil {
		t.Fatal(err)
	}
	return w, b, dir
}

func put(t *testing.T, dir, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func text(t *testing.T, dir, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func set(file, to string, at ...any) []amend.Change {
	return []amend.Change{{File: file, Do: amend.Set, At: at, To: source.TextOf(to)}}
}

var endOf = []any{"cues", amend.Item{Key: "cue", Value: "2"}}

// A change is shown at once, with the findings of before, and again with its own; tried, it is
// shown nowhere and written nowhere.
func TestChange(t *testing.T) {
	w, b, dir := open(t)
	tried, err := w.Try(t.Context(), set("score.yaml", "0:20", append(endOf, "at")...))
	if err != nil || tried.Shown.Cues[1].Start.Seconds() != 20 || text(t, dir, "score.yaml") != scoreText || len(b.shown) != 0 {
		t.Fatalf("tried: %v; the score is\n%s", err, text(t, dir, "score.yaml"))
	}
	e, err := w.Change(t.Context(), "page", set("score.yaml", "0:20", append(endOf, "at")...))
	if err != nil || e.What != "cue 2, at: 0:20 (was 0:10)" || e.Who != "page" {
		t.Fatal(e, err)
	}
	w.Settled()
	if len(b.shown) != 2 || !b.stale[0] || b.stale[1] || len(b.found[0]) != 0 || len(b.found[1]) != 1 || b.shown[1].Cues[1].Start.Seconds() != 20 {
		t.Errorf("shown %d times, stale %v, found %v", len(b.shown), b.stale, b.found)
	}
	if want := strings.Replace(scoreText, "0:10", "0:20", 1); text(t, dir, "score.yaml") != want {
		t.Errorf("the score is\n%s", text(t, dir, "score.yaml"))
	}
	if _, err := w.Undo(t.Context(), "page"); err != nil || text(t, dir, "score.yaml") != scoreText {
		t.Errorf("%v, and the score is\n%s", err, text(t, dir, "score.yaml"))
	}
	if w.Now().Shown.Cues[1].Start.Seconds() != 10 {
		t.Error("what was taken back is not shown")
	}
	if _, err := w.Redo(t.Context(), "page"); err != nil || w.Now().Shown.Cues[1].Start.Seconds() != 20 {
		t.Errorf("done again: %v", err)
	}
}

// What would leave a fault that was not there is refused, in its words; faults that were there
// keep nobody from changing something else, nor from mending them.
func TestRefused(t *testing.T) {
	w, b, dir := open(t)
	for _, c := range []struct{ to, says string }{{"colder", `there is no look "colder"`}, {"[", ""}} {
		_, err := w.Change(t.Context(), "page", set("score.yaml", c.to, append(endOf, "look")...))
		var no *Refused
		if !errors.As(err, &no) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.to, err)
		}
	}
	if text(t, dir, "score.yaml") != scoreText {
		t.Error("something was written")
	}
	put(t, dir, "score.yaml", strings.Replace(scoreText, "look: cold", "look: colder", 1))
	if err := w.Foreign(t.Context(), false); err != nil {
		t.Fatal(err)
	}
	w.Settled()
	if len(b.faulty) == 0 || w.Now().Shown == nil || len(b.found[len(b.found)-1]) == 0 {
		t.Errorf("of a file with a fault is told %v", b.faulty)
	}
	if _, err := w.Change(t.Context(), "page", set("score.yaml", "0:30", append(endOf, "at")...)); err != nil {
		t.Errorf("with an old fault nothing else can be changed: %v", err)
	}
	w.Settled()
	if _, err := w.Change(t.Context(), "page", set("score.yaml", "cold", append(endOf, "look")...)); err != nil {
		t.Errorf("the fault cannot be mended: %v", err)
	}
	w.Settled()
	if c := w.Now().Shown.Cues[1]; c.Start.Seconds() != 30 || len(w.Now().Faults.Error()) > 0 && w.Now().Faults.Err() != nil {
		t.Errorf("it stands at %v, with %v", c.Start, w.Now().Faults)
	}
}

// A lamp that is moved is written at once, and the light in the room is worked out behind that;
// to try it takes too long.
func TestSlowChange(t *testing.T) {
	w, b, dir := open(t)
	c := set("rig.yaml", "3.5 m", "units", amend.Item{Key: "unit", Value: "left"}, "at", 2)
	if _, err := w.Try(t.Context(), c); !errors.Is(err, ErrSlow) {
		t.Errorf("tried: %v", err)
	}
	// What can be told before that is refused before it is written.
	if _, err := w.Change(t.Context(), "page", set("score.yaml", "front", "looks", "warm", "system")); err != nil {
		t.Fatal(err)
	}
	var refused *Refused
	if _, err := w.Change(t.Context(), "page", set("rig.yaml", "rear", "units", amend.Item{Key: "unit", Value: "left"}, "systems")); !errors.As(err, &refused) || !strings.Contains(err.Error(), `no unit belongs to a system "front"`) {
		t.Errorf("a look without its lamps: %v", err)
	}
	if _, err := w.Change(t.Context(), "page", c); err != nil || !strings.Contains(text(t, dir, "rig.yaml"), "3.5 m]") {
		t.Fatalf("%v\n%s", err, text(t, dir, "rig.yaml"))
	}
	w.Settled()
	if n := len(b.shown); n < 2 || b.stale[n-1] || w.Now().Shown.Rig.Units[0].At[2] != 3.5 {
		t.Errorf("it was shown %d times", n)
	}
}
