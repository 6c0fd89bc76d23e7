package check

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/show"
	"lampblack/source"
)

func value(v float64) *float64 { return &v }

func TestSignatures(t *testing.T) {
	high := finding.Finding{ID: "flash-union", Severity: finding.Stop, Place: "all units", Value: 6, Limit: 4, Unit: "flashes in a second"}
	low := finding.Finding{ID: "alarm-input", Severity: finding.Stop, Place: "show.yaml", Value: .4, Limit: 1, Unit: "inputs"}
	for _, c := range []struct {
		name    string
		finding finding.Finding
		sign    show.Signature
		holds   bool
		says    string
	}{
		{"holds", high, show.Signature{Finding: "flash-union", Place: "all units", Value: value(6)}, true, ""},
		{"holds, rounded by hand", high, show.Signature{Finding: "flash-union", Place: "all units", Value: value(5.99)}, true, ""},
		{"holds when it got better", high, show.Signature{Finding: "flash-union", Place: "all units", Value: value(9)}, true, ""},
		{"is blank", high, show.Signature{Finding: "flash-union", Place: "all units", Value: value(1000)}, false, "whatever becomes of it"},
		{"lapses when it got worse", high, show.Signature{Finding: "flash-union", Place: "all units", Value: value(5)}, false, "lapsed"},
		{"gives no value", high, show.Signature{Finding: "flash-union", Place: "all units"}, false, "no value"},
		{"another place", high, show.Signature{Finding: "flash-union", Place: "seat 1", Value: value(6)}, false, "names no finding"},
		{"no such finding", high, show.Signature{Finding: "flash-onion", Place: "all units", Value: value(6)}, false, "no finding is called"},
		{"low is bad: holds", low, show.Signature{Finding: "alarm-input", Place: "show.yaml", Value: value(.4)}, true, ""},
		{"low is bad: lapses", low, show.Signature{Finding: "alarm-input", Place: "show.yaml", Value: value(.8)}, false, "lapsed"},
	} {
		c.sign.Person, c.sign.Date, c.sign.Reason = "A. Keeper", "2026-03-14", "agreed with the school"
		s := &show.Show{Bill: show.Bill{Signed: []show.Signature{c.sign}}}
		r := &subject.Run{Subject: subject.Of(s), Show: s, Report: finding.NewReport(tells)}
		r.Add(c.finding)
		sign(r, time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC))
		list := r.Bound()
		if holds := len(finding.Stops(list)) == 0; holds != c.holds {
			t.Errorf("%s: the stop is signed: %v, want %v", c.name, holds, c.holds)
		}
		said := ""
		for _, f := range list {
			if f.ID == "signature" {
				said += f.Text
			}
		}
		if c.says == "" != (said == "") || !strings.Contains(said, c.says) {
			t.Errorf("%s: says %q, want %q", c.name, said, c.says)
		}
	}
}

// What Signature writes is what show.yaml reads, and it holds.
func TestSignatureText(t *testing.T) {
	f := finding.Finding{ID: "uv-dose", Severity: finding.Stop, Place: "seat front: left", Value: 12345.678901234, Limit: 1e4, Unit: "J/m2"}
	day := time.Date(2026, 3, 14, 20, 0, 0, 0, time.UTC)
	text := "title: t\nsoundtrack: a.wav\nsigned:\n  - " + Signature(&f, "A. Keeper", `says "so"`, day) + "\n"
	var b show.Bill
	if faults := source.Decode("show.yaml", []byte(text), &b); faults.Err() != nil {
		t.Fatalf("%v\n%s", faults, text)
	}
	s := &show.Show{Bill: b}
	r := &subject.Run{Subject: subject.Of(s), Show: s, Report: finding.NewReport(tells)}
	r.Add(f)
	sign(r, time.Time{})
	if len(finding.Stops(r.Bound())) != 0 || r.Bound()[0].Signed != `A. Keeper, 2026-03-14: says "so"` {
		t.Errorf("%+v", r.Bound())
	}
}

// A signature is bound to the cues and looks in its span: it stays with them wherever they are moved to,
// covers none of what is added, and lapses when they change.
func TestSignatureOfLight(t *testing.T) {
	checktest.Coarse(t)
	const storm = "  storm: {system: all, emitters: {white: 50 %}, flash: 10 Hz}\n"
	texts := func(cues, sign string) fstest.MapFS {
		out := maps.Clone(small)
		out["fixtures/lamp.yaml"] = strings.Replace(out["fixtures/lamp.yaml"], "one slot: {1: {drives: white}}", "one slot: {1: {drives: white}, 2: {0-9: open, 10-255: flash 1 Hz to 20 Hz}}", 1)
		out["rig.yaml"] = strings.Replace(out["rig.yaml"], "mode: two slots, address: 11, universe: 2", "mode: one slot, address: 11, universe: 2", 1)
		out["score.yaml"] = "looks:\n  on: {system: all, emitters: {white: 50 %}}\n" + storm + "cues:\n  - {cue: 1, at: 0:00, look: on}\n" + cues
		out["show.yaml"] += sign
		return folderOf(out)
	}
	stops := func(dir fstest.MapFS) []finding.Finding {
		return slices.DeleteFunc(finding.Stops(findingsHeard(t, dir, nil)), func(f finding.Finding) bool { return f.ID != "flash-union" })
	}
	once := "  - {cue: 2, at: 0:10, look: storm}\n  - {cue: 3, at: 0:12, look: on}\n"
	first := stops(texts(once, ""))
	if len(first) != 1 || first[0].Light == "" {
		t.Fatalf("%+v", first)
	}
	sign := "signed:\n  - " + Signature(&first[0], "A. Keeper", "tried", time.Now()) + "\n"
	for name, c := range map[string]struct {
		cues string
		left int
	}{
		"as it was":          {once, 0},
		"moved":              {"  - {cue: 2, at: 0:31, look: storm}\n  - {cue: 3, at: 0:33, look: on}\n", 0},
		"another cue before": {"  - {cue: 1.5, at: 0:05, look: on, up: 1 s}\n" + once, 0},
		"the cue changed":    {strings.Replace(once, "look: storm}", "look: storm, up: 1 s}", 1), 1},
	} {
		if got := stops(texts(c.cues, sign)); len(got) != c.left {
			t.Errorf("%s: %+v", name, got)
		}
	}
	other := texts(once, sign)
	other["score.yaml"].Data = []byte(strings.Replace(string(other["score.yaml"].Data), "white: 50 %}, flash", "white: 60 %}, flash", 1))
	if got := stops(other); len(got) != 1 {
		t.Errorf("another look: %+v", got)
	}
}

// A signature of a day to come is told, and holds: the clock of the computer may be wrong.
func TestSignedOnADayToCome(t *testing.T) {
	for days, told := range map[int]bool{-400: false, 0: false, 1: false, 2: true, 9000: true} {
		today := time.Date(2026, 3, 14, 18, 0, 0, 0, time.UTC)
		s := &show.Show{Bill: show.Bill{Signed: []show.Signature{{Finding: "alarm-input", Place: "show.yaml", Value: value(.4), Person: "A. Keeper", Reason: "agreed",
			Date: show.Date(today.AddDate(0, 0, days).Format(time.DateOnly))}}}}
		r := &subject.Run{Subject: subject.Of(s), Show: s, Report: finding.NewReport(tells)}
		r.Add(finding.Finding{ID: "alarm-input", Severity: finding.Stop, Place: "show.yaml", Value: .4, Limit: 1})
		sign(r, today)
		list := r.Bound()
		if len(finding.Stops(list)) > 0 {
			t.Errorf("signed %d days from now: it stops", days)
		}
		if got := len(list) > 1; got != told {
			t.Errorf("signed %d days from now: told %v", days, got)
		}
	}
}
