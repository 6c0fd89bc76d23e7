package show

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"
)

const encore = `
cues:
  - {cue: 1, at: 0:01, look: sea, up: 2 s}
  - {cue: 2, at: 0:04, look: flash, up: 0.1 s, hold: 0.2 s, returns: 1 s}
`

const running = `
order:
  - {standing: preshow, look: warm, up: 3 s, usually: 15 min, at most: 40 min}
  - {piece: own}
  - {standing: interval, look: strobe, up: 4 s, at most: 25 min}
  - {piece: encore, cues: pieces/encore.yaml, standby: "encore, and go"}
  - {standing: bows, look: sea, at most: 5 min}
`

// eveningOf reads and solves the hall with a running order.
func eveningOf(t *testing.T, order string) (*Show, *Evening) {
	t.Helper()
	f, faults := Read(hallWith(map[string]string{"order.yaml": order, "pieces/encore.yaml": encore}))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	e, faults := s.Evening(f.Order, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s, e
}

// Every step begins with the light that the step before leaves, a piece with the
// light of its own cues after that, and none depends on what was done before.
func TestEveningGoesOver(t *testing.T) {
	s, e := eveningOf(t, running)
	if len(e.Steps) != 5 || e.Index("interval") != 2 || e.Index("nowhere") != -1 {
		t.Fatalf("steps %v", e.Steps)
	}
	a, b := s.NewFrame(), s.NewFrame()
	for i := 1; i < len(e.Steps); i++ {
		last, next := &e.Steps[i-1], &e.Steps[i]
		if next.Start != last.Start+last.Show.Length {
			t.Errorf("%s starts at %v", next.Name(), next.Start)
		}
		last.Show.At(a, last.Show.Length+time.Hour)
		if first := next.Show.Cues[0].Start; first > 0 {
			next.Show.At(b, first/2)
			if !slices.Equal(a.Levels, b.Levels) {
				t.Errorf("%s begins with %v, and %s leaves %v", next.Name(), b.Levels, last.Name(), a.Levels)
			}
		}
		next.Show.At(b, 0)
		for d := range b.Levels {
			if next.Show.Cues[0].Up > 0 && a.Levels[d] != b.Levels[d] {
				t.Errorf("%s begins with a jump of drive %d from %v to %v", next.Name(), d, a.Levels[d], b.Levels[d])
			}
		}
		for u, rate := range b.Flash {
			if rate > 0 && next.Show.Cues[0].Start > 0 {
				t.Errorf("unit %d still flashes at %v Hz in %s", u, rate, next.Name())
			}
		}
	}
	// A standing look stands from its up on, however long.
	warm := s.Looks[s.Score.Looks.Index("warm")].Levels
	for _, at := range []time.Duration{3 * time.Second, time.Hour, 100 * time.Hour} {
		if e.Steps[0].Show.At(a, at); !slices.Equal(a.Levels, warm) {
			t.Errorf("after %v preshow stands at %v, want %v", at, a.Levels, warm)
		}
	}
	if want := 40*time.Minute + s.Length + 25*time.Minute; e.Steps[3].Start != want {
		t.Errorf("the encore starts at %v at the latest, want %v", e.Steps[3].Start, want)
	}
	if got := e.At(40*time.Minute + time.Second); got != 1 || e.At(0) != 0 || e.At(1000*time.Hour) != 4 || e.At(-time.Second) != 0 {
		t.Errorf("40:01 is in step %d", got)
	}
}

// An evening of nothing but the folder's own piece is that piece.
func TestEveningOfOnePiece(t *testing.T) {
	s, e := eveningOf(t, "order: [{piece: all}]\n")
	a, b := s.NewFrame(), e.Steps[0].Show.NewFrame()
	for at := time.Duration(0); at <= s.Length; at += 37 * time.Millisecond {
		s.At(a, at)
		e.Steps[0].Show.At(b, at)
		if !slices.Equal(a.Levels, b.Levels) || a.Universes[0] != b.Universes[0] || a.Universes[1] != b.Universes[1] {
			t.Fatalf("at %v the piece is %v, and the show %v", at, b.Levels, a.Levels)
		}
	}
	if e.Steps[0].Show.Version() != s.Version() || e.Length() != s.Length {
		t.Errorf("version %s and length %v, of the show %s and %v", e.Steps[0].Show.Version(), e.Length(), s.Version(), s.Length)
	}
}

func TestOrderFaults(t *testing.T) {
	var solved *Show
	for text, want := range map[string]string{
		"order: []\n":             "the running order is empty",
		"order: [{look: warm}]\n": "neither a standing look nor a piece",
		"order: [{piece: a, standing: b, look: warm, at most: 1 min}]\n":                            "at once",
		"order: [{standing: a, look: warm}]\n":                                                      "how long it lasts at most",
		"order: [{standing: a, look: warm, at most: 0 min}]\n":                                      "how long it lasts at most",
		"order: [{standing: a, look: warm, at most: 30 h}]\n":                                       "how long it lasts at most",
		"order: [{standing: a, look: warm, usually: 9 min, at most: 5 min}]\n":                      "usually lasts longer",
		"order: [{standing: a, look: worm, at most: 5 min}]\n":                                      `there is no look "worm"`,
		"order: [{standing: a, at most: 5 min}]\n":                                                  "names no look",
		"order: [{standing: a, look: warm, at most: 5 min, up: 2 h}]\n":                             "outside 0 to 1 h",
		"order: [{standing: a, look: warm, at most: 5 min, cues: pieces/encore.yaml}]\n":            "as only pieces have",
		"order: [{piece: a, look: warm}]\n":                                                         "what only a standing look has",
		"order: [{piece: a, soundtrack: b.wav}]\n":                                                  "no cues of its own",
		"order: [{piece: a}, {piece: b}]\n":                                                         "given to a piece before",
		"order: [{piece: a}, {piece: a, cues: pieces/encore.yaml}]\n":                               `two steps are called "a"`,
		"order: [{piece: a, cues: nowhere.yaml}]\n":                                                 "the file is missing",
		"order: [{piece: a, cues: ../score.yaml}]\n":                                                "cannot hold the cues",
		"order: [{piece: a, cues: /etc/passwd}]\n":                                                  "cannot hold the cues",
		"order: [{piece: a, cues: score.yaml}]\n":                                                   "cannot hold the cues",
		"order: [{piece: a, cues: order.yaml}]\n":                                                   "cannot hold the cues",
		"order: [{piece: a, cues: fixtures}]\n":                                                     "this is a folder",
		"order: [{pieces: a}]\n":                                                                    `did you mean "piece"`,
		"order: 5\n":                                                                                "should be",
		"steps: []\n":                                                                               "steps",
		"order:\n" + strings.Repeat("  - {standing: a, look: warm, at most: 5 min}\n", mostSteps+1): "more than the 200",
		"order: [{piece: a, cues: pieces/worm.yaml}]\n":                                             `there is no look "worm"`,
		"order: [{piece: a, cues: pieces/list.yaml}]\n":                                             "pieces/list.yaml",
	} {
		files := map[string]string{"order.yaml": text, "pieces/encore.yaml": encore, "pieces/worm.yaml": "cues: [{cue: 1, at: 0:01, look: worm}]\n", "pieces/list.yaml": "[1, 2]\n"}
		f, faults := Read(hallWith(files))
		if faults.Err() == nil || !strings.Contains(faults.Error(), want) {
			t.Errorf("%s: %v, want %s", text, faults, want)
		}
		if f.Score == nil || f.Order == nil || len(f.Order.Steps) >= 5 {
			continue
		}
		if solved == nil {
			solved, _ = versionOf(t, small) // light through a room costs a second, and this is not about it
		}
		if s, _ := solved.With(f.Score); s != nil {
			_, _ = s.Evening(f.Order, nil) // and nothing panics
		}
	}
}
