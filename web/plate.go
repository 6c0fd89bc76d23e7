package web

import (
	"fmt"
	"net/http"
	"strconv"
)

// plan answers a drawing of the room from above: ?at=S&of=lux or uv.
func (s *Server) plan(w http.ResponseWriter, r *http.Request) {
	at, err := secondsIn(r, "at")
	of := r.URL.Query().Get("of")
	if err == nil && of != "lux" && of != "uv" {
		err = fmt.Errorf("of %q should be lux or uv", of)
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	now, _ := s.book.get()
	svg, err := now.book.Plan(r.Context(), at, of == "uv")
	drawn(w, svg, err)
}

// plot answers the lighting plan.
func (s *Server) plot(w http.ResponseWriter, r *http.Request) {
	now, _ := s.book.get()
	svg, err := now.book.Plot()
	drawn(w, svg, err)
}

// gamut answers the chromaticities that the rig reaches, with ?look=N also
// those that a look asks for.
func (s *Server) gamut(w http.ResponseWriter, r *http.Request) {
	look := -1
	if text := r.URL.Query().Get("look"); text != "" {
		var err error
		if look, err = strconv.Atoi(text); err != nil {
			http.Error(w, fmt.Sprintf("look %q should be a number", text), http.StatusBadRequest)
			return
		}
	}
	now, _ := s.book.get()
	svg, err := now.book.Gamut(look)
	drawn(w, svg, err)
}

func drawn(w http.ResponseWriter, svg []byte, err error) {
	switch {
	case err != nil:
		http.Error(w, err.Error(), http.StatusInternalServerError)
	case svg == nil:
		http.Error(w, "the room has no size, or was not solved", http.StatusNotFound)
	default:
		w.Header().Set("Content-Type", "image/svg+xml")
		w.Write(svg)
	}
}
