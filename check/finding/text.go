package finding

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"lampblack/si"
)

// WriteText writes the findings for a person, wrapped to width characters (80 when it
// is 0), with ANSI colours when asked for: first what must be done before anyone comes
// (stops and warnings), then what is good to know. Findings that differ in their place
// alone are told as one. Errors of writing are not told: it writes to a terminal, or to
// a buffer.
func WriteText(w io.Writer, list []Finding, width int, colour bool) {
	if width <= 0 {
		width = 80
	}
	p := printer{w: w, width: max(width, 40), colour: colour}
	p.chapter("DO THIS BEFORE ANYONE COMES", list, Finding.Todo)
	p.chapter("KNOW THIS", list, func(f Finding) bool { return !f.Todo() && f.ID != NotJudged })
	p.line(summary(slices.DeleteFunc(slices.Clone(list), func(f Finding) bool { return f.ID == NotJudged })))
	for i := range list {
		if f := &list[i]; f.ID == NotJudged {
			p.line("")
			p.text("", strings.Join([]string{Sentence(f.Text), Sentence(f.Assumed)}, " "))
			p.text("", Sentence(f.Hint))
		}
	}
}

// Todo tells whether there is something to do about a finding.
func (f Finding) Todo() bool { return f.Severity != Note }

func (p *printer) chapter(title string, list []Finding, in func(Finding) bool) {
	first := true
	for _, group := range grouped(shortened(list)) {
		if !in(group[0]) {
			continue
		}
		if first {
			p.line(title)
			p.line("")
			first = false
		}
		p.group(group)
		p.line("")
	}
}

// mostPrinted is how many findings of one kind and severity the text tells
// before it only counts them; the other forms have them all.
const mostPrinted = 12

// shortened leaves the first of each kind and severity, and counts the rest
// behind the last of them. Faults of files are all told: each is another.
func shortened(list []Finding) []Finding {
	type kind struct {
		id       string
		severity Severity
	}
	last, told := map[kind]int{}, map[kind]int{} // index in out, number told
	var out []Finding
	for _, f := range list {
		k := kind{f.ID, f.Severity}
		if f.ID == "file" || told[k] < mostPrinted && f.Place != andMore {
			told[k]++
			last[k] = len(out)
			out = append(out, f)
			continue
		}
		if i, ok := last[k]; ok {
			out[i].more += f.count()
		} else {
			out = append(out, f)
		}
	}
	return out
}

// count is how many findings a finding stands for.
func (f *Finding) count() int {
	if f.Place == andMore {
		return int(f.Value)
	}
	return 1
}

// grouped puts findings together that say one thing of several places.
func grouped(list []Finding) [][]Finding {
	var out [][]Finding
	for _, f := range list {
		k := len(out) - 1
		if k >= 0 && alike(&out[k][0], &f) {
			out[k] = append(out[k], f)
			continue
		}
		out = append(out, []Finding{f})
	}
	return out
}

// alike tells whether one text would do for both: values, cues and times may differ;
// what a person would do about them may not.
func alike(a, b *Finding) bool {
	return a.ID == b.ID && a.ID != "file" && a.Severity == b.Severity && a.Source == b.Source && a.Assumed == b.Assumed && a.Signed == b.Signed && a.Hint == b.Hint
}

// summary counts the findings: "2 stops, 1 of them signed; 3 warnings; 1 note".
func summary(list []Finding) string {
	count := map[Severity]int{}
	signed := 0
	for _, f := range list {
		count[f.Severity] += f.count()
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
		text := si.Count(count[s], s.Word(), s.Word()+"s")
		if s == Stop && signed > 0 {
			text += fmt.Sprintf(", %d of them signed", signed)
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "; ")
}

// printer wraps lines.
type printer struct {
	w      io.Writer
	width  int
	colour bool
}

const indent = "      "

func (p *printer) line(s string) { fmt.Fprintln(p.w, s) }

// group prints findings that differ in their place alone: what is true of each, and
// then once what is true of all. Neighbours only are grouped, and findings are sorted
// by identifier and time, so what is grouped has nothing between it.
func (p *printer) group(list []Finding) {
	f := &list[0]
	if len(list) == 1 {
		head := f.ID
		if f.Place != "" {
			head += ", " + f.Place
		}
		if f.To > 0 {
			head += ", " + f.span()
		}
		p.line(p.mark(f) + head)
		p.one(f)
	} else {
		p.line(p.mark(f) + fmt.Sprintf("%s, %d places", f.ID, len(list)))
		for i := range list {
			if list[i].To > 0 {
				p.wrap(fmt.Sprintf("%s, %s", list[i].Place, list[i].span()))
			}
			p.one(&list[i])
		}
	}
	p.labelled("assumed", f.Assumed)
	p.labelled("try", f.Hint)
	p.labelled("by", f.Source)
	p.labelled("signed", f.Signed)
	if more := list[len(list)-1].more; more > 0 {
		p.wrap(fmt.Sprintf("... and %d more of this kind; --json lists a hundred of a kind", more))
	}
}

// one prints what is a finding's own.
func (p *printer) one(f *Finding) {
	p.wrap(Sentence(f.Text))
	if m := f.InWords(); m != "" {
		p.wrap(upper(m))
	}
	if Thing("unit", Names(f.Units)) != f.Place {
		p.labelled("units", Names(f.Units))
	}
	if Thing("cue", Names(f.Cues)) != f.Place {
		p.labelled("cues", Names(f.Cues))
	}
	if pos := f.pos(); f.ID != "file" {
		p.labelled("in", pos)
	}
}

// pos is where in the files the finding is, "" where that is nowhere.
func (f *Finding) pos() string {
	if f.Line == 0 {
		return f.File
	}
	return fmt.Sprintf("%s line %d", f.File, f.Line)
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

// InWords is the value, its interval and its limit in words, and how they
// compare: "1 kJ/m² (260 J/m² to 1 kJ/m²); limit 10 kJ/m²; 10 % of it". It is empty
// where nothing was measured. A figure that the sentence has told is not told again. Value and limit
// are rounded together, so that two that differ never print as equal.
func (f *Finding) InWords() string {
	if f.Unit == "" || f.Value == 0 && f.Limit == 0 {
		return ""
	}
	value, limit := si.SayBoth(f.Value, f.Limit, f.Unit)
	s := value
	if f.Limit != 0 && f.High <= f.Low && strings.Contains(f.Text, value) {
		s = "" // the sentence has said it
	}
	if f.High > f.Low {
		s += fmt.Sprintf(" (%s to %s)", si.Say(f.Low, f.Unit), si.Say(f.High, f.Unit))
	}
	switch {
	case f.Limit == 0 && strings.Contains(f.Text, s):
		return "" // the sentence says it all
	case f.Limit == 0:
		return s
	case f.atLeast():
		s += "; at least " + limit + " wanted" + f.compared()
	default:
		s += "; limit " + limit + f.compared()
	}
	return strings.TrimPrefix(s, "; ")
}

// atLeast tells whether more is better. Nothing says so outright, so it follows from
// the margin: a value under its limit with a negative margin can only be too little.
func (f *Finding) atLeast() bool {
	return f.Margin < 0 && f.Value < f.Limit || f.Margin > 0 && f.Value > f.Limit
}

// compared says how far beyond its limit a value is, or how near to it. Up to twice,
// percent; from there on, times: "130 % over" is read as 30 % by somebody.
func (f *Finding) compared() string {
	share := f.Value / f.Limit
	switch {
	case f.Margin == 0 || f.Limit < 0 || share <= 0:
		return ""
	case f.Margin < 0 && share >= 2:
		return fmt.Sprintf("; %s times the limit", si.Say(share, ""))
	case f.Margin < 0 && share > 1:
		return fmt.Sprintf("; %s over the limit", percent(share-1))
	case f.atLeast() && share >= 2:
		return fmt.Sprintf("; %s times as much", si.Say(share, ""))
	}
	return fmt.Sprintf("; %s of it", percent(share))
}

func percent(share float64) string {
	if share < .01 {
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

// Sentence begins with a capital and ends with a full stop.
func Sentence(s string) string {
	if s == "" {
		return s
	}
	return upper(s) + "."
}

func upper(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(string(r)) + s[n:]
}

func (p *printer) labelled(label, text string) {
	if text != "" {
		p.wrap(label + ": " + text)
	}
}

// wrap prints text indented.
func (p *printer) wrap(text string) { p.text(indent, text) }

// text prints text in lines of the printer's width, after an indent. A word longer than
// the width has a line of its own and sticks out.
func (p *printer) text(indent, text string) {
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

// Cell keeps text inside one cell of a Markdown table.
func Cell(s string) string { return strings.NewReplacer("|", "/", "\n", " ").Replace(s) }
