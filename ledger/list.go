package ledger

import (
	"context"
	"errors"
	"slices"
)

// Log is what a folder's ledger says.
type Log struct {
	Entries []Entry // the newest first
	// Undo and Redo are what would be taken back and done again; nil for nothing.
	Undo, Redo *Entry
	Broken     string // what is wrong with the ledger; its edits before that are lost
}

// Read reads the newest entries of a folder's ledger, with what others wrote since as an entry
// that is not on the disk yet.
func Read(ctx context.Context, dir string, most int) (Log, error) {
	o, err := openLedger(ctx, dir, Outside, "")
	if err != nil {
		return Log{}, err
	}
	defer o.folder.Close()
	log := Log{Broken: o.broken, Entries: slices.Clone(o.last.entries)}
	list, err := parts(o.folder)
	if err != nil {
		return Log{}, err
	}
	for _, first := range slices.Backward(list) {
		if len(log.Entries) >= most {
			break
		}
		if first >= o.last.first {
			continue
		}
		p, err := o.part(first)
		if p == nil {
			log.Broken = err.Error()
			break
		}
		log.Entries = slices.Concat(p.entries, log.Entries)
	}
	slices.Reverse(log.Entries)
	log.Entries = log.Entries[:min(len(log.Entries), most)]
	now := o.last.after()
	log.Undo, err = o.maybe(now.Undo)
	if err != nil {
		return Log{}, err
	}
	if undo, err := o.maybe(now.Redo); err != nil || undo == nil {
		return log, err
	} else if log.Redo, err = o.maybe(undo.Back); err != nil {
		return Log{}, err
	}
	return log, nil
}

// maybe finds an entry; nil where there is none.
func (o *open) maybe(number int) (*Entry, error) {
	e, err := o.entry(number)
	switch {
	case errors.Is(err, errNone):
		return nil, nil
	case err != nil:
		return nil, err
	}
	return &e, nil
}
