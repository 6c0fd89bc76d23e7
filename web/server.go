package web

import (
	"errors"
	"fmt"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"lampblack/check/finding"
	"lampblack/show"
	"lampblack/web/admit"
	"lampblack/web/page"
)

// Options say what the book shows. Show is required.
type Options struct {
	Show     *show.Show
	Findings []finding.Finding
	// Control, when not nil, is the run that the Night page may steer. Without
	// it every write is refused.
	Control Control
	// Hands, when not nil, are the lamps of that run.
	Hands Hands
	// Sounds, when not nil, is what is heard of it.
	Sounds Sounds
	// Doors, when not nil, is the round before doors.
	Doors Doors
	// Seats, when not nil, measures sound against light in the hall.
	Seats Seats
	// Nights, when not nil, are those that are written down.
	Nights Nights
	// Gate knows who may come; without one nobody may.
	Gate *admit.Gate
	// Guest is where other machines come, host and port as a browser's Host has them; "" for
	// nowhere. Sealed tells that they come by TLS.
	Guest  string
	Sealed bool
	// Begins tells that a start page is served at the same address.
	Begins bool
}

// Server serves the book of one show. It is safe for use by many goroutines. What it was
// made with does not change after New; playhead and book are mailboxes.
type Server struct {
	control  Control
	hands    Hands
	sounds   Sounds
	doors    Doors
	nights   Nights
	writer   Writer
	track    atomic.Pointer[Track]
	pieces   Pieces
	runner   Runner
	tickets  tickets
	proposed proposals
	seats    Seats
	gate     *admit.Gate
	guest    string
	sealed   bool
	begins   bool
	own      http.Handler // of this computer
	guests   http.Handler // of other machines
	playhead *news[report]
	book     *news[edition]
	close    sync.Once
	closed   chan struct{}

	followers atomic.Int32 // streams of events that are open
	reporting sync.Mutex   // one report of a night at a time
	papering  sync.Mutex   // one PDF of papers at a time
}

// edition is a book with its name; pages load again when the name is another.
// The name holds a number, for changes that do not show in the contents, and a
// hash of the contents, for programs that follow one another at one address.
type edition struct {
	number int
	name   string
	book   *page.Book
}

// newEdition names a book. Six octets of the hash are enough to tell one show's
// editions apart.
func newEdition(number int, b *page.Book) edition {
	sum := b.Sum()
	return edition{number, fmt.Sprintf("%d-%x", number, sum[:6]), b}
}

// of is the name of the edition as somebody has it.
func (e edition) of(who admit.Who) string {
	if who.Right.Owner() {
		return e.name
	}
	return e.name + "-" + string(who.Right)
}

// New returns a server for the show.
func New(o Options) (*Server, error) {
	if o.Show == nil {
		return nil, errors.New("web: there is no show to serve")
	}
	s := &Server{
		control:  o.Control,
		hands:    o.Hands,
		sounds:   o.Sounds,
		doors:    o.Doors,
		nights:   o.Nights,
		seats:    o.Seats,
		gate:     o.Gate,
		guest:    o.Guest,
		sealed:   o.Sealed,
		begins:   o.Begins,
		playhead: newNews(report{}),
		closed:   make(chan struct{}),
	}
	s.book = newNews(newEdition(1, page.New(o.Show, o.Findings)))
	if s.gate == nil {
		s.gate = admit.New(admit.Options{})
	}
	s.own, s.guests = compressed(s.routes(false)), compressed(s.routes(true))
	return s, nil
}

// Writes lets pages change the texts of the show. It is called before anything is served.
func (s *Server) Writes(w Writer) { s.writer = w }

// Handler answers everything under / to this computer: it is for a listener on a loopback
// address alone.
func (s *Server) Handler() http.Handler { return s.own }

// Guests answers everything under / to other machines.
func (s *Server) Guests() http.Handler { return s.guests }

// SetPlayhead tells all open pages where the run is. The newest wins; it
// never waits for a page.
func (s *Server) SetPlayhead(p Playhead) {
	if p.Stage.Zones == nil {
		p.Stage.Zones = []ZoneLine{} // pages go through them: null is none of a list
	}
	if p.Stage.Triggers == nil {
		p.Stage.Triggers = []string{}
	}
	s.playhead.set(report{p, time.Now()})
}

// Replace puts another show in the place of the one that is served, as after
// a change of its files; open pages load it.
func (s *Server) Replace(sh *show.Show, findings []finding.Finding) {
	next := page.New(sh, findings)
	s.book.update(func(old edition) edition { return newEdition(old.number+1, next) })
}

// Close ends the streams of events, so that an http.Server can shut down.
func (s *Server) Close() error {
	s.close.Do(func() { close(s.closed) })
	return nil
}
