package sheet

import (
	"cmp"
	"context"
	"fmt"
	"strings"

	"lampblack/check/hang"
	"lampblack/doors"
	"lampblack/rig"
	"lampblack/sheet/typeset"
	"lampblack/si"
)

// tasks makes a list of what is to be done; an empty text is left out.
func tasks(list ...string) *typeset.Tasks {
	t := &typeset.Tasks{Size: 15}
	for _, text := range list {
		if text != "" {
			t.List = append(t.List, typeset.Task{Text: text})
		}
	}
	return t
}

// when is a text where something is so, and nothing else.
func when(is bool, text string) string {
	if is {
		return text
	}
	return ""
}

// has says what of a rig asks for a task of its own.
type has struct{ overhead, stands, floor, uv, circuits, lines, sound, paths bool }

func whatHas(s *Subject) has {
	r := s.Show.Rig
	h := has{circuits: len(r.Circuits) > 0, lines: len(r.Lines) > 0, sound: s.Show.Bill.Soundtrack.Name != "", paths: len(s.Show.Room.Paths) > 0}
	for i := range r.Units {
		u := &r.Units[i]
		if !u.Guessed(rig.GuessedPlace) {
			z := float64(u.At[2])
			h.overhead, h.stands, h.floor = h.overhead || z > 2.2, h.stands || z > .5 && z <= 2.2, h.floor || z <= .5
		}
		h.uv = h.uv || u.Ultraviolet()
	}
	return h
}

// getIn is in the order in which things are done (common practice, no source), as far as this rig has them.
func getIn(_ context.Context, s *Subject) ([]typeset.Block, error) {
	h, r := whatHas(s), s.Show.Rig
	return []typeset.Block{
		&typeset.Heading{Text: "Before anything is unloaded"},
		tasks("Who is responsible for the house tonight: ______________________ telephone ______________",
			"Ways out and their signs: where, free, lit. Nothing of ours will stand in them.",
			"Power: outlets and breakers are as on the power sheet; the residual current device trips when its button is pressed.",
			"What else hangs on our circuits (urn, heater, sound): nothing."),
		&typeset.Heading{Text: "Room and rig"},
		tasks("Mark the stage out: its middle, its edge, the marks on the plan.",
			when(h.overhead, "Hang what goes overhead first: by trained people, a second suspension on every lamp, ladder held, nobody under it."),
			when(h.stands, "Stands: weighted, legs spread, in no way out and in nobody's path in the dark."),
			when(h.floor, "On the floor: no lens where a child can put an eye, nothing to trip over."),
			fmt.Sprintf("Count: %s, as on the instrument schedule. Broken or another type: write it there.", si.Count(len(r.Units), "unit", "units")),
			"Every lamp far enough from drapes, paper and people, by its maker's figure."),
		&typeset.Heading{Text: "What no figure says"},
		tasks(hang.Questions(r, s.Show.Room)...),
		&typeset.Heading{Text: "Cables"},
		tasks("Supply: reels unwound, connectors off the ground, chains no longer than the makers allow.",
			when(h.lines, "Data: unit to unit as on the cable schedule; terminator at the end of each line; no microphone cable."),
			"A spare data cable lies ready to the farthest unit.",
			"Cables over ways are under ramps or taped over their whole width."),
		&typeset.Heading{Text: "Each lamp by itself"},
		tasks("Mode and address on its display, as on the patch list.",
			"One at a time: right lamp, each colour, dark to full, strobe off, does not run by itself. Never all at once.",
			"Data plug pulled: it does what the schedule says. Mains off and on: it comes back as it was.",
			when(h.uv, "Black light: no lens in sight of a seat; eyes used to the dark for five minutes before it is judged.")),
		&typeset.Heading{Text: "Focus and light"},
		tasks("Aim by the focus chart, somebody standing at each end of the way; look from the front row's ends and the back row.",
			"Match colours by the match table, on a white card, at the level that will be used.",
			when(h.uv, "Costumes, hair, tape, blacks and dust under the black light."),
			"Lights up works, from the desk and without it. House lights do not hang on this computer."),
		&typeset.Heading{Text: "Rehearsal"},
		tasks(when(h.sound, "Which file is the soundtrack, and who starts it."),
			when(h.paths, "Every way that is walked in the dark is walked slowly in the dark."),
			"Blackouts tried slowly. The plug of the computer pulled once, on purpose.",
			"A deputy has run one pass from the stopwatch sheet."),
	}, nil
}

// preshow is the last round before doors, as the page and the command have it.
func preshow(_ context.Context, s *Subject) ([]typeset.Block, error) {
	items := s.Preshow
	if items == nil {
		items = doors.New(lampsToLookAt(s)).Items()
	}
	var out []typeset.Block
	for from := 0; from < len(items); {
		to := from
		for to < len(items) && items[to].Group == items[from].Group {
			to++
		}
		out = append(out, preshowGroup(items[from:to])...)
		from = to
	}
	out = append(out, &typeset.Heading{Text: "Then"},
		tasks("Sound and light start together: one clap, or the first cue, seen and heard.", "Signs are up; the announcement is with whoever makes it.", "Lights up, and back. Preshow look stands. Watch and papers are at hand, with a light that nobody sees."),
		words("Seen by ______________________ at ______________"))
	return out, nil
}

// lampsToLookAt is the round of which nobody has said more than the show does.
func lampsToLookAt(s *Subject) doors.Setup {
	setup := doors.Setup{Machine: doors.This()}
	for i := range s.Show.Rig.Units {
		u := &s.Show.Rig.Units[i]
		setup.Units = append(setup.Units, doors.Unit{Name: u.Name.Name, Where: strings.Join(u.Systems, ", ")})
	}
	return setup
}

// preshowGroup is a table of items; how to look, and what to do if it is not so, are said once where they are the same for all.
func preshowGroup(list []doors.Item) []typeset.Block {
	one := len(list) > 1
	for i := range list {
		one = one && list[i].Found == list[0].Found && list[i].Cure == list[0].Cure
	}
	t := &typeset.Table{Ruled: true, Columns: []typeset.Column{{Head: "Good", Least: 4}, {Head: "What is to be so", Bold: true}}}
	if !one {
		t.Columns = append(t.Columns, typeset.Column{Head: "How"}, typeset.Column{Head: "If not"})
	}
	t.Columns = append(t.Columns, typeset.Column{Head: "Note", Least: 20, Grow: true})
	for i := range list {
		cells := []string{typeset.Box, list[i].Text}
		if !one {
			cells = append(cells, toLook(&list[i]), list[i].Cure)
		}
		t.Rows = append(t.Rows, row(cells...))
	}
	out := []typeset.Block{&typeset.Heading{Text: list[0].Group}}
	if one {
		out = append(out, words("Look: "+toLook(&list[0])+" If not: "+list[0].Cure+"."))
	}
	return append(out, t)
}

// toLook is what a person looks at.
func toLook(item *doors.Item) string {
	if item.Found == "not asked yet" {
		return "`lampblack doors` asks the computer"
	}
	return strings.TrimPrefix(item.Found, doors.Look)
}

// strike counts what goes back, and how the house is left.
func strike(_ context.Context, s *Subject) ([]typeset.Block, error) {
	h, r := whatHas(s), s.Show.Rig
	t := &typeset.Table{Name: "Count", Ruled: true, Columns: []typeset.Column{{Head: "Out", Right: true, Bold: true}, {Head: "What", Names: true}, {Head: "Back", Least: 6}, {Head: "Broken, missing, whose", Least: 24, Grow: true}}}
	for kind, n := range countedTypes(r) {
		t.Rows = append(t.Rows, row(fmt.Sprint(n), kind.Name))
	}
	t.Rows = append(t.Rows, row(fmt.Sprint(len(dataCables(r))), "data cables"), row(fmt.Sprint(len(supplyCables(r))), "supply cables and leads"), row(fmt.Sprint(len(r.Lines)), "terminators"), row("", "stands, clamps, second suspensions"), row("", "splitters, interface, adaptors"))
	return []typeset.Block{
		&typeset.Heading{Text: "First"},
		tasks("Photographs of everything as it hangs: lamps, stands, marks, cables.", "Work light on. Audience and cast are out.", "Off at the mains, and cooled down.",
			when(h.overhead, "What is overhead comes down last, by trained people, nobody under it.")),
		t, &typeset.Heading{Text: "Then"},
		tasks("Hired lamps: own programs off, address 1, as they came.", "Venue's own lamps, cables and plugs back as they were, and the house told.", "Tape, marks and nails off floor and walls.", "Paper and show kept: the restage package (`lampblack sheet restage`), with what each look is for.",
			"What was learned, for the next time:"),
		&typeset.Blank{Lines: 4},
		words(cmp.Or(s.Show.Bill.Place, "The house") + " taken back by ______________________ at ______________"),
	}, nil
}
