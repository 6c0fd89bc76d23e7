package ledger

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"time"

	"lampblack/folder"
)

// open is a folder with its ledger, as both are on the disk.
type open struct {
	folder *folder.Folder
	texts  state // of the folder
	last   *part // to which entries are added; nil where none are kept yet
	fresh  bool  // last is not on the disk
	added  []Entry
	broken string // what is wrong with the ledger that was found
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
