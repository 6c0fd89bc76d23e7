package papers

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"lampblack/check/finding"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// hazard is one row of the risk assessment: the findings that belong to it, by
// identifier or by the first part of it, who may be hurt, and what is done as a matter
// of course. An identifier that ends in a hyphen stands for all that begin so.
type hazard struct {
	what   string
	finds  []string
	who    func(*room.Room) string
	always string
}

// inZones is the hazard of places of zones alone.
const inZones = "People left in a zone that does not go on"

// hazards are the rows. Every identifier of the catalogue stands in one row. A test
// holds that, so a new limit cannot be forgotten here.
var hazards = []hazard{
	{"Flashing light", []string{"flash-", "strobe-unable", "movement-softened"}, watchers,
		"signs and announcement; the operator can stop it at once"},
	{"Ultraviolet at the eye", []string{"uv-"}, everyone,
		"lenses masked from all seats; keep-out distances marked; rehearse in work light; log the hours"},
	{"Glare and blue light", []string{"lens-in-eye", "blue-"}, everyone, "mask, turn, or hang a leg between"},
	{"Darkness, falls, getting out", []string{"blackout", "path-dark", "escape-light", "exit-sign", "alarm-input", "alarm-open", "alone-dark", "leave-dark", "way-fast", "way-held", "way-narrow"}, walkers,
		"walk it slowly in the dark first; mark edges; lights up within reach; staff at the exits"},
	{"Things that fall, tip, or are in the way", []string{"hang-"}, everyone,
		"second suspension on all that hangs; stands weighted; ways clear; a competent person has looked"},
	{"Burns, fire, water", []string{"burn-", "wet-"}, all, "makers' distances kept; nothing covered; housings and plugs dry"},
	{"Electric shock, fire", []string{"supply-"}, all, "a competent person tests the supply; residual current device tried"},
	{"Loss of control of the lights", []string{"line-", "output-", "address-", "slot-", "fade-crosses"}, walkers,
		"data plug pulled on purpose in rehearsal"},
	{inZones, []string{"no-way-out", "needs-a-person", "never-reached", "doubled-start", "trigger-own"}, walkers,
		"every wait ends by itself, or somebody is there; walked through with a group"},
	{"The show is not as it was asked for", []string{"cue-", "goal-missed", "glow-low", "glow-absent", "spill-on-black", "colour-", "unit-", "lamp-power", "look-unused", "look-twice", "glow-carrier", "time-past", "day-full", "fade-jumps", "fade-cut", "movement-beat"}, nobody,
		"agreed with the director"},
	{"Files and signatures", []string{"file", "signature", finding.NotJudged}, nobody, "put right before the run"},
}

func all(*room.Room) string    { return "visitors, cast, crew" }
func nobody(*room.Room) string { return "nobody is hurt by it" }

// watchers names those who sit or walk and look.
func watchers(r *room.Room) string {
	if len(r.Seats) == 0 {
		return "visitors on the paths, cast, crew"
	}
	return "visitors in their seats, cast, crew"
}

func everyone(r *room.Room) string { return watchers(r) + "; children first" }

// walkers names those who move in the dark.
func walkers(r *room.Room) string {
	if len(r.Seats) == 0 {
		return "visitors on the paths, cast and crew who move"
	}
	return "visitors who get up, cast and crew who move"
}

// has tells whether a finding belongs to the row.
func (h *hazard) has(id string) bool {
	return slices.ContainsFunc(h.finds, func(f string) bool {
		return id == f || strings.HasSuffix(f, "-") && strings.HasPrefix(id, f)
	})
}

// Assessment writes a draft of a risk assessment: every hazard that was computed with
// all that check warns of, from the same findings. Its columns are those that
// assessments of workplaces share: hazard, who may be harmed, what is found, a rating before and
// after what is done, by whom, and whether it is (the five steps of the British HSE, from memory). What was not computed
// is listed too, so that nobody takes the draft for the whole.
func Assessment(w io.Writer, s *show.Show, list []finding.Finding) {
	fmt.Fprintf(w, "# Risk assessment: %s\n\n%s", s.Bill.Title, draft)
	fmt.Fprintf(w, "Place: %s. Length: %s. Units: %d.\n\n", blank(s.Bill.Place), si.FormatTime(s.Length), len(s.Rig.Units))
	fmt.Fprintf(w, "| Hazard | Who may be harmed | What was computed | Rating before | What is done about it | Rating after | By whom | Done |\n|---|---|---|---|---|---|---|---|\n")
	for i := range hazards {
		h := &hazards[i]
		if h.what == inZones && !slices.ContainsFunc(list, func(f finding.Finding) bool { return h.has(f.ID) }) {
			continue // a show that has no zones has no such hazard
		}
		fmt.Fprintf(w, "| %s | %s | %s | | %s | | | |\n", finding.Cell(h.what), finding.Cell(h.who(s.Room)), finding.Cell(h.told(list)), finding.Cell(h.always))
	}
	fmt.Fprintf(w, "\nRating: how likely (1 to 5) times how bad (1 to 5), before and after what is done about it (common practice, no source). A person gives it.\n")
	fmt.Fprintf(w, "\nNot computed, to be judged on site: things overhead and their second fixing; stands and their weights; trip hazards and cables; fire load and drapes; haze; noise; manual handling; working alone; ladders; the supply's earthing and test; emergency lighting and exits.\n\n")
	fmt.Fprintf(w, "## To do before anyone comes\n\n")
	n := 0
	for i := range list {
		if f := &list[i]; f.Todo() && f.Signed == "" {
			fmt.Fprintf(w, "- [ ] %s\n", task(f))
			n++
		}
	}
	if n == 0 {
		fmt.Fprintf(w, "Nothing of what was computed. What was not computed stands above.\n")
	}
	writeSigned(w, list)
	writeKnown(w, list)
	writeAlarm(w, s)
	fmt.Fprintf(w, "\nAssessed by: ______________________  Date: ______________  To be looked at again: ______________\n")
}

// writeAlarm says what an alarm does to the show, what it comes by, and what it is not.
func writeAlarm(w io.Writer, s *show.Show) {
	fmt.Fprintf(w, "\n## When the alarm sounds\n\n")
	switch b := &s.Bill; {
	case len(b.Alarms) > 0:
		fmt.Fprintf(w, "Within a frame the lights of the show come up, ultraviolet and flashing go off, the sound stops and time stands, until somebody resets it by hand. Each input is set off once on every day of the run, and reset:\n\n")
		for i := range b.Alarms {
			e := &b.Alarms[i]
			fmt.Fprintf(w, "- [ ] %s (%s): tried on ______________ by ______________\n", e.Name, e.Value.Say())
		}
		fmt.Fprintln(w)
	case b.Alarm != nil && *b.Alarm:
		fmt.Fprintf(w, "It acts outside this program: on the lights and the sound themselves. Tried on ______________ by ______________\n\n")
	default:
		fmt.Fprintf(w, "This program hears of no alarm: who ends the dark and the sound, and how? ______________________\n\n")
	}
	fmt.Fprintf(w, "%s\n", Independent)
}

// Independent is what must not hang on this program.
const Independent = "Exit signs, emergency lighting and the house lights work without this program, and are tried without it. An alarm input of this program is no fire alarm system and no part of one; what a building needs, and who may connect to its alarm, local codes and licensed people say."

// writeSigned lists what a person has taken on: no limit stops being broken by
// a signature.
func writeSigned(w io.Writer, list []finding.Finding) {
	first := true
	for i := range list {
		f := &list[i]
		if f.Signed == "" {
			continue
		}
		if first {
			fmt.Fprintf(w, "\n## Limits that are broken, and who signed for it\n\n")
			first = false
		}
		fmt.Fprintf(w, "- %s Signed: %s.\n", task(f), f.Signed)
	}
}

// writeKnown lists what is left: notes, so that all that was found stands in the paper.
func writeKnown(w io.Writer, list []finding.Finding) {
	first := true
	for i := range list {
		f := &list[i]
		if f.Todo() || f.Signed != "" {
			continue
		}
		if first {
			fmt.Fprintf(w, "\n## What else was computed\n\n")
			first = false
		}
		fmt.Fprintf(w, "- %s\n", task(f))
	}
}

// task is a finding as an entry of a list of things to do.
func task(f *finding.Finding) string {
	s := finding.Sentence(f.Text)
	if m := f.InWords(); m != "" {
		s += " " + finding.Sentence(m)
	}
	if f.Hint != "" {
		s += " To do: " + f.Hint + "."
	}
	return s + fmt.Sprintf(" (%s, %s; %s)", f.ID, f.Place, f.Source)
}

// told lists what check found of a hazard: what must be acted on in full, otherwise
// what came nearest. "checked" is claimed for every row, since a run of all families
// came before; a list made with only some identifiers would make that untrue.
func (h *hazard) told(list []finding.Finding) string {
	var act, know []*finding.Finding
	for i := range list {
		switch f := &list[i]; {
		case !h.has(f.ID) || len(f.Lacks) > 0: // what was not judged is told with each row
		case f.Todo():
			act = append(act, f)
		default:
			know = append(know, f)
		}
	}
	unsaid := h.unsaid(list)
	switch {
	case len(act) > 0:
		return briefs(act, true) + after("; ", unsaid)
	case len(know) > 0:
		return "nothing to act on; " + briefs(know, false) + after("; ", unsaid)
	case unsaid != "":
		return unsaid
	}
	return "checked; nothing to tell"
}

// unsaid says which facts were missing for some of the row's limits, "" for none.
func (h *hazard) unsaid(list []finding.Finding) string {
	var facts []string
	for i := range list {
		for _, l := range list[i].Lacks {
			if slices.ContainsFunc(l.Limits, h.has) {
				facts = append(facts, l.Fact)
			}
		}
	}
	if facts == nil {
		return ""
	}
	return "**not judged** in full, as nobody said " + strings.Join(facts, "; ")
}

// after puts a mark before a text that is not empty.
func after(mark, text string) string {
	if text == "" {
		return ""
	}
	return mark + text
}

// mostInRow is how many findings a row of the assessment tells before it only
// counts them; those to act on are all in the list below it.
const mostInRow = 6

// briefs says each severity only where there is something to act on.
func briefs(list []*finding.Finding, severity bool) string {
	var texts []string
	for _, f := range list[:min(len(list), mostInRow)] {
		text := brief(f)
		if severity {
			text = "**" + f.Severity.Word() + "**: " + text
		}
		texts = append(texts, text)
	}
	if n := len(list) - mostInRow; n > 0 {
		texts = append(texts, fmt.Sprintf("and %d more", n))
	}
	return strings.Join(texts, "; ")
}

// brief is a finding in a few words.
func brief(f *finding.Finding) string {
	if m := f.InWords(); m != "" {
		return f.Text + " (" + m + ")"
	}
	return f.Text
}

func blank(s string) string {
	if s == "" {
		return "______________________"
	}
	return s
}
