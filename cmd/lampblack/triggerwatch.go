package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"lampblack/play/trigger"
	"lampblack/source"
)

// heardSize is how many lines may wait to be printed; a terminal that hangs must not
// hold up what listens.
const heardSize = 1024

// watcher prints what comes in.
type watcher struct {
	f       *triggersFlags
	set     *trigger.Set
	out     io.Writer
	bell    io.Writer // nil for none
	lineEnd string    // a raw terminal wants a carriage return as well
	widest  int       // name
}

// watchThem listens until it is told to stop.
func (f *triggersFlags) watchThem(c *cobra.Command, list trigger.List) (err error) {
	ctx := c.Context()
	if f.length != "" {
		length, err := parseLength(f.length)
		if err != nil {
			return hinted{err, "--for takes a time as 10s or 1:30"}
		}
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, length)
		defer cancel()
	}
	heard := make(chan trigger.Heard, heardSize)
	set, err := trigger.Open(ctx, list, trigger.Options{Heard: func(h trigger.Heard) {
		select {
		case heard <- h:
		default: // the counts at the end tell of it all the same
		}
	}})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, set.Close()) }()
	w := &watcher{f: f, set: set, out: c.OutOrStdout(), lineEnd: "\n"}
	for _, t := range list.Triggers {
		w.widest = max(w.widest, utf8.RuneCountInString(source.Visible(t.Name)))
	}
	if f.bell && terminal(c.OutOrStdout()) {
		w.bell = raw(c.OutOrStdout())
	}
	ended, restore := w.keys(list)
	defer restore()
	if err := w.print(ctx, heard, ended); err != nil {
		return err
	}
	if err := set.Close(); err != nil { // which judges what has come
		return err
	}
	if err := w.rest(heard); err != nil {
		return err
	}
	restore()
	w.lineEnd = "\n"
	return w.sum()
}

// keys lets the terminal press what listens to keys; ended is closed by q.
func (w *watcher) keys(list trigger.List) (ended <-chan struct{}, restore func()) {
	q := make(chan struct{})
	any := false
	for _, t := range list.Triggers {
		any = any || t.From.Kind == "key"
	}
	if !any {
		return q, func() {}
	}
	var keys trigger.Keys
	over := false
	restore, ok := readTerminal(func(b byte) {
		keys.Feed([]byte{b}, func(name string) {
			if name == "q" && !over {
				over = true
				close(q)
			}
			w.set.Type(name)
		})
	})
	if ok && terminal(w.out) {
		w.lineEnd = "\r\n"
	}
	return q, restore
}

// print prints what is heard, until ctx or a key ends it, or enough have fired.
func (w *watcher) print(ctx context.Context, heard <-chan trigger.Heard, ended <-chan struct{}) error {
	fired := 0
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-ended:
			return nil
		case h := <-heard:
			if err := w.line(h); err != nil {
				return err
			}
		case <-w.set.Fired():
			if fired++; fired == w.f.times {
				return nil
			}
		}
	}
}

// rest prints what has been heard and not printed yet.
func (w *watcher) rest(heard <-chan trigger.Heard) error {
	for {
		select {
		case h := <-heard:
			if err := w.line(h); err != nil {
				return err
			}
		default:
			return nil
		}
	}
}

// heardLine is one thing that came, as JSON.
type heardLine struct {
	Time time.Time `json:"time"`
	Name string    `json:"trigger"`
	What string    `json:"what"`
	Hint string    `json:"hint,omitempty"`
}

func (w *watcher) line(h trigger.Heard) error {
	if w.bell != nil && h.Text == trigger.Fires.String() {
		_, _ = io.WriteString(w.bell, "\a")
	}
	if w.f.json {
		return json.NewEncoder(w.out).Encode(heardLine{h.Time, h.Name, h.Text, h.Hint})
	}
	name := source.Visible(h.Name)
	err := w.say("%s  %s%s  %s", h.Time.Format("15:04:05.000"), name, strings.Repeat(" ", w.widest-utf8.RuneCountInString(name)), h.Text)
	if err == nil && h.Hint != "" {
		err = w.say("%s  hint: %s", strings.Repeat(" ", len("15:04:05.000  ")+w.widest), h.Hint)
	}
	return err
}

// say prints a line; its end is ours, and goes out as it is.
func (w *watcher) say(format string, args ...any) error {
	if _, err := fmt.Fprintf(w.out, format, args...); err != nil {
		return err
	}
	_, err := io.WriteString(raw(w.out), w.lineEnd)
	return err
}

// watched is what it came to, as JSON.
type watched struct {
	Triggers []trigger.Status `json:"triggers"`
	Inside   []trigger.Inside `json:"inside"`
	Dropped  uint64           `json:"dropped"` // firings that came faster than they were printed
}

// sum prints what it came to: a trigger that never fired is one whose contact was not
// tried, or does not work.
func (w *watcher) sum() error {
	if w.f.json {
		return json.NewEncoder(w.out).Encode(watched{w.set.Status(), w.set.Inside(), w.set.Dropped()})
	}
	for _, s := range w.set.Status() {
		if _, err := fmt.Fprintf(w.out, "%s: %s\n", source.Visible(s.Name), countsOf(s)); err != nil {
			return err
		}
	}
	for _, p := range w.set.Inside() {
		if _, err := fmt.Fprintf(w.out, "%s: %d inside, %d entered, %d left, %d doubtful\n", source.Visible(p.Place), p.Inside, p.Entered, p.Left, p.Doubtful); err != nil {
			return err
		}
	}
	return nil
}

// countsOf says what came of a trigger; what did not happen is left out.
func countsOf(s trigger.Status) string {
	text := "never fired"
	if s.Fired > 0 {
		text = fmt.Sprintf("fired %d times", s.Fired)
	}
	if s.Fired == 1 {
		text = "fired once"
	}
	for _, c := range []struct {
		n    uint64
		what string
	}{{s.Deaf, "while it was deaf"}, {s.Short, "too short"}, {s.Doubtful, "doubtful"}, {s.Dropped, "too fast"},
		{s.Refused, "unreadable"}, {s.Crowded, "times that more came than is read"}} {
		if c.n > 0 {
			text += fmt.Sprintf(", %d %s", c.n, c.what)
		}
	}
	if s.Fault != "" {
		text += "; " + s.Fault
	}
	return text
}
