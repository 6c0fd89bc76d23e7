package ledger

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

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

// open is a folder with its ledger, as both are on the disk.
type open struct {
	folder *folder.Folder
	texts  state // of the folder
	last   *part // to which entries are added; nil where none are kept yet
	fresh  bool  // last is not on the disk
	added  []Entry
	broken string // what is wrong with the ledger that was found
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

// openLedger reads a folder and its ledger, and takes in what others wrote since.
func openLedger(ctx context.Context, dir, who, what string) (*open, error) {
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return nil, err
	}
	o := &open{folder: f}
	if err := o.read(who, what); err != nil {
		f.Close()
		return nil, err
	}
	return o, nil
}

func (o *open) read(who, what string) (err error) {
	if o.texts, err = kept(o.folder); err != nil {
		return err
	}
	list, err := parts(o.folder)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		return o.begin(1, after{})
	}
	first := list[len(list)-1]
	data, err := o.folder.ReadFile(partName(first))
	if err != nil {
		return err
	}
	known, err := o.take(first, data)
	if err != nil {
		// What was before cannot be gone back to: a new beginning, behind all numbers there may be.
		o.broken = err.Error()
		return o.begin(first+bytes.Count(data, []byte("\n"))+1, after{})
	}
	if files := known.to(o.texts); len(files) > 0 {
		e := Entry{Who: who, What: what, Files: files}
		if what == "" {
			e.What = "changed " + strings.Join(e.Names(), ", ")
		}
		o.texts = known // add may begin another part, with what was before
		if _, err = o.add(e); err == nil {
			err = o.texts.make(files)
		}
	}
	return err
}

// take takes up the last file of edits, and returns the texts as it knows them.
func (o *open) take(first int, data []byte) (state, error) {
	p, err := readPart(first, data)
	if err != nil {
		return nil, err
	}
	o.last = p
	return p.texts()
}

// begin begins a file of edits with the texts as they are. It looks at once that there is none,
// so that of two who begin one the second finds that it was there.
func (o *open) begin(first int, a after) error {
	o.last, o.fresh = &part{first: first, head: head{form, maps.Clone(o.texts), a}}, true
	there, err := o.folder.Optional(partName(first))
	if err == nil && there != nil {
		err = folder.ErrChanged
	}
	return err
}

// add numbers an entry and puts it behind the others; the texts are those before it.
func (o *open) add(e Entry) (Entry, error) {
	now := o.last.after()
	e.Number, e.When = o.last.last()+1, time.Now().UTC().Truncate(time.Second)
	switch {
	case e.Back != 0: // under what it takes back lies what is undone next
		undone, err := o.entry(e.Back)
		if err != nil {
			return e, err
		}
		e.Under, e.After = now.Redo, after{undone.Under, e.Number}
	case e.Again != 0:
		undo, err := o.entry(now.Redo)
		if err != nil {
			return e, err
		}
		e.After = after{e.Again, undo.Under}
	default:
		e.Under, e.After = now.Undo, after{Undo: e.Number}
	}
	if o.last.size > partSize+textSize(o.last.head.Texts) {
		if err := o.begin(e.Number, now); err != nil {
			return e, err
		}
		o.added = nil
	}
	o.last.entries, o.added = append(o.last.entries, e), append(o.added, e)
	return e, nil
}

func textSize(s state) (n int) {
	for _, text := range s {
		n += len(text) * 4 / 3 // as base64
	}
	return n
}

// entry finds an entry by its number.
func (o *open) entry(number int) (Entry, error) {
	if number <= 0 {
		return Entry{}, errNone
	}
	if e, ok := find(o.last.entries, number); ok {
		return e, nil
	}
	list, err := parts(o.folder)
	if err != nil {
		return Entry{}, err
	}
	for _, first := range slices.Backward(list) {
		if first > number {
			continue
		}
		p, err := o.part(first)
		if p != nil {
			if e, ok := find(p.entries, number); ok {
				return e, nil
			}
		}
		return Entry{}, cmp.Or(err, errNone)
	}
	return Entry{}, errNone
}

func (o *open) part(first int) (*part, error) {
	data, err := o.folder.ReadFile(partName(first))
	if err != nil {
		return nil, err
	}
	return readPart(first, data)
}

func find(list []Entry, number int) (Entry, bool) {
	i, ok := slices.BinarySearchFunc(list, number, func(e Entry, n int) int { return e.Number - n })
	if !ok {
		return Entry{}, false
	}
	return list[i], true
}

// write writes the texts, nil for none, and the file of edits, as one.
func (o *open) write(is state) error {
	var b bytes.Buffer
	j := json.NewEncoder(&b)
	j.SetEscapeHTML(false)
	if err := j.Encode(o.last.head); err != nil {
		return err
	}
	for i := range o.last.entries {
		if err := j.Encode(&o.last.entries[i]); err != nil {
			return err
		}
	}
	e := o.folder.Edit()
	if is != nil {
		for _, p := range o.texts.to(is) {
			if text := is[p.Name]; text == nil {
				e.Remove(p.Name)
			} else {
				e.Put(p.Name, text)
			}
		}
	}
	e.Put(partName(o.last.first), b.Bytes())
	return e.Commit()
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
