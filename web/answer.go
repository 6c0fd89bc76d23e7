package web

import (
	"cmp"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"lampblack/web/admit"
	"lampblack/web/page"
)

// show answers what a page is first sent. The edition is the server's, not the
// book's, as the same book may be served twice, and the reader's: what one may do changes
// the page.
func (s *Server) show(w http.ResponseWriter, r *http.Request) {
	now, _ := s.book.get()
	contents := now.book.Contents()
	who := whoAsks(r)
	contents.Edition, contents.Steerable = now.of(who), s.control != nil && who.Right.May(admit.RunsShow)
	contents.Rescues = s.control != nil && who.Right.May(admit.Rescues)
	contents.Plays = s.hears()
	contents.Writes = s.writer != nil && who.Right.May(admit.Writes)
	contents.Reader, contents.Right, contents.Owner = who.Name, string(who.Right), who.Right.Owner()
	writeJSON(w, contents)
}

// span answers what stands beside some seconds of the show: ?from=S&to=S.
func (s *Server) span(w http.ResponseWriter, r *http.Request) {
	from, err := secondsIn(r, "from")
	to, err2 := secondsIn(r, "to")
	now, _ := s.book.get()
	var out page.Span
	if err = cmp.Or(err, err2); err == nil {
		out, err = now.book.Span(from, to)
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	writeJSON(w, out)
}

// part answers a part of the book that one page alone wants.
func part[T any](s *Server, of func(*page.Book) T) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		now, _ := s.book.get()
		writeJSON(w, of(now.book))
	}
}

// light answers the ribbons of a piece of the show. How many steps one answer may have
// is package page's to say.
func (s *Server) light(w http.ResponseWriter, r *http.Request) {
	now, _ := s.book.get()
	s.lightOf(w, r, now.book)
}

func (s *Server) lightOf(w http.ResponseWriter, r *http.Request, of *page.Book) {
	var t [3]time.Duration
	for i, name := range []string{"from", "to", "step"} {
		var err error
		if t[i], err = secondsIn(r, name); err != nil {
			http.Error(w, err.Error(), http.StatusBadRequest)
			return
		}
	}
	b, err := of.Light(t[0], t[1], t[2])
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	writeBytes(w, b)
}

// room answers the light on every place, at a time, under a look, or as the lamps shine now. The bytes are those
// of page.Book.Room; a page asks for the next when it has drawn the last, so nothing is
// streamed.
func (s *Server) room(w http.ResponseWriter, r *http.Request) {
	now, _ := s.book.get()
	if text := r.URL.Query().Get("look"); text != "" {
		look, err := strconv.Atoi(text)
		b := now.book.RoomUnder(look)
		if err != nil || b == nil {
			http.Error(w, fmt.Sprintf("look %q is none of the show's", text), http.StatusNotFound)
			return
		}
		writeBytes(w, b)
		return
	}
	if r.URL.Query().Has("now") {
		var levels []float32
		if s.hands != nil {
			levels = s.hands.Lamps().Levels
		}
		writeBytes(w, now.book.RoomAt(levels))
		return
	}
	at, err := secondsIn(r, "at")
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	writeBytes(w, now.book.Room(at))
}

// readings answers the light on surfaces, on objects and at eyes: ?at=S.
func (s *Server) readings(w http.ResponseWriter, r *http.Request) {
	at, err := secondsIn(r, "at")
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	now, _ := s.book.get()
	writeJSON(w, now.book.Readings(at))
}

// writeJSON answers with a value.
func writeJSON(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json")
	json.NewEncoder(w).Encode(v) // an error here is a page that went away
}

// writeBytes answers with numbers as they lie in memory, little-endian.
func writeBytes(w http.ResponseWriter, b []byte) {
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Content-Length", strconv.Itoa(len(b)))
	w.Write(b)
}

// longest is the longest show that times may point into.
const longest = 48 * time.Hour

// secondsIn reads a time in seconds from the query. Written so that "NaN" is refused
// too; to a microsecond, as pages reckon in floating point.
func secondsIn(r *http.Request, name string) (time.Duration, error) {
	text := r.URL.Query().Get(name)
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= 0 && v <= longest.Seconds()) {
		return 0, fmt.Errorf("%s %q should be a time in seconds, 0 to %.0f", name, text, longest.Seconds())
	}
	return time.Duration(v * float64(time.Second)).Round(time.Microsecond), nil
}

// order passes one order of the Night page to the run. An order is only passed on: what
// comes of it, pages learn by the events, as everybody else does.
func (s *Server) order(w http.ResponseWriter, r *http.Request) {
	if s.control == nil {
		notRunning(w)
		return
	}
	switch name := r.PathValue("order"); name {
	case "hold":
		s.control.Hold()
	case "go":
		s.control.Go()
	case "skip":
		s.control.Skip()
	case "back":
		s.control.Back()
	case "press":
		s.control.Press(r.URL.Query().Get("trigger"))
	case "lights-up":
		s.control.LightsUp()
	case "lights-down":
		s.control.LightsDown()
	case "alarm-reset":
		s.control.ResetAlarm()
	case "edit-now", "edit-at-cue", "edit-not", "edit-back":
		do := map[string]string{"edit-now": "now", "edit-at-cue": "at cue", "edit-not": "not tonight", "edit-back": "back"}[name]
		if why := s.control.Edit(do); why != "" {
			http.Error(w, why, http.StatusConflict)
			return
		}
	case "seek":
		to, err := secondsIn(r, "to")
		if err != nil {
			http.Error(w, err.Error(), http.StatusBadRequest)
			return
		}
		s.control.Seek(to)
	default:
		http.Error(w, fmt.Sprintf("%q is no order: hold, go, skip, back, lights-up, lights-down, alarm-reset, edit-now, edit-at-cue, edit-not, edit-back, seek or press", name), http.StatusNotFound)
		return
	}
	w.WriteHeader(http.StatusNoContent)
}
