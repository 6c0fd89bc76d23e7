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

// slowest is how long a page may take to read what it is told; the stream of one that is
// slower ends.
const slowest = 5 * time.Second

// events streams the playhead, newest wins, and tells of new editions.
//
// Two waits part the answers: eventGap always, so that no run can flood a page; then
// until something is new, or until it is time to say that the stream lives. A write
// that fails ends it, as the page has gone.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	who := whoAsks(r)
	end, err := s.gate.Stream(who)
	if err != nil {
		w.Header().Set("Retry-After", "5")
		http.Error(w, err.Error(), http.StatusServiceUnavailable)
		return
	}
	defer end()
	w.Header().Set("Content-Type", "text/event-stream")
	s.followers.Add(1)
	defer s.followers.Add(-1)
	out := http.NewResponseController(w)
	_ = out.SetReadDeadline(time.Time{})                     // that of an order is over soon, a stream is not
	defer func() { _ = out.SetWriteDeadline(time.Time{}) }() // the connection may be asked for more
	beat := time.NewTicker(alive)
	defer beat.Stop()
	var told Playhead
	edition := ""
	for first := true; ; first = false {
		_ = out.SetWriteDeadline(time.Now().Add(slowest)) // not every transport has one
		news, moved := s.playhead.get()
		book, replaced := s.book.get()
		if name := book.of(who); name != edition {
			edition = name
			fmt.Fprintf(w, "event: show\ndata: %s\n\n", edition)
		}
		head := news.at(time.Now())
		if text, err := json.Marshal(head); err == nil && (first || !reflect.DeepEqual(head, told)) {
			told = head
			fmt.Fprintf(w, "event: playhead\ndata: %s\n\n", text)
		} else {
			fmt.Fprint(w, "event: alive\ndata:\n\n")
		}
		if out.Flush() != nil || !s.pause(r, who.Gone, nil, nil, time.After(eventGap)) || !s.pause(r, who.Gone, moved, replaced, beat.C) {
			return
		}
	}
}

// pause waits until something happens and tells whether the stream goes on. A nil
// channel never answers, so it is left out.
func (s *Server) pause(r *http.Request, gone, moved, replaced <-chan struct{}, clock <-chan time.Time) bool {
	select {
	case <-gone:
		return false
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
