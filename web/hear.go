package web

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"io"
	"net/http"
	"path"
	"slices"
	"sync"
	"time"

	"lampblack/web/admit"
)

// Track is the sound of the book's piece, to be heard in the pages that rehearse it.
type Track interface {
	// Open opens the file; name tells what kind it is.
	Open(ctx context.Context) (sound io.ReadSeekCloser, name string, err error)
}

// Ticket is where a page may read the sound: browsers ask for it by themselves, piece by piece,
// and sign nothing. So whoever may read gets an address that nobody can guess.
type Ticket struct {
	Path string `json:"path"`
}

// Tickets are kept for a working day, and so many at once.
const (
	ticketFor   = 12 * time.Hour
	mostTickets = 64
)

// tickets are the addresses by which the sound may be read.
type tickets struct {
	mu   sync.Mutex
	list []ticket
}

type ticket struct {
	name string
	who  admit.Who
	ends time.Time
}

func (t *tickets) give(who admit.Who, now time.Time) string {
	var b [24]byte
	_, _ = rand.Read(b[:]) // never fails
	name := base64.RawURLEncoding.EncodeToString(b[:])
	t.mu.Lock()
	defer t.mu.Unlock()
	t.list = append(t.list, ticket{name, who, now.Add(ticketFor)})
	if n := len(t.list) - mostTickets; n > 0 {
		t.list = slices.Delete(t.list, 0, n)
	}
	return name
}

// good tells whether an address is one, and whoever it was given to still may.
func (t *tickets) good(name string, now time.Time) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	i := slices.IndexFunc(t.list, func(k ticket) bool { return k.name == name && now.Before(k.ends) })
	if i < 0 {
		return false
	}
	select {
	case <-t.list[i].who.Gone: // a nil one never answers
		return false
	default:
		return true
	}
}

// Hears lets pages play the sound of the book's piece; nil is none.
func (s *Server) Hears(t Track) {
	if t == nil {
		s.track.Store(nil)
		return
	}
	s.track.Store(&t)
}

// hears tells whether pages can play the sound: the lines of the book and of the sound must be one.
func (s *Server) hears() bool {
	now, _ := s.book.get()
	return s.track.Load() != nil && now.book.OneLine()
}

// ticket answers where the sound is.
func (s *Server) ticket(w http.ResponseWriter, r *http.Request) {
	if !s.hears() {
		http.Error(w, "this book has no sound that could be played here: it has none, waits stand in it, or it is of several pieces", http.StatusConflict)
		return
	}
	writeJSON(w, Ticket{"/heard/" + s.tickets.give(whoAsks(r), time.Now())})
}

// slowSound is how long a browser may take to read what it asked for: it reads ahead, and then
// as fast as it plays.
const slowSound = 15 * time.Minute

// heard answers the sound, or a piece of it (RFC 9110, 14).
func (s *Server) heard(w http.ResponseWriter, r *http.Request) {
	track := s.track.Load()
	if track == nil || !s.tickets.good(r.PathValue("ticket"), time.Now()) {
		http.NotFound(w, r)
		return
	}
	f, name, err := (*track).Open(r.Context())
	if err != nil {
		http.Error(w, err.Error(), http.StatusNotFound)
		return
	}
	defer f.Close()
	_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(slowSound))
	if kind, ok := soundKinds[path.Ext(name)]; ok {
		w.Header().Set("Content-Type", kind)
	}
	w.Header().Set("Cache-Control", "no-store")
	http.ServeContent(w, r, "", time.Time{}, f)
}

// soundKinds are the media types of sound files, as browsers know them.
var soundKinds = map[string]string{
	".wav": "audio/wav", ".flac": "audio/flac", ".mp3": "audio/mpeg", ".ogg": "audio/ogg", ".oga": "audio/ogg", ".opus": "audio/ogg",
	".m4a": "audio/mp4", ".aac": "audio/aac",
}
