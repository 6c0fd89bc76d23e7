package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lampblack/evening"
	"lampblack/play/journal"
)

// cuesOf are the cues in a journal, as a run that takes it up reads them.
func cuesOf(t *testing.T, name string) string {
	t.Helper()
	file, err := os.Open(name)
	if err != nil {
		return err.Error()
	}
	defer file.Close()
	var cues []string
	_ = evening.Read(file, "fair", func(e evening.Event) { cues = append(cues, e.Text) })
	return strings.Join(cues, " ")
}

func cueOf(text string) evening.Event {
	return evening.Event{ID: "a-" + text, Zone: "fair", Time: time.Date(2026, 3, 14, 20, 0, 0, 0, time.UTC), Kind: evening.Cue, Text: text}
}

// eventually waits for what a goroutine will come to.
func eventually(t *testing.T, what string, is func() bool) {
	t.Helper()
	for start := time.Now(); !is(); time.Sleep(10 * time.Millisecond) {
		if time.Since(start) > 30*time.Second {
			t.Fatalf("not within 30 s: %s", what)
		}
	}
}

// A folder that is deleted or moved under a run is made anew, with all of the last hour; a
// line that a run before left cut off spoils none; a path where nothing can be written is
// told, and the run goes on.
func TestJournalSurvivesItsFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "nights")
	name := filepath.Join(dir, "night.jsonl")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(`{"id":"x","zone":"fa`), 0o644); err != nil {
		t.Fatal(err)
	}
	j := journal.Open(journalFile(t.Context(), name))
	j.Add(cueOf("1"))
	j.Add(cueOf("2"))
	eventually(t, "two cues behind a cut line", func() bool { return cuesOf(t, name) == "1 2" })
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	j.Add(cueOf("3"))
	eventually(t, "all in a new folder", func() bool { return cuesOf(t, name) == "1 2 3" })
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(dir, nil, 0o644); err != nil { // nothing can be written below a file
		t.Fatal(err)
	}
	j.Add(cueOf("4"))
	eventually(t, "told", func() bool { return len(unwritten(j)) == 1 })
	if w := unwritten(j)[0]; !strings.Contains(w.Text, "the show goes on") || w.Hint == "" || w.Since.IsZero() {
		t.Errorf("%+v", w)
	}
	if err := os.Remove(dir); err != nil {
		t.Fatal(err)
	}
	eventually(t, "written when it can be", func() bool { return cuesOf(t, name) == "1 2 3 4" && len(unwritten(j)) == 0 })
	if err := j.Close(); err != nil {
		t.Error(err)
	}
}
