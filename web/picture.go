package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"

	"lampblack/plate"
	"lampblack/show"
	"lampblack/web/page"
)

// picture answers the room as somebody sees it, as pixels: ?from=EYE&width=W&height=H&of=WAY&as=WHO of
// the light of ?at=S, of ?look=N, of ?unit=NAME alone at full, or of ?now=yes. With ?was=KEY, of the picture that the page
// has, it answers 204 when that is the same.
func (s *Server) picture(w http.ResponseWriter, r *http.Request) {
	now, _ := s.book.get()
	s.pictureOf(w, r, now.book)
}

func (s *Server) pictureOf(w http.ResponseWriter, r *http.Request, b *page.Book) {
	n, wanted, err := s.asked(r, b)
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	d, err := b.Picture(r.Context(), n, wanted, r.URL.Query().Get("was"))
	switch {
	case err != nil:
		http.Error(w, err.Error(), http.StatusBadRequest)
	case d.Pixels == nil:
		w.WriteHeader(http.StatusNoContent)
	default:
		writePicture(w, d)
	}
}

func writePicture(w http.ResponseWriter, d page.Drawn) {
	asIs(w)
	w.Header().Set("Picture-Key", d.Key)
	w.Header().Set("Picture-Says", url.PathEscape(d.Says))
	writeBytes(w, d.Pixels)
}

// provisional answers the picture that is asked for with lamps where a hand moves them, or the room as it changes it.
func (s *Server) provisional(w http.ResponseWriter, r *http.Request, b *page.Book, f *show.Files, ofRoom bool) error {
	n, wanted, err := s.asked(r, b)
	if err != nil {
		return err
	}
	var d page.Drawn
	if ofRoom {
		d, err = b.Glimpse(r.Context(), f, n, wanted)
	} else {
		d, err = b.Provisional(r.Context(), f.Rig, n, wanted)
	}
	if err != nil {
		return err
	}
	w.Header().Set("Picture-Provisional", "yes")
	writePicture(w, d)
	return nil
}

// pointed answers what is at ?x=X&y=Y, in pixels, of a picture.
func (s *Server) pointed(w http.ResponseWriter, r *http.Request) {
	now, _ := s.book.get()
	n, wanted, err := s.asked(r, now.book)
	x, errX := strconv.ParseFloat(r.URL.Query().Get("x"), 64)
	y, errY := strconv.ParseFloat(r.URL.Query().Get("y"), 64)
	for _, e := range []error{err, errX, errY} {
		if e != nil {
			http.Error(w, e.Error(), http.StatusBadRequest)
			return
		}
	}
	p, err := now.book.Pointed(r.Context(), n, wanted, x, y)
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	writeJSON(w, p)
}

// asked reads which light is meant, and which picture of it.
func (s *Server) asked(r *http.Request, b *page.Book) (n plate.Instant, out page.Wanted, err error) {
	q := r.URL.Query()
	for _, one := range []struct {
		name string
		to   *int
	}{{"from", &out.Eye}, {"width", &out.Width}, {"height", &out.Height}} {
		if *one.to, err = strconv.Atoi(q.Get(one.name)); err != nil {
			return n, out, fmt.Errorf("%s %q should be a whole number", one.name, q.Get(one.name))
		}
	}
	out.Of, out.As = page.Way(q.Get("of")), plate.As(q.Get("as"))
	if !b.Solved() {
		return n, out, fmt.Errorf("the room was not solved, so there is no picture of it")
	}
	switch {
	case q.Has("look"):
		look, err := strconv.Atoi(q.Get("look"))
		n, ok := b.Under(look)
		if err != nil || !ok {
			return n, out, fmt.Errorf("look %q is none of the show's", q.Get("look"))
		}
		return n, out, nil
	case q.Has("unit"):
		n, ok := b.Alone(q.Get("unit"))
		if !ok {
			return n, out, fmt.Errorf("there is no unit %q", q.Get("unit"))
		}
		return n, out, nil
	case q.Has("now"):
		var levels []float32
		if s.hands != nil {
			levels = s.hands.Lamps().Levels
		}
		return b.With(levels), out, nil
	}
	at, err := secondsIn(r, "at")
	if err != nil {
		return n, out, err
	}
	return b.At(at), out, nil
}

// without answers what looks lose without ?unit=NAME.
func (s *Server) without(w http.ResponseWriter, r *http.Request) {
	now, _ := s.book.get()
	writeJSON(w, now.book.Without(r.URL.Query().Get("unit")))
}
