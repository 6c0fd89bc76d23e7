package web

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"time"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/check/mend"
	"lampblack/ledger"
	"lampblack/web/page"
)

// Checks are all findings, with what can be done about each from a page.
type Checks struct {
	Stale   bool     `json:"stale"` // they are those of before the last change, and others are on the way
	Entries []Remark `json:"entries"`
}

// Remark is one finding, the same for as long as nothing of it changes.
type Remark struct {
	Mark    string          `json:"mark"`  // by which it is spoken of
	Mends   bool            `json:"mends"` // a change of the files may help it
	Signs   bool            `json:"signs"` // a person may answer for it
	Finding finding.Finding `json:"finding"`
}

// markOf sums a finding up. Six octets tell a show's findings apart.
func markOf(f *finding.Finding) string {
	text, _ := json.Marshal(f) // page took away what JSON lacks
	sum := sha256.Sum256(text)
	return fmt.Sprintf("%x", sum[:6])
}

// checks answers what was found, and what can be done about it.
func (s *Server) checks(w http.ResponseWriter, _ *http.Request) {
	now, _ := s.book.get()
	writeJSON(w, checksOf(now.book, s.writer != nil))
}

func checksOf(b *page.Book, writes bool) Checks {
	list := b.Findings()
	out := Checks{Stale: b.Contents().Stale, Entries: make([]Remark, 0, len(list))}
	for i := range list {
		f := &list[i]
		kept := f.Severity == finding.Note && f.Margin > 0 // inside its limit: there is nothing to help
		out.Entries = append(out.Entries, Remark{markOf(f), writes && !kept && mend.Helps(f.ID), writes && f.Signed == "" && check.Signable(f), *f})
	}
	return out
}

// Marked is what is asked about a finding: to look for its cure, or to write the one that was found.
type Marked struct {
	Mark string `json:"mark"`
}

// SignedFor is that a person answers for a finding.
type SignedFor struct {
	Mark   string `json:"mark"`
	Person string `json:"person"`
	Reason string `json:"reason"`
}

// Sought is a line of the answer to who looks for a cure: which change is tried, or what came of it.
type Sought struct {
	Try  int    `json:"try"` // from 1; 0 in the last line
	Of   int    `json:"of"`
	Cure *Cure  `json:"cure"`
	Text string `json:"text"` // why there is none
}

// Cure is a change of a file that takes a finding away.
type Cure struct {
	What  string `json:"what"`
	File  string `json:"file"`
	Costs string `json:"costs"` // what it takes from the show, "" for nothing worth a word
	Lines string `json:"lines"` // taken out and put in
}

var errOther = errors.New("the show changed since you looked: read the checks again")

// marked is the finding that is spoken of.
func (s *Server) marked(mark string) (finding.Finding, error) {
	now, _ := s.book.get()
	list := now.book.Findings()
	for i := range list {
		if markOf(&list[i]) == mark {
			return list[i], nil
		}
	}
	return finding.Finding{}, errOther
}

// proposals are the cures that were found last.
type proposals struct {
	mu   sync.Mutex
	list []proposal
}

type proposal struct {
	mark   string
	change mend.Change
}

// mostProposals are kept: each is a text or two.
const mostProposals = 8

func (p *proposals) keep(mark string, c mend.Change) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.list = append(p.list, proposal{mark, c})
	p.list = p.list[max(0, len(p.list)-mostProposals):]
}

func (p *proposals) of(mark string) (mend.Change, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for i := len(p.list) - 1; i >= 0; i-- {
		if p.list[i].mark == mark {
			return p.list[i].change, true
		}
	}
	return mend.Change{}, false
}

// slowCure is how long a search may take.
const slowCure = 15 * time.Minute

// cure looks for what takes a finding away, and tells as it goes: lines of JSON. Who asked ends the
// search by going away.
func (s *Server) cure(w http.ResponseWriter, r *http.Request) {
	if s.writer == nil {
		notWritten(w)
		return
	}
	var m Marked
	takes(w, r, &m, func() error {
		f, err := s.marked(m.Mark)
		if err != nil {
			return err
		}
		asIs(w)
		w.Header().Set("Content-Type", "application/x-ndjson")
		on := http.NewResponseController(w)
		_ = on.SetReadDeadline(time.Time{}) // that of an order would end the search
		_ = on.SetWriteDeadline(time.Now().Add(slowCure))
		line := func(v Sought) {
			writeJSON(w, v)
			_ = on.Flush() // who went away is seen by the context
		}
		c, err := s.writer.Cure(r.Context(), f, func(n, of int) { line(Sought{Try: n, Of: of}) })
		if err != nil {
			line(Sought{Text: err.Error()})
			return nil
		}
		s.proposed.keep(m.Mark, *c)
		line(Sought{Cure: &Cure{c.What, c.File, c.Cost.String(), c.Lines()}})
		return nil
	})
}

// cured writes the cure that was found.
func (s *Server) cured(w http.ResponseWriter, r *http.Request) {
	var m Marked
	s.writes(w, r, &m, func() (ledger.Entry, error) {
		c, ok := s.proposed.of(m.Mark)
		if _, err := s.marked(m.Mark); err != nil || !ok {
			return ledger.Entry{}, errOther
		}
		return s.writer.Rewrite(r.Context(), whoAsks(r).Name, c.What, c.File, c.Before, c.After)
	})
}

// signs writes that a person answers for a finding.
func (s *Server) signs(w http.ResponseWriter, r *http.Request) {
	var o SignedFor
	s.writes(w, r, &o, func() (ledger.Entry, error) {
		f, err := s.marked(o.Mark)
		if err != nil {
			return ledger.Entry{}, err
		}
		return s.writer.Sign(r.Context(), whoAsks(r).Name, f, o.Person, o.Reason, time.Now())
	})
}
