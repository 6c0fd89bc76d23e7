package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"

	"lampblack/play"
	"lampblack/si"
	"lampblack/source"
)

// keyActions is what each key does during a run.
var keyActions = map[byte]play.Action{
	' ': play.Hold, 'h': play.Hold,
	'\r': play.Go, '\n': play.Go, 'g': play.Go,
	'b': play.Back,
	'l': play.LightsUp,
	't': play.Tap,
	'q': play.Quit,
}

// ctrlC does not raise a signal in raw mode.
const ctrlC = 3

// readKeys turns key presses into commands while standard input is a
// terminal. Call restore before the program ends.
func readKeys(ctx context.Context) (commands <-chan play.Command, restore func()) {
	in := int(os.Stdin.Fd())
	if !term.IsTerminal(in) {
		return nil, func() {}
	}
	old, err := term.MakeRaw(in)
	if err != nil {
		return nil, func() {}
	}
	keys := make(chan play.Command)
	go func() {
		// Ends with the program: a read from a terminal cannot be called off.
		var b [1]byte
		for {
			if n, err := os.Stdin.Read(b[:]); n == 0 || err != nil {
				return
			}
			if b[0] == ctrlC {
				stop.stop()
				return
			}
			do, ok := keyActions[b[0]]
			if !ok {
				continue
			}
			select {
			case keys <- play.Command{Do: do}:
			case <-ctx.Done():
				return
			}
		}
	}()
	stop.raw(func() { _ = term.Restore(in, old) })
	return keys, stop.cooked
}

// merge passes on the commands of keys and book.
func merge(ctx context.Context, keys <-chan play.Command, book follower) <-chan play.Command {
	if book == nil {
		return keys
	}
	out := make(chan play.Command)
	pages := book.commands()
	go func() {
		for {
			var c play.Command
			select {
			case c = <-keys:
			case c = <-pages:
			case <-ctx.Done():
				return
			}
			select {
			case out <- c:
			case <-ctx.Done():
				return
			}
		}
	}()
	return out
}

// statusLine shows where a run is, on one line of a terminal.
type statusLine struct {
	w     io.Writer
	drawn time.Time
}

func newStatusLine(w io.Writer) *statusLine {
	if !terminal(w) {
		return &statusLine{}
	}
	return &statusLine{w: raw(w)}
}

func (l *statusLine) show(s play.Status) {
	if l.w == nil {
		return
	}
	l.drawn = time.Now()
	now, next := "before the first cue", "the end"
	if s.Cue != nil {
		now = "cue " + s.Cue.Number.Name + " " + s.Cue.Cue.Look.Name
	}
	if s.Next != nil {
		next = fmt.Sprintf("cue %s in %.1f s", s.Next.Number.Name, (s.Next.Start - s.At).Seconds())
	}
	state := ""
	switch {
	case s.LightsUp:
		state = "  LIGHTS UP"
	case s.Held:
		state = "  HELD"
	}
	text := []rune(source.Visible(fmt.Sprintf("%s  %s, then %s%s", si.FormatTime(s.At), now, next, state)))
	if most := width(l.w) - 1; len(text) > most {
		text = text[:most]
	}
	fmt.Fprintf(l.w, "\r%s\x1b[K", string(text))
}

func (l *statusLine) end() {
	if l.w != nil && !l.drawn.IsZero() {
		fmt.Fprint(l.w, "\r\x1b[K")
	}
}
