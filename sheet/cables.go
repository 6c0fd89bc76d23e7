package sheet

import (
	"context"
	"fmt"
	"strings"

	"lampblack/rig"
	"lampblack/sheet/typeset"
	"lampblack/si"
)

// cable is one cable to be laid, as the rig's file says it today. Whoever plans cables fills
// this, and schedule, labels and totals follow.
type cable struct {
	name, from, to string
	line           string  // the data line or circuit
	length         float64 // m; 0 where nobody said
	straight       float64 // m, between its ends as the crow flies; 0 where that is not known
	about          string  // section, connector, sort
}

// dataCables are those from unit to unit along the lines.
func dataCables(r *rig.Rig) []cable {
	var out []cable
	for _, entry := range r.Lines {
		from := entry.Value.From
		if from == "" {
			from = "output"
		}
		before := -1
		for k, name := range entry.Value.Order {
			c := cable{name: fmt.Sprintf("%s %d", entry.Name, k+1), from: from, to: name, line: entry.Name, about: string(entry.Value.Cable)}
			i := r.Index(name)
			c.straight = apart(r, before, i)
			out = append(out, c)
			from, before = name, i
		}
	}
	return out
}

// supplyCables are those from the board to the first unit of each circuit's chains, and the leads of the units.
func supplyCables(r *rig.Rig) []cable {
	var out []cable
	for _, entry := range r.Circuits {
		c := &entry.Value
		if c.Cable.Length > 0 || c.Cable.Section != (rig.Conductor{}) {
			out = append(out, cable{name: entry.Name + " feed", from: "board", to: "outlet of " + entry.Name, line: entry.Name, length: float64(c.Cable.Length), about: aboutCable(&c.Cable)})
		}
	}
	for i := range r.Units {
		u := &r.Units[i]
		c := cable{name: u.Name.Name + " lead", to: u.Name.Name, length: float64(u.Lead.Length), about: aboutCable(&u.Lead)}
		switch {
		case u.FedBy.Name != "":
			c.from, c.straight = u.FedBy.Name, apart(r, r.Index(u.FedBy.Name), i)
		case u.Circuit.Name != "":
			c.from = "outlet of " + u.Circuit.Name
		default:
			continue
		}
		out = append(out, c)
	}
	return out
}

func apart(r *rig.Rig, a, b int) float64 {
	if a < 0 || b < 0 || r.Units[a].Guessed(rig.GuessedPlace) || r.Units[b].Guessed(rig.GuessedPlace) {
		return 0
	}
	return float64(si.Apart(r.Units[a].At, r.Units[b].At))
}

func aboutCable(c *rig.Cable) string {
	var out []string
	if c.Section != (rig.Conductor{}) {
		out = append(out, strings.Replace(c.Section.String(), "mm2", "mm²", 1))
	}
	if c.Connector > 0 {
		out = append(out, "connectors for "+c.Connector.String())
	}
	return strings.Join(out, ", ")
}

func optional(v float64, form string) string {
	if v == 0 {
		return ""
	}
	return fmt.Sprintf(form, v)
}

// cableSchedule lists all cables, with room to write in what was taken.
func cableSchedule(_ context.Context, s *Subject) ([]typeset.Block, error) {
	r := s.Show.Rig
	data, supply := dataCables(r), supplyCables(r)
	out := []typeset.Block{&typeset.Heading{Text: "Data"}}
	if len(r.Lines) == 0 {
		out = append(out, words("No data line is written down yet: `lines` in rig.yaml lists the units of each from the output on."))
	}
	for _, entry := range r.Lines {
		out = append(out, words(strong("Line "+entry.Name)+": "+aboutLine(&entry.Value)))
		out = append(out, cableTable(data, entry.Name))
	}
	if loose := offLines(r); loose != "" {
		out = append(out, boxed(strong("On no data line:")+" "+loose))
	}
	out = append(out, words("A line runs from unit to unit, with no branch and no microphone cable, and ends in a terminator (120 Ω, ANSI E1.11). Data keeps away from supply cables. A spare data cable lies ready to the farthest unit."))
	out = append(out, &typeset.Heading{Text: "Supply"}, cableTable(supply, ""))
	sum, said := 0.0, 0
	for _, c := range supply {
		if c.length > 0 {
			sum, said = sum+c.length, said+1
		}
	}
	lines := 0.0
	for _, entry := range r.Lines {
		lines += float64(entry.Value.Length)
	}
	out = append(out, words(fmt.Sprintf(strong("In all:")+" %s of data cable, %g m together by what the lines say; %s of supply cable, %g m together, as far as lengths are said (%d).",
		si.Count(len(data), "piece", "pieces"), lines, si.Count(len(supply), "piece", "pieces"), sum, said)),
		boxed("Cables cross no way on which people walk, or lie under a ramp or tape over their whole width. A reel is unwound before it is loaded. What is outdoors or damp, and every temporary supply, is for a competent person."))
	return out, nil
}

// aboutLine is what is known of a data line.
func aboutLine(l *rig.Line) string {
	var out []string
	if l.Universe > 0 {
		out = append(out, fmt.Sprintf("universe %d", l.Universe))
	}
	if l.From != "" {
		out = append(out, "from "+l.From)
	}
	if l.Length > 0 {
		out = append(out, l.Length.String()+" in all")
	}
	if l.Cable != "" {
		out = append(out, string(l.Cable)+" cable")
	}
	if l.Terminated != nil {
		out = append(out, map[bool]string{true: "terminated at the last unit", false: "no terminator"}[*l.Terminated])
	}
	if l.Isolated != nil && *l.Isolated {
		out = append(out, "isolated leg")
	}
	if l.Adaptors > 0 {
		out = append(out, si.Count(l.Adaptors, "adaptor", "adaptors"))
	}
	if l.Wireless {
		out = append(out, "some of it by radio")
	}
	return strings.Join(out, ", ") + "."
}

func cableTable(list []cable, of string) *typeset.Table {
	t := &typeset.Table{Columns: []typeset.Column{{Head: "Cable", Bold: true}, {Head: "From"}, {Head: "To"}, {Head: "Length, m", Right: true}, {Head: "Straight, m", Right: true}, {Head: "What"},
		{Head: "Taken", Least: 8}, {Head: "Laid", Least: 3}}}
	for _, c := range list {
		if of == "" || c.line == of {
			t.Rows = append(t.Rows, row(c.name, c.from, c.to, optional(c.length, "%g"), optional(c.straight, "%.1f"), c.about, "", typeset.Box))
		}
	}
	return t
}

// offLines names the units that stand on no line.
func offLines(r *rig.Rig) string {
	on := map[string]bool{}
	for _, entry := range r.Lines {
		for _, name := range entry.Value.Order {
			on[name] = true
		}
	}
	var out []string
	for i := range r.Units {
		if name := r.Units[i].Name.Name; !on[name] {
			out = append(out, name)
		}
	}
	return strings.Join(out, ", ")
}
