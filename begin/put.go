package begin

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"lampblack/folder"
	"lampblack/ledger"
)

// ErrChanged is that an answer is another by now than whoever answers saw.
var ErrChanged = errors.New("somebody has changed this meanwhile: here is how it stands now")

// Put writes one answer of a into the texts of a folder, as an edit of who. Seen is the mark of the
// answer that it takes the place of. It returns [ErrChanged] where that is not how it stands, and
// ledger.ErrUnchanged where the texts say so already.
func Put(ctx context.Context, dir, who string, q Question, seen string, a *Answers) error {
	if q < 0 || int(q) >= Questions {
		return fmt.Errorf("there is no question %d", q)
	}
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return fmt.Errorf("write the answer: %w", err)
	}
	defer f.Close()
	_, err = ledger.Make(ctx, dir, who, func(t *ledger.Texts) (string, error) {
		now := read(f, t)
		if now.Marks[q] != seen {
			return "", ErrChanged
		}
		p := &pen{t: t}
		w := writer{pen: p, dir: f, was: now}
		said := w.put(q, a)
		return said, p.err
	})
	return err
}

// writer writes answers.
type writer struct {
	*pen
	dir *folder.Folder
	was *Answers
}

// put writes one answer, and says in words what was written.
func (w *writer) put(q Question, a *Answers) string {
	switch q {
	case WhatQuestion:
		w.what(a.What)
		return "what happens"
	case SoundQuestion:
		w.sound(a.Sound)
		return "which sound"
	case RoomQuestion:
		w.room(a.Room)
		return "the room"
	case PeopleQuestion:
		w.people(a.People)
		return "who sits, plays and walks where"
	case UnitsQuestion:
		w.units(a.Units)
		return "which lamps there are"
	case PlacesQuestion:
		w.places(a.Places)
		return "where lamps stand and hang"
	case GlowQuestion:
		w.glow(a.Glow)
		return "what is to glow"
	}
	w.site(a.Site)
	return "what is on site"
}

// refuse says why an answer is none.
func (w *writer) refuse(format string, args ...any) {
	if w.err == nil {
		w.err = Unfit{fmt.Sprintf(format, args...)}
	}
}

// Unfit is why an answer is not written, in words for who gave it.
type Unfit struct{ Text string }

func (u Unfit) Error() string { return u.Text }

// names refuses names that are empty, too long, or there twice.
func (w *writer) names(of string, all ...string) {
	const most = 60
	for i, n := range all {
		switch {
		case n == "":
			w.refuse("%s wants a name", of)
		case len([]rune(n)) > most:
			w.refuse("the name %q is longer than %d letters", string([]rune(n)[:20])+"…", most)
		case slices.Contains(all[:i], n):
			w.refuse("there are two called %q: give one of them another name", n)
		}
	}
}

// gone are those of was that no ID of now names any more.
func gone(was, now []string) []string {
	return slices.DeleteFunc(slices.Clone(was), func(n string) bool { return slices.Contains(now, n) })
}

// each is a text of every item.
func each[T any](list []T, of func(*T) string) []string {
	out := make([]string, 0, len(list))
	for i := range list {
		out = append(out, of(&list[i]))
	}
	return out
}
