package sheet

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"lampblack/check/finding"
	"lampblack/desk"
	"lampblack/doors"
	"lampblack/sheet/typeset"
	"lampblack/show"
)

// Subject is what papers are made of.
type Subject struct {
	Show  *show.Show // for its rig, room and bill
	Runs  []Run      // what has cues: the show itself, or the steps of an evening, or of each zone of a place
	Found []finding.Finding
	Aimed map[string]string // by unit: when it was aimed, by focus.yaml
	Desk  *desk.Plan        // the show on a small desk; nil for none
	Paper typeset.Paper
	Stock typeset.Stock // the sheet that labels go on

	Preshow []doors.Item // the last round before doors; nil for what the show alone says of it
}

// Run is a piece with cues, or a look that stands between pieces.
type Run struct {
	Name   string // of the step, and its zone; "" where there is one piece
	Show   *show.Show
	Stands string // what stands, and until when; "" for a piece
}

// Kind is a paper that can be asked for.
type Kind struct {
	Name string
	Why  string // for whom it is
	make func(context.Context, *Subject) ([]typeset.Block, error)

	landscape bool
	wide      func(*Subject) bool   // whether it is landscape, where that depends on the room
	finds     bool                  // it tells what the checks found
	title     string                // where it is another than the name
	without   func(*Subject) string // why it is left out of the whole folder; "" where it is in it
}

// kinds are the papers in the order in which they lie in the folder.
var kinds = []Kind{
	{Name: "summary", Why: "the show on one page: for who takes it over", make: summary, finds: true},
	{Name: "lighting plan", Why: "the room from above, to scale: for who hangs the units", make: lightingPlan, wide: wideRoom},
	{Name: "section", Why: "the room from the side, to scale: heights, and what is in sight", make: section, landscape: true},
	{Name: "instrument schedule", Why: "unit by unit, where it hangs and what it is", make: schedule, landscape: true},
	{Name: "hook-up", Why: "system by system, which slot does what", make: hookup, landscape: true},
	{Name: "patch list", Why: "address by address, which unit listens: for who sets them", make: patchList},
	{Name: "address map", Why: "each universe drawn slot by slot: what is free", make: addressMap},
	{Name: "cable schedule", Why: "data and supply cables from where to where: for who lays them", make: cableSchedule, landscape: true},
	{Name: "power sheet", Why: "what hangs on each circuit: for the caretaker and the electrician", make: powerSheet, landscape: true},
	{Name: "focus chart", Why: "where each unit points, and room for what was found", make: focusChart, landscape: true},
	{Name: "colour match", Why: "what each type of unit is set to for each colour, to be matched by eye", make: matchTable, landscape: true, title: "Colour match table"},
	{Name: "looks", Why: "what each look is to be: for who builds it again elsewhere", make: looksInWords, landscape: true},
	{Name: "spotting list", Why: "what is to be heard in the track, and room for what is meant", make: spotting, landscape: true},
	{Name: "cue synopsis", Why: "the cues in plain words: for the director", make: synopsis},
	{Name: "cue sheet", Why: "every cue with times and levels: for the operator", make: cueSheet, landscape: true},
	{Name: "prompt book", Why: "time down the page: what is heard, done and seen, and room for notes", make: promptBook, landscape: true, finds: true},
	{Name: "call script", Why: "what is said aloud, and when: for who calls the show", make: callScript},
	{Name: "stopwatch sheet", Why: "large print, to run by hand with a watch and no computer", make: stopwatch},
	{Name: "fallback looks", Why: "slots to set for the looks that matter, on any desk", make: fallback},
	{Name: "programming sheet", Why: "what to store in a small desk (with --desk FILE)", make: programming, without: noDesk},
	{Name: "unit labels", Why: "one for each unit (--labels says the sheet)", make: unitLabels},
	{Name: "cable labels", Why: "two for each cable (--labels says the sheet)", make: cableLabels},
	{Name: "sign", Why: "the warning at the entrance, a draft", make: draftOf("sign", 26), title: "Warning sign", finds: true},
	{Name: "announcement", Why: "what front of house says before the show, a draft", make: draftOf("announcement", 20), title: "Front of house announcement", finds: true},
	{Name: "risk assessment", Why: "hazards, ratings, what is done, by whom, a draft", make: draftOf("assessment", 0), landscape: true, finds: true},
	{Name: "uv log", Why: "ultraviolet day by day, a draft", make: draftOf("uv log", 0), landscape: true, title: "Ultraviolet day log", finds: true},
	{Name: "get-in list", Why: "what to do from the empty room to the rehearsal", make: getIn, title: "Get-in: check list"},
	{Name: "preshow list", Why: "the last round before doors", make: preshow, landscape: true, title: "Preshow: check list"},
	{Name: "strike list", Why: "what goes back, counted", make: strike, title: "Strike: check list"},
}

// noDesk says why there is no programming sheet.
func noDesk(s *Subject) string {
	if s.Desk == nil {
		return "no desk is named (--desk FILE)"
	}
	return ""
}

// Kinds lists the papers.
func Kinds() []Kind { return slices.Clone(kinds) }

// Names lists the names of the papers.
func Names() []string {
	out := make([]string, len(kinds))
	for i := range kinds {
		out[i] = kinds[i].Name
	}
	return out
}

// All is the name of the whole folder.
const All = "all"

// Of is the paper of a name; hyphens stand for blanks, so that a shell needs no quotes.
func Of(name string) (*Kind, bool) {
	name = strings.ReplaceAll(name, "-", " ")
	for i := range kinds {
		if strings.ReplaceAll(kinds[i].Name, "-", " ") == name {
			return &kinds[i], true
		}
	}
	return nil, false
}

// Title is what stands over the paper.
func (k *Kind) Title() string {
	if k.title != "" {
		return k.title
	}
	return strings.ToUpper(k.Name[:1]) + k.Name[1:]
}

// Finds tells whether the paper tells what the checks found: others do without.
func (k *Kind) Finds() bool { return k.finds }

// Without says why the paper is not in the whole folder of a show, "" where it is.
func (k *Kind) Without(s *Subject) string {
	if k.without == nil {
		return ""
	}
	return k.without(s)
}

// Make lays out the papers of these names.
func Make(ctx context.Context, s *Subject, names ...string) ([]typeset.Document, error) {
	var out []typeset.Document
	for _, name := range names {
		k, ok := Of(name)
		if !ok {
			return nil, fmt.Errorf("there is no paper %q", name)
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		blocks, err := k.make(ctx, s)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", k.Name, err)
		}
		out = append(out, typeset.Document{Title: k.Title(), Blocks: blocks, Landscape: k.landscape || k.wide != nil && k.wide(s)})
	}
	return out, nil
}

// Foot is what stands at the foot of every page.
func Foot(s *show.Show, today time.Time) typeset.Foot {
	left := s.Bill.Title
	if v := string(s.Version()); v != "" {
		left += ", version " + v
	}
	if s.Bill.Place != "" {
		left += ", " + s.Bill.Place
	}
	return typeset.Foot{Left: left + ". Printed " + today.Format(time.DateOnly) + ".", Made: today}
}
