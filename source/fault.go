package source

import (
	"fmt"
	"slices"
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
	switch {
	case p.Line == 0:
		return p.File
	case p.Column == 0:
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Fault is one thing that is wrong with a file: what was found at Pos, and in
// Hint what to write instead.
type Fault struct {
	Pos
	Text string
	Hint string
	// Mild marks what is worth saying but does no harm.
	Mild bool
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

// Faults is a list of faults in the order of their places.
type Faults []Fault

// Add appends a fault at pos.
func (l *Faults) Add(pos Pos, hint, format string, args ...any) {
	*l = append(*l, Fault{Pos: pos, Text: fmt.Sprintf(format, args...), Hint: hint})
}

// Sort orders the list by file, line, column and text, and drops repeats.
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
