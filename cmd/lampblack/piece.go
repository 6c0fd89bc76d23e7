package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"lampblack/score/draft"
	"lampblack/score/retime"
	"lampblack/show"
	"lampblack/source"
)

// pieceFlag lets a command look at another piece than the folder's own.
func pieceFlag(c *cobra.Command) *cobra.Command {
	c.Flags().String("piece", "", "of a running order: the step by its name, as ZONE/STEP in a place of zones; \"all\" for the whole evening as it usually lasts")
	return c
}

// pieceNamed is what --piece names, "" where a command has no such flag.
func pieceNamed(c *cobra.Command) string {
	name, err := c.Flags().GetString("piece")
	if err != nil {
		return ""
	}
	return name
}

// allPieces is the whole of an order, in place of a step's name.
const allPieces = "all"

// pick makes the show that of a step, or of the whole evening; "" keeps the folder's own.
// What stops the evening still stops each of its pieces.
func (l *loaded) pick(name string) error {
	if name == "" {
		return nil
	}
	s, err := l.piece(name)
	if err == nil {
		l.show, l.picked = s, true
	}
	return err
}

// piece is the show of a step, or of the whole evening.
func (l *loaded) piece(name string) (*show.Show, error) {
	e := l.evening
	if l.place != nil {
		zone, step, _ := strings.Cut(name, "/")
		i := l.place.Index(zone)
		if i < 0 {
			return nil, hinted{fmt.Errorf("there is no zone %q", zone), source.OneOf(zone, l.place.Names())}
		}
		e = l.place.Zone(i, make([]float32, len(l.place.Rig.Drives)))
		if name = step; name == "" {
			name = allPieces
		}
		if name == allPieces {
			return l.place.Zones[i].Evening.Whole(), nil
		}
	}
	if e == nil {
		return nil, hinted{fmt.Errorf("this show has no running order, so there is no piece %q", name), "docs/files.md has the form of " + show.OrderFile}
	}
	if name == allPieces {
		return e.Whole(), nil
	}
	i := e.Index(name)
	if i < 0 {
		return nil, hinted{fmt.Errorf("the running order has no step %q", name), source.OneOf(name, append(e.Names(), allPieces))}
	}
	return e.Steps[i].Show, nil
}

// pieceFiles are the files that belong to a piece: the folder's own, or another of a running
// order.
type pieceFiles struct {
	cues, wish, decisions string
	sound                 source.Ref
	other                 *retime.Piece // nil for the folder's own
}

// filesOf finds the files of a piece by its name, "" for the folder's own.
func (l *loaded) filesOf(name string) (pieceFiles, error) {
	own := pieceFiles{show.ScoreFile, draft.WishFile, draft.DecisionsFile, l.files.Bill.Soundtrack, nil}
	if name == "" || l.files.Order.Implied() {
		return own, nil
	}
	order, file := l.files.Order, show.OrderFile
	if l.files.Zones != nil {
		zone, step, _ := strings.Cut(name, "/")
		z := l.files.Zones.Zones.Get(zone)
		if z == nil {
			return own, hinted{fmt.Errorf("there is no zone %q", zone), source.OneOf(zone, source.Names(l.files.Zones.Zones))}
		}
		name, order = step, (*z).Steps()
		if n := (*z).Order.Name; n != "" {
			file = n
		}
	}
	if order == nil {
		return own, hinted{fmt.Errorf("this show has no running order, so there is no piece %q", name), "docs/files.md has the form of " + show.OrderFile}
	}
	var names []string
	for i := range order.Steps {
		s := &order.Steps[i]
		switch {
		case s.Stands():
			continue
		case s.Name() == name && s.Own():
			return own, nil
		case s.Name() == name:
			p := &retime.Piece{Cues: s.Cues.Name, Order: file, Step: i}
			if l.files.Score != nil {
				p.Looks = l.files.Score.Looks
			}
			return pieceFiles{p.Cues, p.WishFile(), p.DecisionsFile(), s.Soundtrack, p}, nil
		}
		names = append(names, s.Name())
	}
	return own, hinted{fmt.Errorf("the running order has no piece %q", name), source.OneOf(name, names)}
}
