package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"reflect"
	"time"
)

// eventGap is the least time between two playheads to one page: the page
// moves on by itself in between.
const eventGap = 100 * time.Millisecond

// alive is how often a stream speaks when there is nothing to say, so that a
// page can tell a quiet run from a dead one.
const alive = time.Second

// events streams the playhead, newest wins, and tells of new editions.
//
// Two waits part the answers: eventGap always, so that no run can flood a page; then
// until something is new, or until it is time to say that the stream lives. A write
// that fails ends it, as the page has gone.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/event-stream")
	s.followers.Add(1)
	defer s.followers.Add(-1)
	out := http.NewResponseController(w)
	beat := time.NewTicker(alive)
	defer beat.Stop()
	var told Playhead
	edition := ""
	for first := true; ; first = false {
		news, moved := s.playhead.get()
		book, replaced := s.book.get()
		if book.name != edition {
			edition = book.name
			fmt.Fprintf(w, "event: show\ndata: %s\n\n", edition)
		}
		head := news.at(time.Now())
		if text, err := json.Marshal(head); err == nil && (first || !reflect.DeepEqual(head, told)) {
			told = head
			fmt.Fprintf(w, "event: playhead\ndata: %s\n\n", text)
		} else {
			fmt.Fprint(w, "event: alive\ndata:\n\n")
		}
		if out.Flush() != nil || !s.pause(r, nil, nil, time.After(eventGap)) || !s.pause(r, moved, replaced, beat.C) {
			return
		}
	}
}

// pause waits until something happens and tells whether the stream goes on. A nil
// channel never answers, so it is left out.
func (s *Server) pause(r *http.Request, moved, replaced <-chan struct{}, clock <-chan time.Time) bool {
	select {
	case <-moved:
	case <-replaced:
	case <-clock:
	case <-r.Context().Done():
		return false
	case <-s.closed:
		return false
	}
	return true
}
