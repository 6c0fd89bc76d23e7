package ledger

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	"lampblack/folder"
)

// What may stand in the way of an edit.
var (
	ErrNothing   = errors.New("there is nothing more to take back")
	ErrNotUndone = errors.New("nothing was taken back that could be done again")
	// ErrUnchanged is that an edit changes nothing.
	ErrUnchanged = errors.New("it is so already")
)

// Texts are the texts of a folder, in an edit.
type Texts struct {
	was, is state
}

// Read returns a text as it is, or as it was put; nil where there is none.
func (t *Texts) Read(name string) []byte { return bytes.Clone(t.is[name]) }

// Names are the texts that are there, in order.
func (t *Texts) Names() []string { return slices.Sorted(maps.Keys(t.is)) }

// Put gives a file another text; nil takes it away.
func (t *Texts) Put(name string, data []byte) {
	if data == nil {
		delete(t.is, name)
		return
	}
	t.is[name] = append([]byte{}, data...)
}

// Make makes an edit of the texts of a folder. With is given them and says in words what it
// does; it may be asked again where somebody else writes meanwhile. Who is told to whoever takes
// the edit back.
func Make(ctx context.Context, dir, who string, with func(*Texts) (what string, err error)) (Entry, error) {
	return change(ctx, dir, func(o *open) (Entry, error) {
		t := &Texts{o.texts, maps.Clone(o.texts)}
		what, err := with(t)
		if err != nil {
			return Entry{}, err
		}
		for name := range t.is {
			if !Keeps(name) {
				return Entry{}, fmt.Errorf("%s is no text of a show", name)
			}
		}
		return Entry{Who: who, What: what, Files: t.was.to(t.is)}, nil
	})
}

// Undo takes the last edit back that stands, whoever made it: Entry.Back tells which. It fails
// with ErrNothing where there is none.
func Undo(ctx context.Context, dir, who string) (Entry, error) {
	return change(ctx, dir, func(o *open) (Entry, error) {
		e, err := o.entry(o.last.after().Undo)
		if err != nil {
			return Entry{}, cmp.Or(missing(err, ErrNothing), err)
		}
		files := make([]patch, len(e.Files))
		for i, p := range e.Files {
			files[i] = p.reversed()
		}
		return Entry{Who: who, What: e.What, Back: e.Number, Files: files}, nil
	})
}

// Redo does the edit again that was taken back last, where no other was made since: Entry.Again
// tells which.
func Redo(ctx context.Context, dir, who string) (Entry, error) {
	return change(ctx, dir, func(o *open) (Entry, error) {
		undo, err := o.entry(o.last.after().Redo)
		if err != nil {
			return Entry{}, cmp.Or(missing(err, ErrNotUndone), err)
		}
		e, err := o.entry(undo.Back)
		return Entry{Who: who, What: e.What, Again: e.Number, Files: e.Files}, err
	})
}

// Note takes in what was written since the last edit, as one edit of who, and tells whether
// there was something; a folder that has no ledger gets one.
func Note(ctx context.Context, dir, who, what string) (wrote bool, err error) {
	e, err := tryAgain(ctx, func() (Entry, error) {
		o, err := openLedger(ctx, dir, who, what)
		if err != nil {
			return Entry{}, err
		}
		defer o.folder.Close()
		switch {
		case len(o.added) > 0:
			return o.added[0], o.write(nil)
		case o.fresh:
			return Entry{}, o.write(nil)
		}
		return Entry{}, nil
	})
	return e.Number > 0, err
}

// Has tells whether a folder's edits are kept.
func Has(ctx context.Context, dir string) bool {
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return false
	}
	defer f.Close()
	list, err := parts(f)
	return err == nil && len(list) > 0
}

// errNone is that there is no entry of a number.
var errNone = errors.New("no such edit")

// missing is is where err says that there was no such entry.
func missing(err, is error) error {
	if errors.Is(err, errNone) {
		return is
	}
	return nil
}

// change makes the edit that by finds, and again while others write.
func change(ctx context.Context, dir string, by func(*open) (Entry, error)) (Entry, error) {
	return tryAgain(ctx, func() (Entry, error) { return changeOnce(ctx, dir, by) })
}

// mostTries bounds how often an edit is begun again because others were faster.
const mostTries = 50

func tryAgain(ctx context.Context, do func() (Entry, error)) (Entry, error) {
	for try := 1; ; try++ {
		e, err := do()
		if !errors.Is(err, folder.ErrChanged) || try == mostTries || ctx.Err() != nil {
			return e, err
		}
	}
}

func changeOnce(ctx context.Context, dir string, by func(*open) (Entry, error)) (Entry, error) {
	o, err := openLedger(ctx, dir, Outside, "")
	if err != nil {
		return Entry{}, err
	}
	defer o.folder.Close()
	e, err := by(o)
	if err == nil && len(e.Files) == 0 {
		err = ErrUnchanged
	}
	if err != nil {
		// What others wrote is taken in all the same: it is what the next undo takes back.
		if len(o.added) > 0 || o.fresh {
			err = cmp.Or(o.write(nil), err)
		}
		return Entry{}, err
	}
	is := maps.Clone(o.texts)
	if err = is.make(e.Files); err == nil {
		e, err = o.add(e)
	}
	if err != nil {
		return Entry{}, err
	}
	return e, o.write(is)
}

// Look is the texts of a folder, to look at: what is put into them is not written.
func Look(ctx context.Context, dir string) (*Texts, error) {
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	s, err := kept(f)
	if err != nil {
		return nil, err
	}
	return &Texts{s, maps.Clone(s)}, nil
}

// Changed are the texts that were put, nil for one that was taken away.
func (t *Texts) Changed() map[string][]byte {
	out := map[string][]byte{}
	for _, p := range t.was.to(t.is) {
		out[p.Name] = bytes.Clone(t.is[p.Name])
	}
	return out
}
