package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/rig"
	"lampblack/rig/suspect"
	"lampblack/si"
	"lampblack/source"
)

const faultHelp = `Find what is at fault on the rig. Say what units do that they should not; then the next
thing to look at or to mend is told, one after another, on the rig's own data lines and
circuits: what is likely, what tells most for the minutes, walks and ladders it takes.
Answer yes, no, not sure; to a mend also partly, when some of it is right then. "back"
takes the last answer back, "quit" ends.

What units do: dead (nothing is lit, not even the display), deaf (on, and does not
follow), wrong (follows, and not as it should), flickers, alone (runs by itself), fine,
unseen (nobody looked). Units that are not named are fine.

  lampblack fault DIR
  lampblack fault DIR --wrong "par 3, par 4: deaf"             begin with that
  lampblack fault DIR --wrong "line front: flickers" --paper   all steps, to print
  lampblack fault DIR --answers FILE --json                    answers from a file

It takes one thing to be at fault, and says so when none alone explains what is seen.
Odds, minutes and trust are common practice, no source.

Cautions. Show stopped, lights up, house open to nobody, before anybody climbs. Pull the
mains plug before a unit is opened or taken down; whoever opens one, or a board, is a
competent person. A device that trips again stays off. Lamps that were on are hot.`

type faultFlags struct {
	wrong         []string
	answers       string
	paper, asJSON bool
}

func faultCmd() *cobra.Command {
	var f faultFlags
	c := &cobra.Command{
		Use:   "fault DIR",
		Short: "find what is at fault on the rig, step by step",
		Long:  faultHelp,
		Args:  dirArg,
		RunE:  func(c *cobra.Command, args []string) error { return findFault(c, args[0], &f) },
	}
	c.Flags().StringArrayVar(&f.wrong, "wrong", nil, `what units do, as "par 3, par 4: deaf", "line front: flickers", "circuit left: dead" or "all: deaf"`)
	c.Flags().StringVar(&f.answers, "answers", "", "read what would be typed from a file")
	c.Flags().BoolVar(&f.paper, "paper", false, "print all steps, with where each answer leads")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print where the search stands as JSON, when the answers end")
	return c
}

// hunt is a search at the keyboard.
type hunt struct {
	rig   *rig.Rig
	words io.Writer
	lines <-chan string
	ctx   context.Context
	q     suspect.Question
}

// errEnough ends a search that nobody goes on with.
var errEnough = errors.New("enough")

func findFault(c *cobra.Command, dir string, f *faultFlags) error {
	l, err := rigOf(c, dir)
	if err != nil {
		return err
	}
	defer l.close()
	h := &hunt{rig: l.files.Rig, words: c.OutOrStdout(), q: suspect.Question{Seen: suspect.Seen{}}}
	if len(h.rig.Units) == 0 {
		return errors.New("the rig has no units")
	}
	if f.asJSON {
		h.words = c.ErrOrStderr()
	}
	for _, w := range f.wrong {
		if err := h.note(w); err != nil {
			return err
		}
	}
	in := c.InOrStdin()
	if f.answers != "" {
		data, err := folder.ReadFile(c.Context(), f.answers, 1<<20)
		if err != nil {
			return err
		}
		in = bytes.NewReader(data)
	}
	ctx, cancel := context.WithCancel(c.Context())
	defer cancel()
	h.ctx, h.lines = ctx, linesOf(ctx, in)
	if f.paper {
		if len(h.q.Seen) == 0 {
			return hinted{errors.New("nothing is said to be wrong"), `--wrong "par 3: deaf" says what`}
		}
		return h.paper(c.OutOrStdout())
	}
	if err := h.search(); err != nil && !errors.Is(err, errEnough) {
		return err
	}
	if f.asJSON {
		return writeJSON(c.OutOrStdout(), verdictOut(suspect.Find(h.rig, h.q)))
	}
	return nil
}

// search asks what is wrong, where that was not said, and goes step by step.
func (h *hunt) search() error {
	if len(h.q.Seen) == 0 {
		if err := h.askSeen("What do units do that they should not?"); err != nil {
			return err
		}
	}
	for {
		v := suspect.Find(h.rig, h.q)
		h.tell(v)
		if v.More {
			fmt.Fprintf(h.words, "That was one fault: %s. There is another.\n", source.Visible(v.Found))
			h.q = suspect.Question{Seen: suspect.Seen{}, Mended: append(h.q.Mended, v.Found)}
			if err := h.askSeen("What do units still do that they should not?"); err != nil {
				return err
			}
			continue
		}
		if v.Next == nil {
			return nil
		}
		if err := h.ask(v.Next); err != nil {
			return err
		}
	}
}

// askSeen reads what units do, until an empty line.
func (h *hunt) askSeen(question string) error {
	fmt.Fprintf(h.words, "%s One line each, as \"par 3: dead\", \"par 3, par 4: deaf\", \"line front: flickers\",\n\"circuit left: dead\", \"all: deaf\"; an empty line when that is all.\n", question)
	for {
		fmt.Fprint(h.words, "> ")
		text, err := h.line()
		if err != nil {
			return err
		}
		switch {
		case text == "" && len(h.q.Seen) > 0:
			fmt.Fprintln(h.words)
			return nil
		case text == "":
			fmt.Fprintln(h.words, "nothing is said to be wrong yet")
			continue
		}
		if err := h.note(text); err != nil {
			fmt.Fprintln(h.words, err)
		}
	}
}

// line is the next line that is typed.
func (h *hunt) line() (string, error) {
	select {
	case text, open := <-h.lines:
		text = strings.TrimSpace(text)
		if !open || text == "quit" {
			fmt.Fprintln(h.words)
			return "", errEnough
		}
		return text, nil
	case <-h.ctx.Done():
		return "", h.ctx.Err()
	}
}

// note takes "par 3, par 4: dead" in.
func (h *hunt) note(text string) error {
	who, does, found := cutLast(text, ":")
	symptom := suspect.Symptom(strings.ToLower(strings.TrimSpace(does)))
	if !found || !slices.Contains(suspect.Symptoms, symptom) {
		var words []string
		for _, s := range suspect.Symptoms {
			words = append(words, string(s))
		}
		return hinted{fmt.Errorf("%q does not say what a unit does", source.Visible(text)), "as par 3: dead; the words are " + strings.Join(words, ", ")}
	}
	units, err := h.units(strings.TrimSpace(who))
	if err != nil {
		return err
	}
	for _, u := range units {
		h.q.Seen[u] = symptom
	}
	return nil
}

// cutLast cuts at the last separator.
func cutLast(text, sep string) (before, after string, found bool) {
	i := strings.LastIndex(text, sep)
	if i < 0 {
		return text, "", false
	}
	return text[:i], text[i+len(sep):], true
}

// units are those that a name means: units by name, all, those of a line or a circuit.
func (h *hunt) units(who string) ([]string, error) {
	names := h.rig.UnitNames()
	if slices.Contains(names, who) {
		return []string{who}, nil
	}
	if who == "all" {
		return names, nil
	}
	if of, is := strings.CutPrefix(who, "line "); is && h.rig.Lines.Get(of) != nil {
		return h.rig.Lines.Get(of).Order, nil
	}
	if of, is := strings.CutPrefix(who, "circuit "); is && h.rig.Circuits.Get(of) != nil {
		return h.fedFrom(of), nil
	}
	var out []string
	for part := range strings.SplitSeq(who, ",") {
		part = strings.TrimSpace(part)
		if !slices.Contains(names, part) {
			return nil, hinted{fmt.Errorf("the rig has no unit %q", source.Visible(part)), source.OneOf(part, names)}
		}
		out = append(out, part)
	}
	return out, nil
}

// fedFrom lists the units that a circuit feeds, those in chains among them.
func (h *hunt) fedFrom(circuit string) (out []string) {
	for i := range h.rig.Units {
		u := &h.rig.Units[i]
		for range len(h.rig.Units) { // a ring ends
			by := h.rig.Index(u.FedBy.Name)
			if u.FedBy.Name == "" || by < 0 {
				break
			}
			u = &h.rig.Units[by]
		}
		if u.FedBy.Name == "" && u.Circuit.Name == circuit {
			out = append(out, h.rig.Units[i].Name.Name)
		}
	}
	return out
}

// ask takes the answer to a step.
func (h *hunt) ask(s *suspect.Step) error {
	fmt.Fprintf(h.words, "\n%d  %s\n   %s. %s ", len(h.q.Given)+1, sentence(s.Do), costs(s.Cost), source.Visible(s.Ask))
	for {
		text, err := h.line()
		if err != nil {
			return err
		}
		switch a := suspect.Answer(strings.ToLower(text)); a {
		case "y", suspect.Yes:
			h.give(s, suspect.Yes)
		case "n", suspect.No:
			h.give(s, suspect.No)
		case "?", suspect.NotSure:
			h.give(s, suspect.NotSure)
		case "back":
			if n := len(h.q.Given); n > 0 {
				h.q.Given = h.q.Given[:n-1]
			}
		default:
			if a == suspect.Partly && s.Mend {
				h.give(s, a)
				break
			}
			fmt.Fprint(h.words, "yes, no, not sure", partly(s), ", back, or quit: ")
			continue
		}
		return nil
	}
}

func partly(s *suspect.Step) string {
	if s.Mend {
		return ", partly"
	}
	return ""
}

func (h *hunt) give(s *suspect.Step, a suspect.Answer) {
	h.q.Given = append(h.q.Given, suspect.Given{Step: s.ID, Answer: a})
}

// sentence is what to do, with a capital and a full stop.
func sentence(do string) string {
	do = source.Visible(do)
	return strings.ToUpper(do[:1]) + strings.TrimSuffix(do[1:], ".") + "."
}

// costs says what a step takes.
func costs(c suspect.Cost) string {
	out := "About " + si.Say(c.Minutes, "min")
	if c.Walks > 0 {
		out += ", " + si.Count(c.Walks, "walk", "walks")
	}
	if c.Ladder {
		out += ", a ladder"
	}
	return out
}

// tell says where the search stands.
func (h *hunt) tell(v *suspect.Verdict) {
	w := h.words
	if len(h.q.Given) == 0 && len(v.Unordered) > 0 {
		fmt.Fprintf(w, "Nobody said the order of the line %s: taken as the file has the units.\n", source.Visible(strings.Join(v.Unordered, ", ")))
	}
	if len(v.Pairs) > 0 && len(h.q.Given) == 0 {
		fmt.Fprintf(w, "No single thing explains all of that well: two may be at fault at once, or one that is not thought of here.\nTogether would, among others:\n")
		for _, p := range v.Pairs {
			fmt.Fprintf(w, "      %s; and %s\n", source.Visible(p.A.Name), source.Visible(p.B.Name))
		}
		fmt.Fprintln(w, "One after another: first what the first of these has in it; answer partly when some of it is right.")
	}
	switch {
	case v.More:
	case v.Found != "":
		fmt.Fprintf(w, "It was %s. Note it on the unit or the cable, and check all once more.\n", source.Visible(v.Found))
	case v.Next == nil:
		fmt.Fprintln(w, "Nothing that is likely is left: it is something else, two things at once, or an answer was wrong.\nTake one unit alone, with one good cable from the output and one good lead, and add one after another.")
	default:
		h.likely(v)
	}
}

// likely lists the likeliest suspects.
func (h *hunt) likely(v *suspect.Verdict) {
	fmt.Fprintf(h.words, "It may be (about %s more, as far as can be told):\n", si.Say(v.Minutes, "min"))
	for i := range v.Suspects {
		if i == 5 || v.Suspects[i].Share < .005 {
			fmt.Fprintf(h.words, "        and %d less likely\n", len(v.Suspects)-i)
			break
		}
		fmt.Fprintf(h.words, "%4.0f %%  %s\n", 100*v.Suspects[i].Share, source.Visible(v.Suspects[i].Name))
	}
}

// paper prints all steps.
func (h *hunt) paper(w io.Writer) error {
	v := suspect.Find(h.rig, h.q)
	h.words = w
	h.tell(v)
	fmt.Fprintln(w)
	for i, b := range suspect.Tree(h.rig, h.q) {
		fmt.Fprintf(w, "%2d  %s\n    %s. %s\n", i+1, sentence(b.Step.Do), costs(b.Step.Cost), source.Visible(b.Step.Ask))
		yes := leads(b.Yes)
		if b.Step.Mend {
			yes = "that was it"
		}
		fmt.Fprintf(w, "    □ yes: %s   □ no: %s\n", yes, leads(b.No))
	}
	return nil
}

// leads says where an answer leads.
func leads(to int) string {
	if to == 0 {
		return "ask lampblack fault again, with what was seen"
	}
	return fmt.Sprintf("go to %d", to)
}

type suspectOut struct {
	What    string  `json:"what"`
	Kind    string  `json:"kind"`
	Percent float64 `json:"percent"`
	Mend    string  `json:"mend"`
}

type verdictJSON struct {
	Suspects []suspectOut `json:"suspects"`
	None     float64      `json:"none_alone_percent"`
	Pairs    [][2]string  `json:"pairs,omitempty"`
	Next     *nextOut     `json:"next,omitempty"`
	Found    string       `json:"found,omitempty"`
	More     bool         `json:"more,omitempty"`
	Minutes  float64      `json:"expected_min"`
}

type nextOut struct {
	Do      string  `json:"do"`
	Ask     string  `json:"ask"`
	Mend    bool    `json:"mend"`
	Minutes float64 `json:"min"`
	Walks   int     `json:"walks"`
	Ladder  bool    `json:"ladder"`
}

// tenths is a share in per cent, to a tenth.
func tenths(share float64) float64 { return math.Round(1000*share) / 10 }

func verdictOut(v *suspect.Verdict) verdictJSON {
	out := verdictJSON{Suspects: []suspectOut{}, None: tenths(v.None), Found: v.Found, More: v.More, Minutes: tenths(v.Minutes / 100)}
	for i := range v.Suspects {
		s := &v.Suspects[i]
		out.Suspects = append(out.Suspects, suspectOut{s.Name, string(s.Kind), tenths(s.Share), s.Mend})
	}
	for i := range v.Pairs {
		out.Pairs = append(out.Pairs, [2]string{v.Pairs[i].A.Name, v.Pairs[i].B.Name})
	}
	if n := v.Next; n != nil {
		out.Next = &nextOut{n.Do, n.Ask, n.Mend, n.Cost.Minutes, n.Cost.Walks, n.Cost.Ladder}
	}
	return out
}
