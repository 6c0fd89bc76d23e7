package sheet

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"strings"

	"lampblack/check/finding"
	"lampblack/check/papers"
	"lampblack/rig"
	"lampblack/sheet/typeset"
	"lampblack/si"
)

// summary is one page for who takes the show over.
func summary(_ context.Context, sub *Subject) ([]typeset.Block, error) {
	s := sub.Show
	facts := &typeset.Table{Columns: []typeset.Column{{Head: "", Bold: true}, {Head: "", Grow: true}}}
	fact := func(name, text string) {
		if text != "" {
			facts.Rows = append(facts.Rows, row(name, text))
		}
	}
	fact("Place", s.Bill.Place)
	for _, run := range sub.Runs {
		name := "Length"
		if run.Name != "" {
			name = run.Name
		}
		if run.Stands != "" {
			fact(name, run.Stands)
			continue
		}
		fact(name, fmt.Sprintf("%s, %s", clock(run.Show.InTrack(run.Show.Length)), si.Count(run.Show.CuesWritten(), "cue", "cues")))
	}
	fact("Looks", fmt.Sprint(len(s.Score.Looks)))
	fact("Soundtrack", s.Bill.Soundtrack.Name)
	fact("Lamps", unitsInWords(sub))
	fact("Data", dataInWords(sub))
	fact("Power", powerInWords(sub))
	fact("Sent by", outputsInWords(sub))
	fact("Checks", checksInWords(sub.Found))
	fact("Alarm", alarmInWords(sub))
	out := []typeset.Block{facts, &typeset.Heading{Text: "To start it"},
		tasks("Lamps on, circuit by circuit. Preshow list done.", "On the computer: `lampblack run` with the show's folder, or `lampblack open` with `--run` for the pages.", "No computer: the stopwatch sheet, and the fallback looks in a small desk."),
		&typeset.Heading{Text: "If anything is wrong"},
		tasks(strong("Lights up first")+" (key l in a run, or the button of the Night page), then think. House lights work without this computer.", "A lamp does not answer: take it out, its likes take its part.", "Telephone: lighting ______________  house ______________  first aid ______________"),
		boxed(papers.Independent)}
	return out, nil
}

func unitsInWords(s *Subject) string {
	var out []string
	r := s.Show.Rig
	for t, n := range countedTypes(r) {
		out = append(out, fmt.Sprintf("%d × %s", n, t.Name))
	}
	return si.Count(len(r.Units), "unit", "units") + ": " + few(out, 8)
}

// countedTypes goes through the types that a rig has units of, with how many.
func countedTypes(r *rig.Rig) iter.Seq2[*rig.Type, int] {
	return func(yield func(*rig.Type, int) bool) {
		for _, entry := range r.Types {
			n := 0
			for i := range r.Units {
				if r.Units[i].Type == entry.Value {
					n++
				}
			}
			if n > 0 && !yield(entry.Value, n) {
				return
			}
		}
	}
}

// few is the first of a list in words.
func few(list []string, most int) string {
	if n := len(list); n > most {
		return strings.Join(list[:most], ", ") + fmt.Sprintf(" and %d more", n-most)
	}
	return strings.Join(list, ", ")
}

func dataInWords(s *Subject) string {
	var out []string
	for _, u := range s.Show.Rig.Universes() {
		out = append(out, fmt.Sprintf("universe %d (%d slots used)", u, used(s.Show.Rig, u)))
	}
	return few(out, 6) + "; " + si.Count(len(s.Show.Rig.Lines), "data line", "data lines")
}

func powerInWords(s *Subject) string {
	r := s.Show.Rig
	watts := 0.0
	var out []string
	for _, entry := range r.Circuits {
		l := loadOf(r, entry.Name)
		out = append(out, strings.TrimSpace(fmt.Sprintf("%s %.1f A of %s", entry.Name, l.va/float64(entry.Value.Mains()), breaker(&entry.Value))))
	}
	for i := range r.Units {
		watts += watt(&r.Units[i])
	}
	return strings.TrimSuffix(whole(watts)+" W in all: "+few(out, 6), ": ")
}

func outputsInWords(s *Subject) string {
	var out []string
	for _, o := range s.Show.Bill.Outputs {
		out = append(out, o.Spec())
	}
	return few(out, 4)
}

// checksInWords counts what the checks found: nothing is called safe.
func checksInWords(found []finding.Finding) string {
	n := map[finding.Severity]int{}
	signed := 0
	for i := range found {
		if found[i].Signed != "" {
			signed++
			continue
		}
		n[found[i].Severity]++
	}
	text := fmt.Sprintf("%s, %s, %s", si.Count(n[finding.Stop], "stop", "stops"), si.Count(n[finding.Warn], "warning", "warnings"), si.Count(n[finding.Note], "note", "notes"))
	if signed > 0 {
		text += fmt.Sprintf(", %d signed for", signed)
	}
	if slices.ContainsFunc(found, func(f finding.Finding) bool { return f.ID == finding.NotJudged }) {
		text += "; not all could be judged"
	}
	return text + ". The risk assessment has them; a computation makes nothing safe."
}

func alarmInWords(s *Subject) string {
	switch b := &s.Show.Bill; {
	case len(b.Alarms) > 0:
		return "an input of this program, which brings the lights up; it is no fire alarm"
	case b.Alarm != nil && *b.Alarm:
		return "acts outside this program, on light and sound themselves"
	}
	return "this program hears of no alarm: who ends the dark and the sound? ______________________"
}
