package line

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lampblack/source"
)

// Fault is one thing wrong with a line.
type Fault struct {
	Column int    // of the first character of the word, from 1
	Word   string // "" when one is missing
	Text   string
	Hint   string // what to write instead, or ""
}

func (f *Fault) Error() string {
	s := fmt.Sprintf("column %d: %s", f.Column, f.Text)
	if f.Hint != "" {
		s += " (" + f.Hint + ")"
	}
	return s
}

// word is a piece of the line and where it begins.
type word struct {
	text   string
	column int
}

// split cuts a line at spaces outside double quotes. A quote that is not closed reaches
// to the end of the line. There are no escapes: no path that a person writes has a
// double quote in it.
func split(line string) []word {
	var words []word
	for i := 0; i < len(line); {
		if line[i] == ' ' || line[i] == '\t' {
			i++
			continue
		}
		start := i
		if line[i] == '"' {
			end := strings.IndexByte(line[i+1:], '"')
			if end < 0 {
				end = len(line) - i - 1
			}
			words = append(words, word{line[i+1 : i+1+end], start + 1})
			i = min(i+end+2, len(line))
			continue
		}
		for i < len(line) && line[i] != ' ' && line[i] != '\t' {
			i++
		}
		words = append(words, word{line[start:i], start + 1})
	}
	return words
}

// reader takes a line apart word by word. It goes on after a fault, so that a person
// sees all of them at once. words are those not yet taken; seen are the options so far.
type reader struct {
	words  []word
	end    int // column after the last character
	seen   []string
	faults []error
}

func newReader(line string) reader { return reader{words: split(line), end: len(line) + 1} }

// err joins the faults in the order of their columns, nil for none.
func (r *reader) err(what, line string) error {
	slices.SortStableFunc(r.faults, func(a, b error) int { return cmp.Compare(a.(*Fault).Column, b.(*Fault).Column) })
	if err := errors.Join(r.faults...); err != nil {
		return fmt.Errorf("%s %q: %w", what, line, err)
	}
	return nil
}

// fault notes what is wrong with a word. The column is that of the word's first
// character, its quote included.
func (r *reader) fault(w word, hint, format string, args ...any) {
	r.faults = append(r.faults, &Fault{Column: w.column, Word: w.text, Text: fmt.Sprintf(format, args...), Hint: hint})
}

// take returns the next word, or a fault that names what is missing.
func (r *reader) take(what string) word {
	if len(r.words) == 0 {
		r.fault(word{"", r.end}, "", "got the end of the line, want %s", what)
		return word{"", r.end}
	}
	w := r.words[0]
	r.words = r.words[1:]
	if w.text == "" {
		r.fault(w, "", "got nothing between quotes, want %s", what)
	}
	return w
}

// kind reads the first word, one of names.
func (r *reader) kind(what string, names []string) (kind word, ok bool) {
	w := r.take(what)
	if w.text != "" && !slices.Contains(names, w.text) {
		r.fault(w, source.Suggest(w.text, names), "got kind %q, want %s", w.text, list(names))
		return w, false
	}
	return w, w.text != ""
}

// option takes the next word as an option that such lines know, each once. An option
// that comes twice is read again, so that what is wrong with its second value is told
// too.
func (r *reader) option(kind string, known []string) (name word, ok bool) {
	w := r.words[0]
	r.words = r.words[1:]
	switch {
	case !slices.Contains(known, w.text):
		r.fault(w, source.Suggest(w.text, known), "got %q, which %s does not know: it takes %s", w.text, kind, list(known))
		return w, false
	case slices.Contains(r.seen, w.text):
		r.fault(w, "", "got %q twice", w.text)
	}
	r.seen = append(r.seen, w.text)
	return w, true
}

// number reads a whole number. After a fault it returns the least, which is
// never used.
func (r *reader) number(w word, from, to int) int {
	v, err := strconv.Atoi(w.text)
	if w.text != "" && (err != nil || v < from || v > to) {
		r.fault(w, "", "got %q, want a number from %d to %d", w.text, from, to)
		return from
	}
	return v
}

// oneOf wants one of a few words.
func (r *reader) oneOf(w word, known []string) string {
	if w.text != "" && !slices.Contains(known, w.text) {
		r.fault(w, source.Suggest(w.text, known), "got %q, want %s", w.text, list(known))
	}
	return w.text
}

// oscAddress reads an OSC address without the characters of patterns (OSC 1.0, "OSC
// Address Spaces"), which would name several.
func (r *reader) oscAddress(w word) string {
	bad := func(c rune) bool { return c <= ' ' || c > '~' || strings.ContainsRune("#*,?[]{}", c) }
	if w.text != "" && (w.text[0] != '/' || strings.ContainsFunc(w.text, bad)) {
		r.fault(w, "", "got %q, want an OSC address, as /door: plain letters and digits after a /", w.text)
	}
	return w.text
}

// list joins words as a person would: "a, b or c".
func list(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
