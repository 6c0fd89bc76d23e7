package web

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"

	"lampblack/doors"
)

// Doors is the round before doors, as the page asks for it. Errors are for the person who
// asked.
type Doors interface {
	Round() Round
	Ask()                                                 // the computer, anew; takes some seconds
	Try(id string) error                                  // a lamp pulses, a loudspeaker sounds
	Tick(id string, state doors.State, note string) error // what a person has seen
	TakeOut(id, why string) error                         // a lamp, for tonight
	Rest() error                                          // no lamp pulses any more
	Finish() error                                        // what it came to goes into the night's report
}

// Round is how the round stands.
type Round struct {
	Items   []doors.Item `json:"items"`
	Sum     string       `json:"sum"`
	Written string       `json:"written"` // what is in the night's report, "" for nothing
}

// Tick is what the page sends of an item.
type Tick struct {
	ID    string      `json:"id"`
	State doors.State `json:"state"`
	Note  string      `json:"note"`
}

// round answers how the round before doors stands.
func (s *Server) round(w http.ResponseWriter, _ *http.Request) {
	now := Round{Items: []doors.Item{}}
	if s.doors != nil {
		now = s.doors.Round()
	}
	writeJSON(w, now)
}

// onRound does what the page asks for in the round, and answers how it then stands.
func (s *Server) onRound(w http.ResponseWriter, r *http.Request) {
	if s.doors == nil {
		s.round(w, r)
		return
	}
	var t Tick
	text, err := io.ReadAll(r.Body)
	if err == nil && len(text) > 0 {
		err = json.Unmarshal(text, &t)
	}
	if err != nil {
		http.Error(w, fmt.Sprintf("this cannot be read: %v", err), http.StatusBadRequest)
		return
	}
	switch do := r.PathValue("do"); do {
	case "ask":
		s.doors.Ask()
	case "try":
		err = s.doors.Try(t.ID)
	case "tick":
		err = s.doors.Tick(t.ID, t.State, t.Note)
	case "out":
		err = s.doors.TakeOut(t.ID, t.Note)
	case "rest":
		err = s.doors.Rest()
	case "finish":
		err = s.doors.Finish()
	default:
		http.Error(w, fmt.Sprintf("there is no order %q", do), http.StatusNotFound)
		return
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusUnprocessableEntity)
		return
	}
	s.round(w, r)
}

// Followers is how many browsers are told where the run is.
func (s *Server) Followers() int { return int(s.followers.Load()) }
