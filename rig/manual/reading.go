package manual

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Reading is what a slot table was read as.
type Reading struct {
	Modes     []Mode
	Emitters  []string // those that slots drive, then those that the text only names
	Cells     int
	Traps     []Trap
	Questions []Question

	uvApart bool         // a note says that ultraviolet follows no master
	noted   map[int]bool // numbers that stand in notes
	tried   int          // modes in passing that were looked at
}

// Mode is a mode of the table.
type Mode struct {
	Name  string
	Line  int
	Slots []Slot
}

// Question is what a person must say: the table does not, or not for certain.
type Question struct {
	Mode string `json:"mode,omitempty"`
	Slot int    `json:"slot,omitempty"`
	Text string `json:"text"`
}

// Read reads a slot table of any build. It never fails: what it does not understand is a
// question, and a text in which it finds no slot at all is one too.
func Read(data []byte) *Reading {
	lines, said, whole := clean(data)
	lines = namedModes(furniture(figures(lines)))
	r := walk(layout(grids(besideEach(pieced(slotLists(centred(lines)))))), said)
	if len(r.plans) == 0 {
		if told := prose(lines); told != nil {
			r = walk(told, said)
		}
	}
	out := &Reading{}
	if !whole {
		out.ask("", 0, "the text was too long, and its end was left out")
	}
	percent := r.inPercent()
	if r.bound() {
		out.ask("", 0, "so many slots stand in the text that the rest was left out")
	}
	for i := range r.plans {
		out.Modes = append(out.Modes, r.plans[i].read(out, percent))
	}
	out.names(r)
	out.askAmended(r)
	out.briefs(r)
	for _, h := range r.after {
		if h.count > 0 && !slices.ContainsFunc(out.Modes, func(m Mode) bool { return m.footprint() == h.count }) {
			out.ask("", 0, fmt.Sprintf("line %d speaks of %d slots, and no table of so many was found", h.line, h.count))
		}
	}
	for _, l := range lines {
		if n := headless(out, l.text); n != "" {
			out.ask("", 0, fmt.Sprintf("line %d names modes of %s slots, and no tables of so many were found", l.number, n))
		}
	}
	for _, l := range r.left {
		out.ask("", 0, fmt.Sprintf("line %d belongs to no slot, and may say more of some: %s", l.number, strings.TrimSpace(l.text)))
	}
	out.counts(r.lines)
	if len(out.Modes) == 0 {
		out.ask("", 0, "no slot was found: each begins with its number, as in \"CH1 Red 0-255\"")
		return out
	}
	out.uvApart, out.noted = uvNote(r.notes), numbersOf(r.notes)
	out.mastered(r)
	out.gather(r)
	for i := range out.Modes {
		out.finish(&out.Modes[i])
	}
	out.traps()
	return out
}

var addressCount = regexp.MustCompile(`(?i)\b(\d{1,3}) (?:addresses|adressen|adresses|direcciones|indirizzi)\b`)

// counts asks for modes of so many slots as the text speaks of somewhere, and that were not found.
func (o *Reading) counts(lines []line) {
	for _, l := range lines {
		for _, m := range append(countNames.FindAllStringSubmatch(l.text, -1), addressCount.FindAllStringSubmatch(l.text, -1)...) {
			n, _ := strconv.Atoi(m[1])
			if n > 1 && n < 512 && len(o.Modes) > 0 && !slices.ContainsFunc(o.Modes, func(mode Mode) bool { return mode.footprint() == n }) {
				o.ask("", 0, fmt.Sprintf("line %d speaks of %d slots, and no table of so many was found", l.number, n))
			}
		}
	}
}

// headless is the counts of modes that the head of a table names, and that no mode has; "" for other lines.
func headless(o *Reading, text string) string {
	all := countNames.FindAllStringSubmatch(text, -1)
	if len(all) < 2 || len(strings.Fields(text)) > 2*len(all)+4 {
		return ""
	}
	var bare []string
	for _, m := range all {
		if !slices.ContainsFunc(o.Modes, func(mode Mode) bool { return strconv.Itoa(mode.footprint()) == m[1] }) && !slices.Contains(bare, m[1]) {
			bare = append(bare, m[1])
		}
	}
	if len(bare) < 2 {
		return ""
	}
	return strings.Join(bare, " and ")
}

// numbersOf are the numbers that stand in notes, alone or as slots.
func numbersOf(notes [][]token) map[int]bool {
	out := map[int]bool{}
	for _, n := range notes {
		for _, t := range n {
			switch t.kind {
			case isNumber:
				out[t.from] = true
			case isSlots:
				for _, k := range t.slots {
					out[k] = true
				}
			}
		}
	}
	return out
}

func (o *Reading) ask(mode string, slot int, text string) {
	q := Question{mode, slot, text}
	if !slices.Contains(o.Questions, q) {
		o.Questions = append(o.Questions, q)
	}
}

// names makes the names of modes differ, and gives a mode the name that a later line has for
// one of its size.
func (o *Reading) names(r *rows) {
	for i := range o.Modes {
		m := &o.Modes[i]
		if r.plans[i].heading.name == "" {
			for _, h := range r.after {
				if h.count == m.footprint() {
					m.Name = strings.TrimSpace(h.name)
				}
			}
		}
		for k := range i {
			if SameName(o.Modes[k].Name) == SameName(m.Name) {
				m.Name = fmt.Sprintf("%s (%d)", m.Name, i+1)
			}
		}
	}
	for i := range o.Modes {
		for j := range o.Questions { // asked before the mode had its name
			if q := &o.Questions[j]; strings.HasPrefix(q.Mode, "0 channel") {
				q.Mode = o.Modes[i].Name
			}
		}
	}
}
