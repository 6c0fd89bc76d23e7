package finding

import (
	"fmt"
	"time"

	"lampblack/source"
)

// Severity says what a finding does: a stop holds a run until a person has
// signed for it, a warn is worth acting on, a note is worth knowing.
type Severity string

// The three severities.
const (
	Stop Severity = "stop"
	Warn Severity = "warn"
	Note Severity = "note"
)

// Word is the severity as a noun: "warning" for a warn.
func (s Severity) Word() string {
	if s == Warn {
		return "warning"
	}
	return string(s)
}

// Rank orders severities, the gravest highest; nothing is 0.
func (s Severity) Rank() int {
	switch s {
	case Stop:
		return 3
	case Warn:
		return 2
	case Note:
		return 1
	}
	return 0
}

// Finding is one check's result. ID and the JSON names are promises; several findings
// of one ID are told apart by Place. A finding is a value: those who complete it (At,
// During, As) return another.
type Finding struct {
	ID       string   `json:"id"`
	Severity Severity `json:"severity"`
	Text     string   `json:"text"`
	Value    float64  `json:"value"` // what was measured, the bad end of its interval
	Limit    float64  `json:"limit"`
	Unit     string   `json:"unit"`
	From     float64  `json:"from"` // seconds on the show's line
	To       float64  `json:"to"`
	Place    string   `json:"place"`  // unit, surface, seat, cue or line
	Source   string   `json:"source"` // document and clause, or "common practice"

	Measured string `json:"measured,omitempty"` // value, interval and limit in words, set by Run

	Margin  float64  `json:"margin,omitempty"` // share of the limit that is left, negative when it is passed
	Low     float64  `json:"low,omitempty"`    // the interval of the value, when it has one
	High    float64  `json:"high,omitempty"`
	Units   []string `json:"units,omitempty"`
	Cues    []string `json:"cues,omitempty"`
	Assumed string   `json:"assumed,omitempty"` // what was taken for granted
	Hint    string   `json:"hint,omitempty"`    // the smallest change that helps
	File    string   `json:"file,omitempty"`
	Line    int      `json:"line,omitempty"`
	Column  int      `json:"column,omitempty"`
	Signed  string   `json:"signed,omitempty"` // person and date of a signature that holds
	Lacks   []Lack   `json:"lacks,omitempty"`  // of NotJudged: what nobody said
	Light   string   `json:"light,omitempty"`  // of a stop or a warning: sum of the cues and looks in its span, to which a signature is bound

	Says Words `json:"-"` // Text in its parts; families fill these, and Text is made of them
	Cure Words `json:"-"` // Hint in its parts

	about string // what findings of its identifier are about, in a sentence
	more  int    // how many of the kind the text leaves out behind this one
}

// aboutFiles is what a fault of the files is about; its identifier is "file".
const aboutFiles = "something is wrong with a file of the show"

// FromFaults turns what is wrong with the files into findings. A fault that does not
// keep the show from being read (a mild one) is a note.
func FromFaults(faults source.Faults) []Finding {
	out := make([]Finding, 0, len(faults))
	for _, f := range faults {
		severity := Stop
		if f.Mild {
			severity = Note
		}
		out = append(out, Finding{ID: "file", Severity: severity, Text: f.Text, Hint: f.Hint,
			Place: f.Pos.String(), Source: "the form of a show's files", about: aboutFiles}.At(f.Pos))
	}
	return out
}

// Stops returns the stops that nobody has signed for.
func Stops(list []Finding) []Finding {
	var out []Finding
	for _, f := range list {
		if f.Severity == Stop && f.Signed == "" {
			out = append(out, f)
		}
	}
	return out
}

// At ties the finding to a place in the files.
func (f Finding) At(p source.Pos) Finding {
	f.File, f.Line, f.Column = p.File, p.Line, p.Column
	return f
}

// During gives the finding its span on the show's line.
func (f Finding) During(from, to time.Duration) Finding {
	f.From, f.To = from.Seconds(), to.Seconds()
	return f
}

// Key tells findings apart.
func (f Finding) Key() string { return fmt.Sprintf("%s at %s", f.ID, f.Place) }

// As makes a finding of its own from one that holds what several share.
func (f Finding) As(id string, s Severity, format string, args ...any) Finding {
	f.ID, f.Severity, f.Says = id, s, Say(format, args...)
	return f
}

// say makes text of what the finding says, where it is still in parts.
func (f *Finding) say() {
	if f.Says.Form != "" {
		f.Text = f.Says.String()
	}
	if f.Cure.Form != "" {
		f.Hint = f.Cure.String()
	}
}

// Thing writes what sort of thing a finding is about, and its name: the form of
// a Place.
func Thing(kind, name string) string { return kind + " " + name }
