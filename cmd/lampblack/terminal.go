package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"golang.org/x/term"
)

// terminal tells whether w is one.
func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// colours tells whether words on w may be coloured: on a terminal, unless
// NO_COLOR says otherwise.
func colours(w io.Writer) bool {
	return terminal(w) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}

// width is the columns of a terminal; 100 elsewhere.
func width(w io.Writer) int {
	if f, ok := w.(*os.File); ok {
		if n, _, err := term.GetSize(int(f.Fd())); err == nil && n >= 40 {
			return n
		}
	}
	return 100
}

// writeJSON prints v as indented JSON.
func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// progress is a line that tells how far long work has come. It draws on a
// terminal only, and only when the work takes longer than a moment.
type progress struct {
	w       io.Writer
	what    string
	started time.Time
	drawn   time.Time
}

func newProgress(w io.Writer, what string) *progress {
	p := &progress{what: what, started: time.Now()}
	if terminal(w) {
		p.w = w
	}
	return p
}

// set draws the line; done runs from 0 to 1.
func (p *progress) set(done float64) {
	now := time.Now()
	if p.w == nil || now.Sub(p.started) < 300*time.Millisecond || now.Sub(p.drawn) < 100*time.Millisecond {
		return
	}
	p.drawn = now
	const cells = 24
	full := int(min(max(done, 0), 1) * cells)
	fmt.Fprintf(p.w, "\r%s  %s%s %3.0f %%", p.what, strings.Repeat("━", full), strings.Repeat("·", cells-full), done*100)
}

// done clears the line.
func (p *progress) done() {
	if p.w != nil && !p.drawn.IsZero() {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}
