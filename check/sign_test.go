package check

import (
	"strings"
	"testing"
	"time"

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
		sign(r)
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
	sign(r)
	if len(finding.Stops(r.Bound())) != 0 || r.Bound()[0].Signed != `A. Keeper, 2026-03-14: says "so"` {
		t.Errorf("%+v", r.Bound())
	}
}
