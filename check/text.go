package check

import (
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"lampblack/si"
)

// WriteText writes the findings for a person, wrapped to width characters (80
// when it is 0), with ANSI colours when asked for.
func WriteText(w io.Writer, list []Finding, width int, colour bool) {
	if width <= 0 {
		width = 80
	}
	p := printer{w: w, width: max(width, 40), colour: colour}
	for i := range list {
		if i > 0 {
			p.line("")
		}
		p.finding(&list[i])
	}
	if len(list) > 0 {
		p.line("")
	}
	p.line(summary(list))
}

// summary counts the findings: "2 stops, 1 of them signed; 3 warns; 1 note".
func summary(list []Finding) string {
	count := map[Severity]int{}
	signed := 0
	for _, f := range list {
		count[f.Severity]++
		if f.Severity == Stop && f.Signed != "" {
			signed++
		}
	}
	if len(list) == 0 {
		return "no findings"
	}
	var parts []string
	for _, s := range []Severity{Stop, Warn, Note} {
		if count[s] == 0 {
			continue
		}
		text := plural(count[s], string(s), "s")
		if s == Stop && signed > 0 {
			text += fmt.Sprintf(", %d of them signed", signed)
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "; ")
}

func plural(n int, word, ending string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %s%s", n, word, ending)
}

// printer wraps lines.
type printer struct {
	w      io.Writer
	width  int
	colour bool
}

const indent = "      "

func (p *printer) line(s string) { fmt.Fprintln(p.w, s) }

func (p *printer) finding(f *Finding) {
	head := f.ID
	if f.Place != "" {
		head += ", " + f.Place
	}
	if f.To > 0 {
		head += ", " + f.span()
	}
	p.line(p.mark(f) + head)
	p.wrap(sentence(f.Text))
	if f.Unit != "" {
		p.wrap(f.measure())
	}
	p.labelled("units", strings.Join(f.Units, ", "))
	p.labelled("cues", strings.Join(f.Cues, ", "))
	p.labelled("assumed", f.Assumed)
	p.labelled("try", f.Hint)
	p.labelled("by", f.Source)
	p.labelled("signed", f.Signed)
}

// mark is the severity in five letters and a space, so that texts line up.
func (p *printer) mark(f *Finding) string {
	word := fmt.Sprintf("%-6s", f.Severity)
	if !p.colour {
		return word
	}
	code := map[Severity]string{Stop: "1;31", Warn: "33", Note: "2"}[f.Severity]
	return "\x1b[" + code + "m" + word + "\x1b[0m"
}

// span is the finding's time on the show's line.
func (f *Finding) span() string {
	from, to := clock(f.From), clock(f.To)
	if from == to {
		return from
	}
	return from + " to " + to
}

func clock(seconds float64) string {
	return si.FormatTime(time.Duration(seconds * float64(time.Second)))
}

// measure is value, interval and limit in words.
func (f *Finding) measure() string {
	s := number(f.Value) + " " + f.Unit
	if f.High > f.Low {
		s += fmt.Sprintf(" (%s to %s)", number(f.Low), number(f.High))
	}
	if f.Limit != 0 {
		s += "; limit " + number(f.Limit) + " " + f.Unit
	}
	if f.Margin != 0 {
		s += fmt.Sprintf("; margin %+.0f %%", 100*f.Margin)
	}
	return s
}

// number prints with three figures, and whole numbers whole.
func number(v float64) string {
	switch {
	case v == float64(int64(v)) && v < 1e6 && v > -1e6:
		return fmt.Sprintf("%d", int64(v))
	case v >= 1000 || v <= -1000:
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.3g", v)
}

func sentence(s string) string {
	if s == "" {
		return s
	}
	r, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(string(r)) + s[n:] + "."
}

func (p *printer) labelled(label, text string) {
	if text != "" {
		p.wrap(label + ": " + text)
	}
}

// wrap prints text in lines of the printer's width, indented.
func (p *printer) wrap(text string) {
	line := indent
	for _, word := range strings.Fields(text) {
		if line != indent && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > p.width {
			p.line(line)
			line = indent
		}
		if line != indent {
			line += " "
		}
		line += word
	}
	p.line(line)
}
