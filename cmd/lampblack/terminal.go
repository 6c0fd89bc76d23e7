package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"lampblack/check/finding"
	"lampblack/source"
)

// screen is standard output or standard error. What is written to it goes out
// with its hidden characters made visible, so that no name from a file reaches a
// terminal raw; raw is for what Lampblack itself colours and draws, and for
// files that go to standard output. It remembers that a write failed.
type screen struct {
	file   *os.File
	held   []byte // the beginning of a character that is not whole yet
	failed error
}

// Write makes visible what would be hidden, and writes it. Up to three bytes of a
// character that is not whole are held for the next write, as a writer may cut
// anywhere.
func (s *screen) Write(p []byte) (int, error) {
	text := append(s.held, p...)
	whole := len(text)
	for n := 1; n <= min(len(text), utf8.UTFMax-1); n++ {
		if b := text[len(text)-n]; utf8.RuneStart(b) {
			if !utf8.FullRune(text[len(text)-n:]) {
				whole = len(text) - n
			}
			break
		}
	}
	s.held = slices.Clone(text[whole:])
	if _, err := s.raw().Write([]byte(source.VisibleLines(string(text[:whole])))); err != nil {
		return 0, err
	}
	return len(p), nil
}

// flush writes what is left of a character that never became whole.
func (s *screen) flush() {
	if len(s.held) > 0 {
		_, _ = s.raw().Write([]byte(source.VisibleLines(string(s.held))))
		s.held = nil
	}
}

func (s *screen) raw() io.Writer { return rawScreen{s} }

type rawScreen struct{ *screen }

func (r rawScreen) Write(p []byte) (int, error) {
	n, err := r.file.Write(p)
	if err != nil && r.failed == nil {
		r.failed = err
	}
	return n, err
}

// raw is a screen's way past making visible; other writers have none.
func raw(w io.Writer) io.Writer {
	if s, ok := w.(*screen); ok {
		return s.raw()
	}
	return w
}

// verbatim is where a file's contents go: as they are, but not to a terminal. To a
// terminal w itself is returned, which makes visible.
func verbatim(w io.Writer) io.Writer {
	if terminal(w) {
		return w
	}
	return raw(w)
}

// fileOf is the file behind a writer, if there is one.
func fileOf(w io.Writer) (*os.File, bool) {
	switch w := w.(type) {
	case *screen:
		return w.file, true
	case rawScreen:
		return w.file, true
	case *os.File:
		return w, true
	}
	return nil, false
}

// typedBy is the terminal on which somebody can be asked; false where there is none.
func typedBy(c *cobra.Command) (*os.File, bool) {
	in, ok := c.InOrStdin().(*os.File)
	return in, ok && term.IsTerminal(int(in.Fd()))
}

// terminal tells whether w is one.
func terminal(w io.Writer) bool {
	f, ok := fileOf(w)
	return ok && term.IsTerminal(int(f.Fd()))
}

// colours tells whether words on w may be coloured: on a terminal, unless
// NO_COLOR says otherwise.
func colours(w io.Writer) bool {
	return terminal(w) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}

// width is the columns of a terminal; 100 elsewhere. A terminal narrower than 40 is not
// believed.
func width(w io.Writer) int {
	if f, ok := fileOf(w); ok {
		if n, _, err := term.GetSize(int(f.Fd())); err == nil && n >= 40 {
			return n
		}
	}
	return 100
}

// writeFound prints findings for a person. Their colours are ours; all else is
// made visible first.
func writeFound(w io.Writer, list []finding.Finding) {
	shown := slices.Clone(list)
	for i := range shown {
		f := &shown[i]
		for _, text := range []*string{&f.Place, &f.Text, &f.Hint, &f.Assumed, &f.Source, &f.Signed, &f.Unit} {
			*text = source.Visible(*text)
		}
		f.Units, f.Cues = allVisible(f.Units), allVisible(f.Cues)
	}
	finding.WriteText(raw(w), shown, width(w), colours(w))
}

// allVisible is a copy of names with what is hidden in them made visible.
func allVisible(names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = source.Visible(n)
	}
	return out
}

// writeJSON prints v as indented JSON.
func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// progress is a line that tells how far long work has come. It draws on a terminal
// only, and only when the work takes longer than a moment. Several may follow one
// another on one line; each clears its own.
type progress struct {
	w       io.Writer
	what    string
	started time.Time
	drawn   time.Time
}

func newProgress(w io.Writer, what string) *progress {
	p := &progress{what: source.Visible(what), started: time.Now()}
	if terminal(w) {
		p.w = raw(w)
	}
	return p
}

// set draws the line; done runs from 0 to 1. It draws at most ten times a second, as
// the work must not wait for the terminal.
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

// wait says on a terminal what the program is at that shows no progress: a command that says
// nothing is taken for one that hangs. It draws after a moment, so that what is quick does not
// flicker.
type wait struct {
	w     io.Writer
	mu    sync.Mutex
	what  string
	timer *time.Timer
	drawn bool
}

func newWait(w io.Writer, what string) *wait {
	p := &wait{what: what}
	if terminal(w) {
		p.w = raw(w)
		p.timer = time.AfterFunc(500*time.Millisecond, func() { p.now("") })
	}
	return p
}

// now says what it is at; "" is what it was.
func (p *wait) now(what string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if what != "" {
		p.what = what
	}
	if p.w == nil || what != "" && !p.drawn {
		return
	}
	p.drawn = true
	fmt.Fprintf(p.w, "\r%s …\x1b[K", source.Visible(p.what))
}

// done clears the line.
func (p *wait) done() {
	if p.w == nil {
		return
	}
	p.timer.Stop()
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.drawn {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
	p.w = nil
}

// linesOf are the lines that a person types; the channel closes at their end.
func linesOf(ctx context.Context, in io.Reader) <-chan string {
	lines := make(chan string)
	go func() {
		// Ends with the program: a read from a terminal cannot be called off.
		defer close(lines)
		for s := bufio.NewScanner(in); s.Scan(); {
			select {
			case lines <- strings.TrimSpace(s.Text()):
			case <-ctx.Done():
				return
			}
		}
	}()
	return lines
}
