package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"slices"
	"time"

	"lampblack/amend"
	"lampblack/check/finding"
	"lampblack/check/mend"
	"lampblack/editing"
	"lampblack/ledger"
	"lampblack/show"
	"lampblack/source"
)

// Writer changes the texts of the show. Errors are for the person who asked.
type Writer interface {
	// Change makes changes, all or none; who is told to whoever takes them back.
	Change(ctx context.Context, who string, changes []amend.Change) (ledger.Entry, error)
	// Try is what changes would come to; nothing is written.
	Try(ctx context.Context, changes []amend.Change) (*editing.Solved, error)
	Undo(ctx context.Context, who string) (ledger.Entry, error)
	Redo(ctx context.Context, who string) (ledger.Entry, error)
	Log(ctx context.Context, most int) (ledger.Log, error)
	// Written is what a text of the show says at a place, nothing where it has none.
	Written(ctx context.Context, file string, at amend.Path) (source.Plain, error)
	// Cure searches for the change that takes a finding away; nothing is written.
	Cure(ctx context.Context, f finding.Finding, tells func(n, of int)) (*mend.Change, error)
	// Rewrite writes another text of a file where it is still what it was.
	Rewrite(ctx context.Context, who, said, file string, was, is []byte) (ledger.Entry, error)
	// Sign writes that a person answers for a finding.
	Sign(ctx context.Context, who string, f finding.Finding, person, reason string, day time.Time) (ledger.Entry, error)
}

// Changes is what a page wants written.
type Changes struct {
	Changes []amend.Change `json:"changes"`
}

// Edits are the newest edits of the show's texts, whoever made them, the newest first.
type Edits struct {
	Edits  []Edited `json:"edits"`
	Undo   *Edited  `json:"undo"` // what would be taken back; null for nothing
	Redo   *Edited  `json:"redo"`
	Broken string   `json:"broken"` // why earlier ones cannot be taken back any more
}

// Edited is one edit.
type Edited struct {
	Number int       `json:"number"`
	When   time.Time `json:"when"`
	Who    string    `json:"who"`
	What   string    `json:"what"`
	Back   int       `json:"back"`  // the edit that it takes back, 0 for none
	Again  int       `json:"again"` // the one that it does again
}

func editedOf(e *ledger.Entry) *Edited {
	if e == nil {
		return nil
	}
	return &Edited{e.Number, e.When, e.Who, e.What, e.Back, e.Again}
}

// NotAsSeen is the answer to a change of what somebody changed meanwhile.
type NotAsSeen struct {
	Text string       `json:"text"`
	Is   source.Plain `json:"is"`
}

// mostEdits is how many edits are listed.
const mostEdits = 200

// edits answers what was edited, and what can be taken back.
func (s *Server) edits(w http.ResponseWriter, r *http.Request) {
	if s.writer == nil {
		notWritten(w)
		return
	}
	log, err := s.writer.Log(r.Context(), mostEdits)
	if err != nil {
		http.Error(w, err.Error(), http.StatusUnprocessableEntity)
		return
	}
	out := Edits{Edits: []Edited{}, Undo: editedOf(log.Undo), Redo: editedOf(log.Redo), Broken: log.Broken}
	for i := range log.Entries {
		out.Edits = append(out.Edits, *editedOf(&log.Entries[i]))
	}
	writeJSON(w, out)
}

// written answers what a text of the show says: ?file=NAME, and with ?at=PATH what it says there,
// in the form of a change's.
func (s *Server) written(w http.ResponseWriter, r *http.Request) {
	if s.writer == nil {
		notWritten(w)
		return
	}
	var at amend.Path
	if path := r.URL.Query().Get("at"); path != "" {
		if err := json.Unmarshal([]byte(path), &at); err != nil {
			http.Error(w, err.Error(), http.StatusBadRequest)
			return
		}
	}
	text, err := s.writer.Written(r.Context(), r.URL.Query().Get("file"), at)
	if err != nil {
		http.Error(w, err.Error(), http.StatusUnprocessableEntity)
		return
	}
	writeJSON(w, text)
}

// change writes what a page wants written.
func (s *Server) change(w http.ResponseWriter, r *http.Request) {
	var c Changes
	s.writes(w, r, &c, func() (ledger.Entry, error) { return s.writer.Change(r.Context(), whoAsks(r).Name, c.Changes) })
}

// undone takes an edit back; redone does it again.
func (s *Server) undone(w http.ResponseWriter, r *http.Request) {
	s.writes(w, r, nil, func() (ledger.Entry, error) { return s.writer.Undo(r.Context(), whoAsks(r).Name) })
}

func (s *Server) redone(w http.ResponseWriter, r *http.Request) {
	s.writes(w, r, nil, func() (ledger.Entry, error) { return s.writer.Redo(r.Context(), whoAsks(r).Name) })
}

// writes reads what is asked, has it written, and answers with the edit that it became, or why
// it did not.
func (s *Server) writes(w http.ResponseWriter, r *http.Request, body any, do func() (ledger.Entry, error)) {
	if s.writer == nil {
		notWritten(w)
		return
	}
	takes(w, r, body, func() error {
		e, err := do()
		var other *amend.Conflict
		switch {
		case errors.As(err, &other):
			w.Header().Set("Content-Type", "application/json")
			w.WriteHeader(http.StatusConflict)
			writeJSON(w, NotAsSeen{other.Error(), other.Is})
			return nil
		case err != nil:
			return err
		}
		writeJSON(w, editedOf(&e))
		return nil
	})
}

var errNotWritten = errors.New("this show cannot be changed from here: it is a bundle, or lies where nothing may be written")

func notWritten(w http.ResponseWriter) { http.Error(w, errNotWritten.Error(), http.StatusConflict) }

// try answers what a change would come to, as picture or ribbons: ?of=picture or ?of=light with
// what those ask for.
func (s *Server) try(w http.ResponseWriter, r *http.Request) {
	if s.writer == nil {
		notWritten(w)
		return
	}
	var c Changes
	takes(w, r, &c, func() error {
		tried, err := s.writer.Try(r.Context(), c.Changes)
		now, _ := s.book.get()
		if errors.Is(err, editing.ErrSlow) && !r.URL.Query().Has("step") {
			ofRoom := slices.ContainsFunc(c.Changes, func(c amend.Change) bool { return c.File == show.RoomFile })
			return s.provisional(w, r, now.book, &tried.Files, ofRoom)
		}
		if err != nil {
			return err
		}
		b := now.book.Next(tried.Shown, nil, true)
		if r.URL.Query().Has("step") {
			s.lightOf(w, r, b)
		} else {
			s.pictureOf(w, r, b)
		}
		return nil
	})
}

// Renew puts the show as it is after a change in the place of the one that is served: pages that
// are open go over to it. With stale the findings are those of before, and others are on the way.
func (s *Server) Renew(sh *show.Show, found []finding.Finding, stale bool) {
	s.book.update(func(old edition) edition { return newEdition(old.number+1, old.book.Next(sh, found, stale)) })
}
