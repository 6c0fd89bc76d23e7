package papers

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
	"lampblack/source"
)

// papered writes every paper that is made of findings alone.
func papered(s *show.Show, list []finding.Finding) map[string]string {
	out := map[string]string{}
	for name, write := range map[string]func(*strings.Builder){
		"sign":         func(b *strings.Builder) { Sign(b, s, list) },
		"announcement": func(b *strings.Builder) { Announcement(b, s, list) },
		"assessment":   func(b *strings.Builder) { Assessment(b, s, list) },
	} {
		var b strings.Builder
		write(&b)
		out[name] = b.String()
	}
	return out
}

// Whatever check finds of any kind, the assessment tells: in one row of the
// table, as grave as it is, and in the list of things to do, with its cure.
func TestAssessmentTellsEveryKind(t *testing.T) {
	walk := &show.Show{Rig: &rig.Rig{}, Room: &room.Room{Paths: source.Named[room.Path]{{Name: "wood"}}}}
	walk.Bill.Title = "A dark walk"
	for _, id := range check.Identifiers() {
		for _, severity := range []finding.Severity{finding.Stop, finding.Warn, finding.Note} {
			f := finding.Finding{ID: id, Severity: severity, Text: "the thing about " + id, Place: "somewhere", Hint: "mend " + id, Source: "common practice", Value: 5, Limit: 3, Unit: "lx", Margin: -2. / 3}
			paper := papered(walk, []finding.Finding{f})["assessment"]
			table, todo, _ := strings.Cut(paper, "## To do before anyone comes")
			if n := strings.Count(table, f.Text); n != 1 {
				t.Errorf("%s %s stands in %d rows of the table", severity, id, n)
			}
			if !strings.Contains(table, f.Text) {
				continue
			}
			row := table[strings.LastIndex(table[:strings.Index(table, f.Text)+1], "\n"):]
			row = row[:strings.Index(row[1:], "\n")+1]
			grave := severity != finding.Note
			if strings.Contains(row, "nothing to act on") == grave {
				t.Errorf("%s %s: %s", severity, id, row)
			}
			if grave && (!strings.Contains(row, severity.Word()) || !strings.Contains(todo, "- [ ] The thing about "+id) || !strings.Contains(todo, f.Hint)) {
				t.Errorf("%s %s is not to be done:\n%s%s", severity, id, row, todo)
			}
			if !grave && !strings.Contains(todo, "## What else was computed\n\n- The thing about "+id) {
				t.Errorf("a note of %s is not told in full: %s", id, todo)
			}
			if !grave && !strings.Contains(todo, "Nothing of what was computed") {
				t.Errorf("a note of %s leaves something to do: %s", id, todo)
			}
		}
	}
}

// On a dark walk the papers speak of visitors, and of the dark on their way.
func TestPapersOfAWalk(t *testing.T) {
	walk := &show.Show{Rig: &rig.Rig{}, Room: &room.Room{Paths: source.Named[room.Path]{{Name: "wood"}}}}
	list := []finding.Finding{
		{ID: "path-dark", Severity: finding.Warn, Place: "path wood", Text: "path wood has 0.02 lx", Value: .02, Limit: 2.1, Unit: "lx", Margin: -.99},
		{ID: "alarm-input", Severity: finding.Warn, Place: "show.yaml", Text: "no alarm is connected"},
	}
	p := papered(walk, list)
	for paper, wants := range map[string][]string{
		"sign":         {"dark ways"},
		"announcement": {"very dark"},
		"assessment":   {"visitors", "no alarm is connected", "path wood has 0.02 lx", "at least 2.1 lx wanted"},
	} {
		for _, want := range wants {
			if !strings.Contains(p[paper], want) {
				t.Errorf("the %s lacks %q:\n%s", paper, want, p[paper])
			}
		}
	}
	for paper, text := range p {
		if strings.Contains(text, "nothing found") || strings.Contains(text, "passed") {
			t.Errorf("the %s reads as if all were well:\n%s", paper, text)
		}
	}
}

// A signed stop is told as a broken limit with its signature, not as a thing
// to do; a hundred findings fill a list, not a cell.
func TestAssessmentSigned(t *testing.T) {
	s := &show.Show{Rig: &rig.Rig{}, Room: &room.Room{}}
	list := []finding.Finding{{ID: "flash-rate", Severity: finding.Stop, Place: "seat a", Text: "seat a sees 4 flashes", Signed: "A. Keeper, 2026-03-14: agreed"}}
	for i := range 60 {
		list = append(list, finding.Finding{ID: "cue-off", Severity: finding.Warn, Place: fmt.Sprint("cue ", i), Text: fmt.Sprintf("cue %d is off", i)})
	}
	paper := papered(s, list)["assessment"]
	_, signed, ok := strings.Cut(paper, "## Limits that are broken, and who signed for it")
	if !ok || !strings.Contains(signed, "Seat a sees 4 flashes.") || !strings.Contains(signed, "Signed: A. Keeper") {
		t.Errorf("the signature is missing:\n%s", paper)
	}
	if !strings.Contains(paper, "and 54 more") || strings.Count(paper, "- [ ] ") != 60 {
		t.Errorf("%d things to do:\n%s", strings.Count(paper, "- [ ] "), paper)
	}
}

// The sign and the announcement speak of flashing from two in a second on: one
// accent is none.
func TestFlashingIsAnnounced(t *testing.T) {
	s := &show.Show{Room: &room.Room{}}
	for value, want := range map[float64]bool{1: false, 2: true, 3: true} {
		for _, id := range []string{"flash-rate", "flash-red", "flash-union"} {
			var sign strings.Builder
			Sign(&sign, s, []finding.Finding{{ID: id, Severity: finding.Note, Place: "seat a", Value: value}})
			if got := strings.Contains(sign.String(), "**flashing light**"); got != want {
				t.Errorf("%v of %s: announced %v", value, id, got)
			}
		}
	}
}

// The assessment says what an alarm comes by, with a line to tick for each day's trial, and in
// every show what must not hang on this program.
func TestAssessmentTellsOfTheAlarm(t *testing.T) {
	for text, want := range map[string]string{
		"":                   "This program hears of no alarm",
		"alarm input: yes\n": "It acts outside this program",
		"alarm inputs: {stage door: {source: pins /dev/ttyUSB0 carrier normally closed, lost: alarm}}\n": "- [ ] stage door (the pin carrier of /dev/ttyUSB0, normally closed; its loss is an alarm): tried on",
	} {
		f, _ := show.Read(fstest.MapFS{"show.yaml": &fstest.MapFile{Data: []byte("title: a walk\n" + text)}})
		s := &show.Show{Bill: f.Bill, Rig: &rig.Rig{}, Room: &room.Room{}}
		if paper := papered(s, nil)["assessment"]; !strings.Contains(paper, want) || !strings.Contains(paper, Independent) {
			t.Errorf("%q: want %q in\n%s", text, want, paper)
		}
	}
}
