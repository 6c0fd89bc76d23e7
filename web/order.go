package web

import (
	"net/http"

	"lampblack/show"
)

// Orders are the running orders of the show: one of an evening, or one of each zone; none of one piece.
type Orders struct {
	Piece  string       `json:"piece"` // that the book is open at; "" for the folder's own
	Orders []show.Turns `json:"orders"`
	Opens  bool         `json:"opens"` // the book can be opened at another piece
}

// Pieces are those of a show, of which the book shows one.
type Pieces interface {
	// Piece is the name of the one that the book is open at, the orders that they stand in, and whether it can be opened
	// at another.
	Piece() (name string, orders []show.Turns, opens bool)
	// Open opens the book at another: for everybody who reads it.
	Open(name string) error
}

// Pieces lets pages see the running orders. It is called before anything is served.
func (s *Server) Pieces(p Pieces) { s.pieces = p }

func (s *Server) runningOrder(w http.ResponseWriter, _ *http.Request) {
	out := Orders{Orders: []show.Turns{}}
	if s.pieces != nil {
		name, orders, opens := s.pieces.Piece()
		out = Orders{name, append(out.Orders, orders...), opens}
	}
	writeJSON(w, out)
}

// Opened is the piece that the book is to be opened at.
type Opened struct {
	Piece string `json:"piece"`
}

func (s *Server) openPiece(w http.ResponseWriter, r *http.Request) {
	if s.pieces == nil {
		http.Error(w, "this book is of one piece", http.StatusConflict)
		return
	}
	var o Opened
	takes(w, r, &o, func() error { return s.pieces.Open(o.Piece) })
}
