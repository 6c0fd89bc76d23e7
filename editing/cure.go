package editing

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/check/mend"
	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/show"
	"lampblack/source"
)

// Why nothing is done about a finding.
var (
	ErrNoCure    = errors.New("no change of the files was found that helps and makes nothing else worse: this one is for hands")
	ErrEvening   = errors.New("changes are proposed for shows of one piece: open the piece by itself")
	ErrChanged   = errors.New("the show changed since that was proposed: look at the finding again")
	ErrNobody    = errors.New("a signature has a name and a reason")
	ErrNotSigned = errors.New("a fault of the files cannot be signed for, nor what is only worth knowing: signatures are for stops and warnings")
)

// Cure searches for the change that takes a finding away and costs the show least; nothing is
// written. It takes seconds to minutes: tells is told which of how many changes is tried, and ctx
// ends it.
func (w *Work) Cure(ctx context.Context, f finding.Finding, tells func(n, of int)) (*mend.Change, error) {
	now := w.Now()
	switch {
	case now.Shown == nil || now.Shown != now.Base:
		return nil, ErrEvening
	case !mend.Helps(f.ID):
		return nil, ErrNoCure
	}
	dir, err := folder.Open(ctx, w.o.Dir)
	if err != nil {
		return nil, err
	}
	defer dir.Close()
	found := mend.FindTelling(ctx, dir, now.Shown, f, tells)
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case found.Change != nil:
		return found.Change, nil
	case found.TooDear != nil:
		return found.TooDear, nil
	}
	return nil, ErrNoCure
}

// Rewrite writes another text of one file, where its text is still what it was.
func (w *Work) Rewrite(ctx context.Context, who, said, file string, was, is []byte) (ledger.Entry, error) {
	return w.edit(ctx, who, func(t *ledger.Texts) (string, error) {
		if !bytes.Equal(t.Read(file), was) {
			return "", ErrChanged
		}
		t.Put(file, is)
		return said, nil
	})
}

// Sign writes into the bill that a person answers for a finding, and why.
func (w *Work) Sign(ctx context.Context, who string, f finding.Finding, person, reason string, day time.Time) (ledger.Entry, error) {
	person, reason = strings.TrimSpace(person), strings.TrimSpace(reason)
	switch {
	case person == "" || reason == "":
		return ledger.Entry{}, ErrNobody
	case !check.Signable(&f):
		return ledger.Entry{}, ErrNotSigned
	}
	return w.edit(ctx, who, func(t *ledger.Texts) (string, error) {
		text, err := SignedBill(t.Read(show.BillFile), check.Signature(&f, person, reason, day))
		t.Put(show.BillFile, text)
		return fmt.Sprintf("%s signed for %s", person, f.Key()), err
	})
}

// SignedBill is the text of a bill with signatures behind those that it has.
func SignedBill(data []byte, signatures ...string) ([]byte, error) {
	text, faults := source.OpenText(show.BillFile, data)
	if text == nil {
		return nil, faults.Err()
	}
	if err := text.Append("signed", signatures...); err != nil {
		return nil, err
	}
	return text.Bytes()
}
