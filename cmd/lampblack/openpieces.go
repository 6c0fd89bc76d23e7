package main

import (
	"context"
	"errors"
	"slices"

	"lampblack/show"
	"lampblack/source"
)

// turns are the running orders of an evening, or of the zones of a place.
func (l *loaded) turns() []show.Turns {
	switch {
	case l.place != nil:
		return l.place.Turns()
	case l.evening != nil:
		return []show.Turns{{File: show.OrderFile, Steps: l.evening.Turns(false)}}
	}
	return nil
}

// bookPieces are those of the book's show.
type bookPieces struct {
	book *book
	ctx  context.Context
}

func (p *bookPieces) Piece() (name string, orders []show.Turns, opens bool) {
	return p.book.piece(), p.book.work.Now().Turns, !p.book.steered
}

// errRunsPiece is that the book follows a run.
var errRunsPiece = errors.New("the book follows the run: it is opened at another piece when that is over")

// Open opens the book at another piece. What does not exist leaves it where it is.
func (p *bookPieces) Open(name string) error {
	was := p.book.piece()
	names := []string{""}
	for _, of := range p.book.work.Now().Turns {
		for i := range of.Steps {
			if of.Zone != "" {
				names = append(names, of.Zone+"/"+of.Steps[i].Name)
			} else {
				names = append(names, of.Steps[i].Name)
			}
		}
	}
	if hint := source.OneOf(name, names); !slices.Contains(names, name) {
		return errors.New("there is no piece " + name + ": " + hint)
	}
	if p.book.steered {
		return errRunsPiece
	}
	p.book.shows.Store(&name)
	if err := p.book.work.Reload(p.ctx); err != nil {
		p.book.shows.Store(&was)
		return err
	}
	return nil
}
