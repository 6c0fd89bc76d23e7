package main

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"time"

	"lampblack/evening"
)

// disk is a file on a disk of so many bytes.
type disk struct {
	bytes.Buffer
	room int
}

var errFull = errors.New("no space left on device")

func (d *disk) Write(b []byte) (int, error) {
	n := min(len(b), d.room-d.Len())
	d.Buffer.Write(b[:n])
	if n < len(b) {
		return n, errFull
	}
	return n, nil
}

// A journal that cannot be written is told with the event that it lacks, once,
// and not only at the end; when there is room again it goes on, and what was
// cut off in the middle of a line spoils no other.
func TestFullJournalIsTold(t *testing.T) {
	var told []string
	d := &disk{room: 150}
	j := &journal{w: d, tell: func(what, text string) { told = append(told, what+": "+text) }}
	event := func(cue string) {
		j.add(evening.Event{ID: "a-" + cue, Zone: "fair", Time: time.Date(2026, 3, 14, 20, 0, 0, 0, time.UTC), Kind: evening.Cue, Text: cue})
	}
	event("1")
	if len(told) != 0 {
		t.Fatalf("with room on the disk: %q", told)
	}
	event("2")
	if len(told) != 2 || !strings.Contains(told[0], "warning: write journal: no space left on device") || !strings.HasPrefix(told[1], "hint: make room") {
		t.Fatalf("of a full disk is told: %q", told)
	}
	event("3")
	d.room = 1000
	event("4")
	if len(told) != 2 || !errors.Is(j.failed, errFull) {
		t.Errorf("told are %q, and at the end %v", told, j.failed)
	}
	var cues []string
	err := evening.Read(&d.Buffer, "fair", func(e evening.Event) { cues = append(cues, e.Text) })
	if strings.Join(cues, " ") != "1 4" || err == nil {
		t.Errorf("the journal holds cues %q: %v", cues, err)
	}
}
