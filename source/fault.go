package source

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Pos is a place in a text file. Line and Column count from 1; columns count
// characters. The zero Pos is nowhere.
type Pos struct {
	File         string
	Line, Column int
}

// String prints file:line:column, as compilers do.
func (p Pos) String() string {
	file := Visible(p.File) // the names of fixture files are anybody's
	switch {
	case p.Line == 0:
		return file
	case p.Column == 0:
		return fmt.Sprintf("%s:%d", file, p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", file, p.Line, p.Column)
}

// Fault is one thing that is wrong with a file: what was found at Pos, and in
// Hint what to write instead.
type Fault struct {
	Pos
	Text string
	Hint string
	// Mild marks what is worth saying but does no harm.
	Mild bool

	kind string // the format of Text, which faults of one kind share
	more int    // of the kind that are left out, itself among them; 0 for a fault by itself
}

func (f Fault) Error() string {
	s := f.Text
	if p := f.Pos.String(); p != "" {
		s = p + ": " + s
	}
	if f.Hint != "" {
		s += " (" + f.Hint + ")"
	}
	return s
}

// Bounds of what is told of a file, however many faults it has and however
// long its values are.
const (
	mostOfAKind = 100
	mostText    = 400 // characters
)

// Faults is a list of faults in the order of their places. It holds the first
// hundred of each kind, and then one that counts the others.
type Faults []Fault

// Add adds a fault at pos.
func (l *Faults) Add(pos Pos, hint, format string, args ...any) {
	l.add(Fault{Pos: pos, Hint: cut(hint), kind: format}, format, args)
}

// Note adds what is worth saying at pos but does no harm.
func (l *Faults) Note(pos Pos, hint, format string, args ...any) {
	l.add(Fault{Pos: pos, Hint: cut(hint), Mild: true, kind: format}, format, args)
}

// add puts f behind the others, or counts it when there are enough of its kind. The text
// is made only for one that is told: a hostile file can hold a million faults.
func (l *Faults) add(f Fault, format string, args []any) {
	// The latest of a kind stands near the end: so few kinds meet in one file
	// that looking for it costs nothing, and the counter of a full kind is moved
	// there.
	// of counts those of the kind that were told.
	of := 0
	for i := len(*l) - 1; i >= 0 && of < mostOfAKind; i-- {
		o := &(*l)[i]
		if o.kind != f.kind {
			continue
		}
		if o.more > 0 {
			o.count(1)
			last := len(*l) - 1
			(*l)[i], (*l)[last] = (*l)[last], (*l)[i]
			return
		}
		of++
	}
	if of == mostOfAKind {
		f.count(1)
	} else {
		f.Text = cut(fmt.Sprintf(format, args...))
	}
	*l = append(*l, f)
}

// cut keeps the beginning of a text that is too long to read.
func cut(text string) string {
	n := 0
	for i := range text {
		if n++; n > mostText {
			return text[:i] + "…"
		}
	}
	return text
}

// count makes f the fault that stands for more of its kind.
func (f *Fault) count(more int) {
	f.more += more
	f.Hint = ""
	f.Text = strconv.Itoa(f.more) + " more like those before, here and further on"
}

// bound keeps the bound when lists were put together: past a hundred of a kind the
// next becomes a counter, and all further ones, counters among them, are added to it.
func (l *Faults) bound() {
	told, rest := map[string]int{}, map[string]int{} // by kind: how many, where the counter is
	out := (*l)[:0]
	for _, f := range *l {
		if f.kind == "" {
			out = append(out, f)
			continue
		}
		at, full := rest[f.kind]
		switch {
		case full:
			out[at].count(max(f.more, 1))
			continue
		case f.more > 0 || told[f.kind] == mostOfAKind:
			f.count(max(1-f.more, 0))
			rest[f.kind] = len(out)
		default:
			told[f.kind]++
		}
		out = append(out, f)
	}
	*l = out
}

// Sort orders the list by file, line, column and text, and drops repeats: two passes
// over one file may find the same.
func (l *Faults) Sort() {
	slices.SortStableFunc(*l, func(a, b Fault) int {
		if c := strings.Compare(a.File, b.File); c != 0 {
			return c
		}
		if c := a.Line - b.Line; c != 0 {
			return c
		}
		if c := a.Column - b.Column; c != 0 {
			return c
		}
		return strings.Compare(a.Text, b.Text)
	})
	*l = slices.Compact(*l)
	l.bound()
}

// Err returns the list as an error, or nil when nothing grave is in it.
func (l Faults) Err() error {
	for _, f := range l {
		if !f.Mild {
			return l
		}
	}
	return nil
}

func (l Faults) Error() string {
	var b strings.Builder
	for i, f := range l {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(f.Error())
	}
	return b.String()
}
