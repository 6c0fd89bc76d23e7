package web

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"lampblack/check/finding"
	"lampblack/si"
)

// Runner runs the show of the book, in a program of its own.
type Runner interface {
	// Begin begins a run, and answers with the link to its Night page when that is there.
	Begin(ctx context.Context) (link string, err error)
	End() error
	Now() RunNow
}

// RunNow is what there is of a run that was begun from these pages.
type RunNow struct {
	Runs bool   `json:"runs"` // one can be begun
	On   bool   `json:"on"`
	Link string `json:"link"` // to its Night page
	Said string `json:"said"` // what the last one said that failed
}

// Runs lets the owner begin a run from the pages. It is called before anything is served.
func (s *Server) Runs(r Runner) { s.runner = r }

func (s *Server) runNow(w http.ResponseWriter, r *http.Request) {
	var now RunNow
	if s.runner != nil && whoAsks(r).Right.Owner() {
		now = s.runner.Now()
		now.Runs = true
	}
	writeJSON(w, now)
}

// slowBegin is how long a run may take to begin.
const slowBegin = 4 * time.Minute

// onRun begins a run, or ends it.
func (s *Server) onRun(w http.ResponseWriter, r *http.Request) {
	if s.runner == nil {
		http.Error(w, "no run can be begun from these pages: they follow one", http.StatusConflict)
		return
	}
	on := http.NewResponseController(w)
	_ = on.SetReadDeadline(time.Time{}) // that of an order would end it
	_ = on.SetWriteDeadline(time.Now().Add(slowBegin))
	takes(w, r, nil, func() error {
		switch do := r.PathValue("do"); do {
		case "begin":
			now, _ := s.book.get()
			if n := len(finding.Stops(now.book.Findings())); n > 0 {
				return fmt.Errorf("%s it: mend that, or answer for it, on the Checks page", si.Count(n, "finding stops", "findings stop"))
			}
			if _, err := s.runner.Begin(r.Context()); err != nil {
				return err
			}
		case "end":
			if err := s.runner.End(); err != nil {
				return err
			}
		default:
			return fmt.Errorf("a run is begun or ended, and not %q", do)
		}
		now := s.runner.Now()
		now.Runs = true
		writeJSON(w, now)
		return nil
	})
}
