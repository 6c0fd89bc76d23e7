package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"lampblack/calendar"
	"lampblack/desk"
	"lampblack/play/hand"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/room/measure"
	"lampblack/score"
	"lampblack/score/draft"
	"lampblack/show"
	"lampblack/source"
)

const schemaHelp = `Print the JSON Schema (draft 2020-12) of one of a show's files, for editors
that check and complete YAML: show, fixture, rig, room, score, order, piece
(the cues of one), zones, triggers, calendar,
hall, tonight, focus, draft, spotting or readings; or desk, the description that "lampblack desk" takes.`

// schemaForms are the readers' own types: keys, units and choices come from them. So a
// key that a reader learns is in the schema with the next build.
var schemaForms = map[string]any{"show": show.Bill{}, "fixture": rig.Type{}, "rig": rig.Form{}, "room": room.Room{}, "score": score.Score{}, "order": show.Order{}, "piece": score.Piece{}, "zones": show.Zones{}, "triggers": show.Triggers{}, "calendar": calendar.Calendar{}, "hall": show.Trims{}, "tonight": hand.Sheet{}, "focus": hand.Chart{}, "desk": desk.Desk{},
	"draft": draft.Wish{}, "spotting": draft.Decided{}, "readings": measure.Sheet{}}

// schemaCmd names the files in the order in which a show is made; a map has none.
func schemaCmd() *cobra.Command {
	names := []string{"show", "fixture", "rig", "room", "score", "order", "piece", "zones", "triggers", "calendar", "hall", "tonight", "focus", "draft", "spotting", "readings", "desk"}
	return &cobra.Command{
		Use:       "schema FILE",
		Short:     "print the JSON Schema of a show's file",
		Long:      schemaHelp,
		ValidArgs: names,
		Args:      cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			form, ok := schemaForms[args[0]]
			if !ok {
				return hinted{fmt.Errorf("there is no file form %q", args[0]), source.OneOf(args[0], names)}
			}
			return writeJSON(c.OutOrStdout(), source.Schema("Lampblack "+args[0], form))
		},
	}
}
