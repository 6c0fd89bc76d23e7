package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"sync/atomic"

	"lampblack/begin"
	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/room"
	"lampblack/web/admit"
)

// Start serves the page that the program opens with, the questions to a new show, and, behind both,
// the book of the show that was opened last. It is safe for use by many goroutines.
type Start struct {
	gate  *admit.Gate
	guide *begin.Guide
	own   http.Handler
	book  atomic.Pointer[openBook]
}

// openBook is a book that is served.
type openBook struct {
	dir     string
	answers http.Handler
}

// NewStart returns the pages of a guide, for this computer's user alone.
func NewStart(gate *admit.Gate, guide *begin.Guide) *Start {
	s := &Start{gate: gate, guide: guide}
	s.own = compressed(s.routes())
	return s
}

// mostPiece bounds a piece of a sound, octets.
const mostPiece = 2 << 20

func (s *Start) routes() http.Handler {
	e := &entrance{s.gate, "", false, mostPiece, http.NewServeMux()}
	e.open("GET /begin", s.page("Shows", "begin"))
	e.open("GET /begin/show", s.page("A new show", "questions"))
	e.open("GET /built/{name}", http.HandlerFunc(script))
	e.does("GET /api/begin/shows", admit.Owns, s.shows)
	e.does("GET /api/begin/show", admit.Owns, s.show)
	for path, do := range map[string]func(r *http.Request, in *Told) (any, error){
		"new": s.begun, "open": s.opened, "demo": s.demo, "answer": s.answer, "table": s.table, "lamp": s.lamp,
		"places": s.places, "listen": s.listen, "stop": s.stop, "finish": s.finish, "undo": s.undone, "redo": s.redone,
	} {
		e.does("POST /api/begin/"+path, admit.Owns, told(do))
	}
	e.does("PUT /api/begin/sound", admit.Owns, s.sound)
	return e
}

// SetBook has a book served: everything that is not the start's own.
func (s *Start) SetBook(dir string, answers http.Handler) { s.book.Store(&openBook{dir, answers}) }

// Handler answers everything under / to this computer.
func (s *Start) Handler() http.Handler { return s }

func (s *Start) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	b, path := s.book.Load(), r.URL.Path
	mine := path == "/begin" || strings.HasPrefix(path, "/begin/") || strings.HasPrefix(path, "/api/begin/") || strings.HasPrefix(path, "/built/")
	switch {
	case mine:
		s.own.ServeHTTP(w, r)
	case b != nil:
		b.answers.ServeHTTP(w, r)
	case path == "/" && r.Method == http.MethodGet:
		http.Redirect(w, r, "/begin", http.StatusSeeOther)
	default:
		s.own.ServeHTTP(w, r)
	}
}

// Shows are what there is to begin with.
type Shows struct {
	Recent []begin.Recent `json:"recent"`
	Demos  []begin.Demo   `json:"demos"`
	Home   string         `json:"home"` // where new shows are put
	Open   string         `json:"open"` // the folder of the show whose book is open, "" for none
	Works  []begin.Work   `json:"works"`
}

// Asking is how the questions to a show stand.
type Asking struct {
	Dir      string         `json:"dir"`
	Answers  *begin.Answers `json:"answers"`
	Works    []begin.Work   `json:"works"`
	Kinds    []begin.Kind   `json:"kinds"`
	Systems  []string       `json:"systems"`
	Paints   []string       `json:"paints"`
	Material []string       `json:"materials"`
	Undo     string         `json:"undo"` // what would be taken back, "" for nothing
	Redo     string         `json:"redo"`
}

// Told is what a page tells.
type Told struct {
	Dir    string        `json:"dir"`
	Name   string        `json:"name"`
	In     string        `json:"in"`
	Kind   string        `json:"kind"`
	Text   string        `json:"text"`
	Seen   string        `json:"seen"`
	Asked  int           `json:"asked"`
	Answer begin.Answers `json:"answer"`
}

// Begun is where a show is.
type Begun struct {
	Dir string `json:"dir"`
}

// shows answers what there is: ?dir=FOLDER asks for what goes on there as well.
func (s *Start) shows(w http.ResponseWriter, r *http.Request) {
	out := Shows{Recent: s.guide.Recents(r.Context()), Demos: begin.Demos(), Home: s.guide.Home(), Works: s.guide.Works(r.URL.Query().Get("dir"))}
	if b := s.book.Load(); b != nil {
		out.Open = b.dir
	}
	writeJSON(w, out)
}

// show answers how the questions to a show stand: ?dir=FOLDER.
func (s *Start) show(w http.ResponseWriter, r *http.Request) {
	out, err := s.asking(r, r.URL.Query().Get("dir"))
	answered(w, out, err)
}

func (s *Start) asking(r *http.Request, dir string) (*Asking, error) {
	if !begin.IsShow(dir) {
		return nil, errNoShow
	}
	f, err := folder.Open(r.Context(), dir)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	a, err := begin.Read(r.Context(), dir)
	if err != nil {
		return nil, err
	}
	log, err := ledger.Read(r.Context(), dir, 1)
	if err != nil {
		return nil, err
	}
	out := &Asking{Dir: dir, Answers: a, Works: s.guide.Works(dir), Kinds: begin.Kinds(f), Systems: begin.Systems, Paints: begin.Paints(), Material: room.MaterialNames()}
	if log.Undo != nil && log.Undo.Number > 1 { // the first begins the show
		out.Undo = log.Undo.What
	}
	if log.Redo != nil {
		out.Redo = log.Redo.What
	}
	return out, nil
}

var errNoShow = begin.Unfit{Text: "there is no show in this folder any more"}

// told reads what a page tells, and answers with what came of it.
func told(do func(r *http.Request, in *Told) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		var in Told
		if err := json.NewDecoder(io.LimitReader(r.Body, mostOrder)).Decode(&in); err != nil {
			http.Error(w, fmt.Sprintf("this cannot be read: %v", err), http.StatusBadRequest)
			return
		}
		out, err := do(r, &in)
		answered(w, out, err)
	}
}

// answered answers with a value, or why there is none: 409 where somebody else was faster.
func answered(w http.ResponseWriter, out any, err error) {
	switch {
	case errors.Is(err, begin.ErrChanged):
		http.Error(w, err.Error(), http.StatusConflict)
	case err != nil:
		http.Error(w, err.Error(), http.StatusUnprocessableEntity)
	default:
		writeJSON(w, out)
	}
}

// begun begins a show.
func (s *Start) begun(r *http.Request, in *Told) (any, error) {
	dir, err := s.guide.New(r.Context(), whoAsks(r).Name, in.In, in.Name, in.Answer.What)
	switch {
	case errors.Is(err, begin.ErrShow):
		err = begin.Unfit{Text: "there is a show in this folder already: open it, or give this one another name"}
	case errors.Is(err, begin.ErrOther):
		err = begin.Unfit{Text: "there is something else in this folder already: give the show another name"}
	}
	return Begun{dir}, err
}

// opened has the book of a show opened, or, where it is only begun, tells so by no work.
func (s *Start) opened(_ *http.Request, in *Told) (any, error) {
	return Begun{in.Dir}, s.guide.Open(in.Dir)
}

func (s *Start) demo(_ *http.Request, in *Told) (any, error) {
	dir, err := s.guide.Demo(in.Kind, in.In, in.Name)
	if errors.Is(err, begin.ErrOther) {
		err = begin.Unfit{Text: "there is something else in this folder already: give it another name"}
	}
	return Begun{dir}, err
}

// answer writes an answer, and says how all of them then stand.
func (s *Start) answer(r *http.Request, in *Told) (any, error) {
	err := begin.Put(r.Context(), in.Dir, whoAsks(r).Name, begin.Question(in.Asked), in.Seen, &in.Answer)
	if err != nil && !errors.Is(err, ledger.ErrUnchanged) {
		return nil, err
	}
	return s.asking(r, in.Dir)
}

// table reads a slot table, and lamp keeps what was read.
func (s *Start) table(_ *http.Request, in *Told) (any, error) { return begin.ReadTable(in.Text) }

func (s *Start) lamp(r *http.Request, in *Told) (any, error) {
	if err := begin.KeepTable(r.Context(), in.Dir, whoAsks(r).Name, in.Name, in.Text); err != nil {
		return nil, err
	}
	return s.asking(r, in.Dir)
}

func (s *Start) places(r *http.Request, in *Told) (any, error) {
	return Begun{in.Dir}, s.guide.Propose(in.Dir, whoAsks(r).Name)
}

func (s *Start) listen(_ *http.Request, in *Told) (any, error) {
	return Begun{in.Dir}, s.guide.Listen(in.Dir)
}

func (s *Start) stop(_ *http.Request, in *Told) (any, error) {
	s.guide.Stop(in.Dir, in.Kind)
	return Begun{in.Dir}, nil
}

func (s *Start) finish(r *http.Request, in *Told) (any, error) {
	return Begun{in.Dir}, s.guide.Finish(in.Dir, whoAsks(r).Name)
}

func (s *Start) undone(r *http.Request, in *Told) (any, error) { return s.turned(r, in, false) }
func (s *Start) redone(r *http.Request, in *Told) (any, error) { return s.turned(r, in, true) }

func (s *Start) turned(r *http.Request, in *Told, again bool) (any, error) {
	if _, err := s.guide.Back(r.Context(), in.Dir, whoAsks(r).Name, again); err != nil {
		return nil, err
	}
	return s.asking(r, in.Dir)
}

// sound takes a piece of a sound: ?dir=FOLDER&name=NAME&size=OCTETS&at=OCTETS.
func (s *Start) sound(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	size, err := strconv.ParseInt(q.Get("size"), 10, 64)
	at, err2 := strconv.ParseInt(q.Get("at"), 10, 64)
	if err = errors.Join(err, err2); err != nil {
		http.Error(w, "a piece of a sound says how long all of it is, and where it stands", http.StatusBadRequest)
		return
	}
	data, err := io.ReadAll(r.Body) // bounded by the entrance
	if err == nil {
		err = s.guide.Sound(r.Context(), q.Get("dir"), whoAsks(r).Name, q.Get("name"), size, at, data)
	}
	answered(w, Begun{q.Get("dir")}, err)
}
