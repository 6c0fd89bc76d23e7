package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"time"
)

// eventGap is the least time between two playheads to one page: the page
// moves on by itself in between.
const eventGap = 100 * time.Millisecond

// alive is how often a stream speaks when there is nothing to say, so that a
// page can tell a quiet run from a dead one.
const alive = time.Second

// events streams the playhead, newest wins, and tells of new editions.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(w)
	beat := time.NewTicker(alive)
	defer beat.Stop()
	var pause <-chan time.Time
	edition := 0
	for {
		head, moved := s.playhead.get()
		book, replaced := s.book.get()
		if book.number != edition {
			edition = book.number
			fmt.Fprintf(w, "event: show\ndata: %d\n\n", edition)
		}
		text, err := json.Marshal(head)
		if err != nil {
			return // a playhead of NaN or Inf: nothing a page could show
		}
		fmt.Fprintf(w, "event: playhead\ndata: %s\n\n", text)
		if out.Flush() != nil {
			return
		}
		pause = time.After(eventGap)
		select {
		case <-pause:
		case <-r.Context().Done():
			return
		case <-s.closed:
			return
		}
		select {
		case <-moved:
		case <-replaced:
		case <-beat.C:
		case <-r.Context().Done():
			return
		case <-s.closed:
			return
		}
	}
}
