package web

import (
	"context"
	"net/http"

	"lampblack/showreport"
)

// Nights are the nights of the show that are written down.
type Nights interface {
	Nights() []string // by their dates, the oldest first
	// Report is what a night came to. It takes a second, and is asked for by one page at a
	// time.
	Report(ctx context.Context, night string) (NightReport, error)
}

// NightReport is what a night came to.
type NightReport struct {
	Report *showreport.Report `json:"report"`
	Since  []string           `json:"since"` // what was another in the night before
}

func (s *Server) listNights(w http.ResponseWriter, _ *http.Request) {
	names := []string{}
	if s.nights != nil {
		names = append(names, s.nights.Nights()...)
	}
	writeJSON(w, names)
}

// night answers what a night came to: ?night=DATE.
func (s *Server) night(w http.ResponseWriter, r *http.Request) {
	if s.nights == nil {
		http.Error(w, "no night is written down here", http.StatusNotFound)
		return
	}
	s.reporting.Lock()
	defer s.reporting.Unlock()
	if r.Context().Err() != nil {
		return // the page that waited has gone
	}
	n, err := s.nights.Report(r.Context(), r.URL.Query().Get("night"))
	if err != nil {
		http.Error(w, err.Error(), http.StatusUnprocessableEntity)
		return
	}
	n.Since = list(n.Since)
	writeJSON(w, n)
}
