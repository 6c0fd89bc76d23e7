package web

import (
	"bytes"
	"encoding/binary"
	"strings"
	"testing"

	"lampblack/check/finding"
)

// What a page gives out for other machines: a Standard MIDI File (its header by the MIDI Association's RP-001: MThd,
// a length of 6, format 0), a table with a row for each cue, an archive. Nothing is given out while a stop stands
// that nobody answers for.
func TestGiven(t *testing.T) {
	s, err := New(Options{Gate: ownGate(), Show: openHall(t, 1)})
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range givens {
		r := ask(t, s, "GET", "localhost", "/given/"+g.File, nil)
		data := r.Body.Bytes()
		if r.Code != 200 || !strings.Contains(r.Header().Get("Content-Disposition"), g.File) {
			t.Fatalf("%s answers %d %s", g.File, r.Code, data)
		}
		switch {
		case strings.HasSuffix(g.File, ".mid") && (!bytes.HasPrefix(data, []byte("MThd\x00\x00\x00\x06\x00\x00")) || binary.BigEndian.Uint16(data[10:]) != 1):
			t.Errorf("%s begins with %x", g.File, data[:14])
		case strings.HasSuffix(g.File, ".csv") && bytes.Count(data, []byte("\n")) != 1+len(openHall(t, 1).Cues):
			t.Errorf("the table has %d lines", bytes.Count(data, []byte("\n")))
		case strings.HasSuffix(g.File, ".mvr") && !bytes.HasPrefix(data, []byte("PK")):
			t.Errorf("the scene begins with %x", data[:4])
		}
	}
	if r := ask(t, s, "GET", "localhost", "/given/cues.midi", nil); r.Code != 404 || !strings.Contains(r.Body.String(), `did you mean "cues.mid"`) {
		t.Errorf("a file that there is not: %d %s", r.Code, r.Body)
	}
	s.Replace(openHall(t, 1), []finding.Finding{{ID: "uv-dose", Severity: finding.Stop, Text: "too much", Place: "seat a"}})
	if r := ask(t, s, "GET", "localhost", "/given/cues.mid", nil); r.Code != 409 || !strings.Contains(r.Body.String(), "1 finding stops this show") {
		t.Errorf("with a stop: %d %s", r.Code, r.Body)
	}
}
