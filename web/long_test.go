package web

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"lampblack/check/finding"
	"lampblack/show"
)

// The long show: three hours of two thousand cues, of the example's rig, room and looks, with
// the sound that nobody made.
const (
	longMinutes = 180
	longCues    = 2000
)

var longShow = sync.OnceValues(func() (*show.Show, error) {
	dir, example := fstest.MapFS{}, os.DirFS("../demo/show")
	err := fs.WalkDir(example, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".yaml") || name == "desk.yaml" || name == "draft.yaml" {
			return err
		}
		data, err := fs.ReadFile(example, name)
		dir[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		return nil, err
	}
	dir["score.yaml"].Data = longScore(string(dir["score.yaml"].Data))
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	s, faults := show.New(context.Background(), f, hallTrack(longMinutes))
	return s, faults.Err()
})

// longScore takes the looks of a score, each in turn for a cue.
func longScore(text string) []byte {
	looks := text[strings.Index(text, "\nlooks:"):strings.Index(text, "\ncues:")]
	var names []string
	for line := range strings.Lines(looks[len("\nlooks:\n"):]) {
		if !strings.HasPrefix(line, " ") && strings.TrimSpace(line) != "" {
			break // what else stands before the cues
		}
		if name, ok := strings.CutSuffix(strings.TrimSpace(line), ":"); ok && strings.HasPrefix(line, "  ") && !strings.HasPrefix(line, "   ") {
			names = append(names, name)
		}
	}
	var b strings.Builder
	b.WriteString(looks + "\ncues:\n")
	for i := range longCues {
		how := "up: 1.5 s, down: 2 s, lands: starts"
		if i%3 == 2 {
			how = "up: 0.2 s, hold: 0.3 s, returns: 1.2 s, lands: peaks"
		}
		fmt.Fprintf(&b, "  - {cue: %d, at: %s, look: %s, %s, why: \"page %d of the book, line %d\"}\n", i+1, clockText(float64(i)*60*longMinutes/longCues), names[i%len(names)], how, i/40+1, i%40+1)
	}
	return []byte(b.String())
}

// longFindings are remarks all along.
func longFindings() []finding.Finding {
	var out []finding.Finding
	for i := range 600 {
		at := float64(i) * 18
		out = append(out, finding.Finding{ID: "landing", Severity: []finding.Severity{finding.Note, finding.Warn, finding.Note, finding.Stop}[i%4], Text: fmt.Sprintf("cue %d peaks 80 ms after its hit", i*3+1), Value: 80, Limit: 45, Unit: "ms",
			From: at, To: at + 2, Place: fmt.Sprintf("cue %d", i*3+1), Source: "common practice", Hint: "have it land 80 ms earlier"})
	}
	return append(out, hallFindings()...)
}

func longServer(t testing.TB) (*Server, string) {
	t.Helper()
	s, err := longShow()
	if err != nil {
		t.Fatal(err)
	}
	server, err := New(Options{Gate: ownGate(), Show: s, Findings: longFindings()})
	if err != nil {
		t.Fatal(err)
	}
	return server, serve(t, server)
}
