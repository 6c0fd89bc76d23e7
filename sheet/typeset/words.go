package typeset

import (
	"strings"
	"unicode/utf8"

	"lampblack/plate/drawing"
)

// run is letters of one weight on one line.
type run struct {
	words string
	bold  bool
}

// line is runs, one after another.
type line []run

func (l line) wide(size float64) float64 {
	sum := 0.0
	for _, r := range l {
		sum += drawing.Wide(r.words, size, r.bold)
	}
	return sum
}

func (l line) String() string {
	var b strings.Builder
	for _, r := range l {
		b.WriteString(r.words)
	}
	return b.String()
}

// mark stands before and behind bold letters: a private letter of Unicode, which no name has.
const mark = "\ue000"

// Strong is a text in bold letters.
func Strong(text string) string { return mark + text + mark }

// runs takes a text apart at its marks; an odd one is left out.
func runs(text string, bold bool) []run {
	text = quoted(text)
	parts := strings.Split(text, mark)
	if len(parts)%2 == 0 {
		return []run{{strings.ReplaceAll(text, mark, ""), bold}}
	}
	var out []run
	for i, p := range parts {
		if p != "" {
			out = append(out, run{p, bold || i%2 == 1})
		}
	}
	return out
}

// quoted puts what stands between two ticks, which Markdown has for names of commands, between quotation
// marks.
func quoted(text string) string {
	parts := strings.Split(text, "`")
	if len(parts) < 3 || len(parts)%2 == 0 {
		return text
	}
	var b strings.Builder
	for i, p := range parts {
		if i > 0 {
			b.WriteString([]string{"”", "“"}[i%2])
		}
		b.WriteString(p)
	}
	return b.String()
}

// wrap breaks a text into lines that are so wide at most. A word that is wider by itself is
// broken where it must be, so that no line is wider than that.
func wrap(text string, width, size float64, bold bool) []line {
	var out []line
	for paragraph := range strings.SplitSeq(text, "\n") {
		w := wrapper{width: width, size: size}
		for _, r := range runs(paragraph, bold) {
			w.run(r)
		}
		out = append(out, append(w.done, w.line)...)
	}
	return out
}

// wrapper fills lines.
type wrapper struct {
	width, size float64
	done        []line
	line        line
	at          float64 // how wide line is
	space       bool    // a blank is due before the next word
}

func (w *wrapper) run(r run) {
	for i, word := range strings.Split(r.words, " ") {
		if i > 0 {
			w.space = len(w.line) > 0
		}
		if word != "" {
			w.word(word, r.bold)
		}
	}
}

func (w *wrapper) word(word string, bold bool) {
	blank := ""
	if w.space {
		blank, w.space = " ", false
	}
	wide := drawing.Wide(blank+word, w.size, bold)
	if w.at+wide <= w.width+1e-6 {
		w.put(blank+word, bold, wide)
		return
	}
	if blank != "" {
		w.next()
	}
	for word != "" {
		n, wide := w.fitting(word, bold)
		if n == 0 && len(w.line) > 0 {
			w.next()
			continue
		}
		if n == 0 { // not even one letter: it stands alone, however narrow the column
			_, first := utf8.DecodeRuneInString(word)
			n, wide = first, drawing.Wide(word[:first], w.size, bold)
		}
		w.put(word[:n], bold, wide)
		if word = word[n:]; word != "" {
			w.next()
		}
	}
}

// fitting is how many bytes of a word go into what is left of the line, and how wide they are.
func (w *wrapper) fitting(word string, bold bool) (n int, wide float64) {
	for i, r := range word {
		with := wide + drawing.Wide(string(r), w.size, bold)
		if w.at+with > w.width+1e-6 {
			return i, wide
		}
		wide = with
	}
	return len(word), wide
}

func (w *wrapper) put(words string, bold bool, wide float64) {
	if last := len(w.line) - 1; last >= 0 && w.line[last].bold == bold {
		w.line[last].words += words
	} else {
		w.line = append(w.line, run{words, bold})
	}
	w.at += wide
}

func (w *wrapper) next() {
	w.done = append(w.done, w.line)
	w.line, w.at, w.space = nil, 0, false
}

// clean makes text fit to be set: bytes that are no text, and marks that steer, become boxes;
// tabs become blanks.
func clean(text string) string {
	if !utf8.ValidString(text) {
		text = strings.ToValidUTF8(text, "□")
	}
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == ' ':
			return ' '
		case r != '\n' && r < ' ' || r == 0x7f:
			return '□'
		}
		return r
	}, text)
}

// plain is a text without its marks for bold letters.
func plain(text string) string {
	if !strings.ContainsAny(text, mark+"`") {
		return text
	}
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = line(runs(lines[i], false)).String()
	}
	return strings.Join(lines, "\n")
}
