package sheet

import (
	"context"
	"fmt"
	"strings"

	"lampblack/plate"
	"lampblack/sheet/typeset"
	"lampblack/web/page"
)

// lightingPlan is the room from above, with a key of shapes, at a scale.
func lightingPlan(_ context.Context, s *Subject) ([]typeset.Block, error) {
	p := page.Plot(s.Show)
	return scaled(s, p, wideRoom(s), p.Paper)
}

// section is the room from the side.
func section(_ context.Context, s *Subject) ([]typeset.Block, error) {
	p := page.Plot(s.Show)
	return scaled(s, p, true, p.Section)
}

// scaled draws for paper of the subject's size, with the key below or overleaf.
func scaled(s *Subject, p *plate.Plot, landscape bool, draw func(width, height float64) (*plate.Sheet, error)) ([]typeset.Block, error) {
	if r := s.Show.Room; r == nil || !(r.Size[0] > 0 && r.Size[1] > 0) {
		return []typeset.Block{boxed("The size of the room is not known: `size` in room.yaml says it.")}, nil
	}
	wide, high := s.Paper.Room(landscape)
	sheet, err := draw(wide, high)
	if err != nil {
		return nil, err
	}
	var key []string
	r := s.Show.Rig
	for i := range r.Units {
		u := &r.Units[i]
		key = append(key, fmt.Sprint(u.Name.Name, u.At, u.Aim, typeName(u)))
	}
	note := "Places are metres from the middle of the stage's front edge. " + overhead + " " + p.Guessed
	out := []typeset.Block{&typeset.Figure{Drawing: sheet.Plan, Metre: sheet.Metre, Note: strings.TrimSpace(note), Key: strings.Join(key, "\n")}}
	if sheet.Key != nil {
		out = append(out, &typeset.Figure{Drawing: sheet.Key, Key: "key"})
	}
	return out, nil
}

// wideRoom tells whether the room is wider than deep.
func wideRoom(s *Subject) bool {
	r := s.Show.Room
	return r != nil && r.Size[0] > r.Size[1]
}
