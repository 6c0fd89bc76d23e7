package sheet

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"lampblack/check/finding"
	"lampblack/desk"
	"lampblack/sheet/typeset"
	"lampblack/show"
)

// Subject is what papers are made of.
type Subject struct {
	Show  *show.Show // for its rig, room and bill
	Runs  []Run      // what has cues: the show itself, or the evening of each zone of a place
	Found []finding.Finding
	Aimed map[string]string // by unit: when it was aimed, by focus.yaml
	Desk  *desk.Plan        // the show on a small desk; nil for none
	Stock typeset.Stock     // the sheet that labels go on
}

// Run is a line of cues.
type Run struct {
	Name string // of the zone; "" where there is one line
	Show *show.Show
}

// Kind is a paper that can be asked for.
type Kind struct {
	Name string
	Why  string // for whom it is
	make func(context.Context, *Subject) ([]typeset.Block, error)

	landscape bool
	title     string                // where it is another than the name
	without   func(*Subject) string // why it is left out of the whole folder; "" where it is in it
}

// kinds are the papers in the order in which they lie in the folder.
var kinds = []Kind{
	{Name: "patch list", Why: "which unit listens to which slots: for who sets addresses", make: patchList},
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
		out = append(out, typeset.Document{Title: k.Title(), Blocks: blocks, Landscape: k.landscape})
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
