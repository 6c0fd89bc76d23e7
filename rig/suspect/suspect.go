package suspect

import (
	"fmt"
	"slices"

	"lampblack/rig"
)

// Symptom is what a unit does.
type Symptom string

// What units do.
const (
	Fine     Symptom = "fine"
	Dead     Symptom = "dead"     // nothing is lit, not even its display
	Deaf     Symptom = "deaf"     // it is on and does not follow
	Wrong    Symptom = "wrong"    // it follows, and not as it should
	Flickers Symptom = "flickers" // or jumps
	Alone    Symptom = "alone"    // it runs by itself
	Unseen   Symptom = "unseen"   // nobody looked
)

// Symptoms lists those that a person may say.
var Symptoms = []Symptom{Dead, Deaf, Wrong, Flickers, Alone, Fine, Unseen}

// Kind is a kind of suspect.
type Kind string

// The kinds.
const (
	Computer   Kind = "computer"
	Output     Kind = "output"
	Leg        Kind = "splitter leg"
	Cable      Kind = "cable"
	Adaptor    Kind = "adaptor"
	Passing    Kind = "data out"
	Drags      Kind = "drags"
	Terminator Kind = "terminator"
	Radio      Kind = "radio"
	Settings   Kind = "settings" // address, mode, or a program of its own: one look at one display
	Lamp       Kind = "unit"
	Lead       Kind = "lead"
	Through    Kind = "supply outlet"
	Breaker    Kind = "breaker"
	Device     Kind = "residual current device"
)

// part is what is known of a kind: its odds beside the others, what mends it and what that costs
// (common practice, no source; trade guides name cables, connectors and settings first).
type part struct {
	odds, minutes float64
	walks         int
}

var parts = map[Kind]part{
	Computer: {4, 2, 0}, Output: {3, 5, 1}, Leg: {2, 2, 1}, Cable: {10, 4, 2}, Adaptor: {6, 2, 1}, Passing: {3, 8, 2},
	Drags: {2, 3, 1}, Terminator: {3, 2, 1}, Radio: {12, 6, 2}, Settings: {13, 3, 1},
	Lamp: {5, 15, 2}, Lead: {5, 3, 1}, Through: {2, 4, 2}, Breaker: {4, 2, 1}, Device: {3, 3, 1},
}

// What a walk and a ladder cost beside the work, minutes (common practice, no source).
const (
	walkMinutes   = 2
	ladderMinutes = 5
	ladderFrom    = 2.3 // m, over which one is needed
)

// Cost is what a step takes.
type Cost struct {
	Minutes float64
	Walks   int
	Ladder  bool
}

// All is the cost in minutes, walks and ladder among them.
func (c Cost) All() float64 {
	all := c.Minutes + float64(walkMinutes*c.Walks)
	if c.Ladder {
		all += ladderMinutes
	}
	return all
}

// Suspect is one thing that may be at fault.
type Suspect struct {
	Kind    Kind
	Name    string // what it is, in words
	Mend    string // what is done about it
	Cost    Cost   // of that
	Unit    int    // that it is at or leads to; -1 for none
	Line    string
	Circuit string
	Share   float64 // how likely it is, once what was seen counts

	odds float64
	ways []way
	at   int // place on its line, from 0
}

// way is one way in which a suspect shows: what units do that are not fine.
type way struct {
	weight float64
	units  []int
	does   Symptom // noData: what each does without data
}

const noData Symptom = "no data"

// line is a data line with its units.
type line struct {
	name  string
	units []int
	says  *rig.Line // nil for units that no line names
}

// model is a rig's suspects.
type model struct {
	rig      *rig.Rig
	lines    []line
	on       []int // by unit: its line
	place    []int // by unit: where on it
	feeds    [][]int
	suspects []Suspect
	seen     []Symptom // by unit: what it is said to do
	first    []Symptom // by unit: for sums over two suspects
}

// modelOf lists all that may be at fault on a rig.
func modelOf(r *rig.Rig) *model {
	m := &model{rig: r, on: make([]int, len(r.Units)), place: make([]int, len(r.Units)), feeds: make([][]int, len(r.Units)), first: make([]Symptom, len(r.Units))}
	m.chains()
	index := map[string]int{}
	for i := range r.Units {
		index[r.Units[i].Name.Name] = i
	}
	for i := range r.Units {
		if by, known := index[r.Units[i].FedBy.Name]; known && by != i {
			m.feeds[by] = append(m.feeds[by], i)
		}
	}
	m.wire()
	m.units()
	m.supply()
	return m
}

// chains finds the lines: those of the rig, and for each universe one of the units that no line names,
// in the order of the file.
func (m *model) chains() {
	for i := range m.on {
		m.on[i] = -1
	}
	for i := range m.rig.Lines {
		e := &m.rig.Lines[i]
		l := line{name: e.Name, says: &e.Value}
		for _, name := range e.Value.Order {
			if u := m.rig.Index(name); u >= 0 && m.on[u] < 0 {
				m.join(&l, u)
			}
		}
		for u := range m.rig.Units {
			if m.rig.Units[u].Line.Name == e.Name && m.on[u] < 0 {
				m.join(&l, u)
			}
		}
		m.lines = append(m.lines, l)
	}
	bare := map[int]int{}
	for u := range m.rig.Units {
		if m.on[u] >= 0 {
			continue
		}
		universe := m.rig.Units[u].Universe
		k, known := bare[universe]
		if !known {
			k = len(m.lines)
			bare[universe] = k
			m.lines = append(m.lines, line{name: fmt.Sprintf("of universe %d", universe)})
		}
		l := &m.lines[k]
		m.on[u], m.place[u] = k, len(l.units)
		l.units = append(l.units, u)
	}
}

func (m *model) join(l *line, u int) {
	m.on[u], m.place[u] = len(m.lines), len(l.units)
	l.units = append(l.units, u)
}

// unordered tells which lines' order nobody said.
func (m *model) unordered() (out []string) {
	for i := range m.lines {
		if m.lines[i].says == nil && len(m.lines[i].units) > 1 {
			out = append(out, m.lines[i].name)
		}
	}
	return out
}

func (m *model) name(u int) string { return m.rig.Units[u].Name.Name }

// ladder tells whether a unit is out of reach.
func (m *model) ladder(u int) bool { return u >= 0 && m.rig.Units[u].At[2] >= ladderFrom }

// add puts a suspect on the list.
func (m *model) add(s Suspect, factor float64, ways ...way) {
	p := parts[s.Kind]
	s.Cost = Cost{p.minutes, p.walks, m.ladder(s.Unit)}
	s.odds = p.odds * factor
	s.ways = slices.DeleteFunc(ways, func(w way) bool { return len(w.units) == 0 })
	if len(s.ways) > 0 && factor > 0 {
		m.suspects = append(m.suspects, s)
	}
}

// all is a way in which some units do the same.
func all(weight float64, does Symptom, units ...int) way { return way{weight, units, does} }

// without is a way in which some units get no data.
func without(weight float64, units []int) way { return way{weight, units, noData} }

// does is what a unit does in a way.
func (m *model) does(w *way, u int) Symptom {
	if w.does != noData {
		return w.does
	}
	unit := &m.rig.Units[u]
	loss := unit.OnLoss
	if loss == rig.LossUnknown && unit.Type != nil {
		loss = unit.Type.OnLoss
	}
	if loss == rig.LossProgram {
		return Alone
	}
	return Deaf
}

// wire lists what data lines are made of.
func (m *model) wire() {
	universes := map[int][]int{}
	var order []int
	for u := range m.rig.Units {
		n := m.rig.Units[u].Universe
		if universes[n] == nil {
			order = append(order, n)
		}
		universes[n] = append(universes[n], u)
	}
	everyone := make([]int, len(m.rig.Units))
	for u := range everyone {
		everyone[u] = u
	}
	m.add(Suspect{Kind: Computer, Unit: -1, Name: "the computer, which sends nothing or asks for nothing", Mend: "look at the run: do cues go, are the outputs sending, is nothing held or out"}, 1, all(1, Deaf, everyone...))
	for _, n := range order {
		m.add(Suspect{Kind: Output, Unit: -1, Name: fmt.Sprintf("the output of universe %d, or its cable to the computer", n), Mend: "start the interface again with its cable plugged in anew, or take another"}, 1,
			without(.8, universes[n]), all(.2, Flickers, universes[n]...))
	}
	for i := range m.lines {
		m.line(&m.lines[i])
	}
}

// line lists what one data line is made of.
func (m *model) line(l *line) {
	if len(l.units) == 0 {
		return
	}
	last := l.units[len(l.units)-1]
	says := l.says
	if says == nil {
		says = &rig.Line{}
	}
	if says.From != "" && len(m.lines) > 1 {
		m.add(Suspect{Kind: Leg, Unit: -1, Line: l.name, Name: says.From + ", which feeds line " + l.name, Mend: "plug line " + l.name + " into another leg or output that works"}, 1, without(.8, l.units), all(.2, Flickers, l.units...))
	}
	cable := 1.
	if says.Cable == rig.CableMicrophone {
		cable = 2
	}
	for k, u := range l.units {
		from := "the output"
		if says.From != "" {
			from = says.From
		}
		if k > 0 {
			from = m.name(l.units[k-1])
			m.add(Suspect{Kind: Passing, Unit: l.units[k-1], Line: l.name, at: k - 1, Name: "the data outlet of " + from, Mend: "go round " + from + ": the cable that comes to it straight into " + m.name(u)}, 1, without(.85, l.units[k:]), all(.15, Flickers, l.units[k:]...))
		}
		m.add(Suspect{Kind: Cable, Unit: u, Line: l.name, at: k, Name: "the cable from " + from + " to " + m.name(u) + ", or its plugs", Mend: "push both plugs in; if that is no help put the spare in the place of the cable from " + from + " to " + m.name(u)}, cable,
			without(.75, l.units[k:]), all(.25, Flickers, l.units[k:]...))
		m.add(Suspect{Kind: Drags, Unit: u, Line: l.name, at: k, Name: m.name(u) + ", which sends on the line itself or drags it down", Mend: "set " + m.name(u) + " to take data and not to lead others; if that is no help go round it"}, 1,
			all(.6, Flickers, l.units...), without(.4, l.units))
	}
	open := 1.
	if says.Terminated != nil && !*says.Terminated {
		open = 5
	}
	tail := l.units[len(l.units)-max(1, len(l.units)/3):]
	m.add(Suspect{Kind: Terminator, Unit: last, Line: l.name, Name: "the terminator in " + m.name(last) + ", which is missing or broken", Mend: "put a terminator that is known to be good into " + m.name(last)}, open,
		all(.5, Flickers, l.units...), all(.3, Flickers, tail...), all(.2, Flickers, last))
	if says.Adaptors > 0 {
		m.adaptors(l)
	}
	if says.Wireless {
		m.add(Suspect{Kind: Radio, Unit: -1, Line: l.name, Name: "the radio of line " + l.name, Mend: "take the spare cable in place of the radio"}, 1, all(.5, Flickers, l.units...), without(.5, l.units))
	}
}

// adaptors lists an adaptor that may sit before any unit.
func (m *model) adaptors(l *line) {
	var ways []way
	for k := range l.units {
		ways = append(ways, without(.7/float64(len(l.units)), l.units[k:]), all(.3/float64(len(l.units)), Flickers, l.units[k:]...))
	}
	m.add(Suspect{Kind: Adaptor, Unit: -1, Line: l.name, Name: "an adaptor on line " + l.name, Mend: "try each adaptor of line " + l.name + " alone; some cross two pins"}, 1, ways...)
}

// units lists what can be wrong with each unit by itself.
func (m *model) units() {
	for u := range m.rig.Units {
		unit := &m.rig.Units[u]
		name, l := m.name(u), m.lines[m.on[u]].name
		mode := "its mode"
		if unit.ModeName.Name != "" {
			mode = "mode " + unit.ModeName.Name
		}
		m.add(Suspect{Kind: Settings, Unit: u, Line: l, Name: "what " + name + " is set to: its address, its mode, or a program of its own",
			Mend: fmt.Sprintf("read on %s address %d, %s, and that it takes data and leads no others; set right what is otherwise", name, unit.Address, mode)}, 1,
			all(.6, Wrong, u), all(.2, Deaf, u), all(.2, Alone, u))
		m.add(Suspect{Kind: Lamp, Unit: u, Line: l, Name: name + " itself", Mend: "hang another unit in the place of " + name}, 1, all(.35, Deaf, u), all(.25, Dead, u), all(.2, Wrong, u), all(.2, Flickers, u))
	}
}

// below lists a unit and all that it feeds.
func (m *model) below(u int) []int {
	out, seen := []int{u}, map[int]bool{u: true}
	for i := 0; i < len(out); i++ {
		for _, c := range m.feeds[out[i]] {
			if !seen[c] {
				seen[c] = true
				out = append(out, c)
			}
		}
	}
	return out
}

// supply lists what the supply is made of. What hangs behind a dead unit gets no data through it either
// on most, but is dead itself where it is fed by it.
func (m *model) supply() {
	r := m.rig
	for u := range r.Units {
		below := m.below(u)
		m.add(Suspect{Kind: Lead, Unit: u, Circuit: r.Units[u].Circuit.Name, Name: "the lead of " + m.name(u) + ", its plugs or its fuse", Mend: "push the plugs of its lead in; if that is no help take another lead for " + m.name(u)}, 1, all(.7, Dead, below...), all(.3, Dead, u))
		if len(below) > 1 {
			m.add(Suspect{Kind: Through, Unit: u, Name: "the supply outlet of " + m.name(u), Mend: "feed what is plugged into " + m.name(u) + " from another outlet"}, 1, all(1, Dead, below[1:]...))
		}
	}
	devices := map[string][]int{}
	var order []string
	for i := range r.Circuits {
		c := &r.Circuits[i]
		var units []int
		for u := range r.Units {
			if r.Units[u].Circuit.Name == c.Name && r.Units[u].FedBy.Name == "" {
				units = append(units, m.below(u)...)
			}
		}
		m.add(Suspect{Kind: Breaker, Unit: -1, Circuit: c.Name, Name: "a tripped breaker, that of circuit " + c.Name, Mend: "take load off circuit " + c.Name + ", then switch its breaker on once; if it trips again leave it off"}, 1, all(1, Dead, units...))
		device := c.Name
		if n := c.Value.Shares.Name; n != "" {
			device = n
		}
		if devices[device] == nil {
			order = append(order, device)
		}
		devices[device] = append(devices[device], units...)
	}
	for _, d := range order {
		if e := r.Circuits.Get(d); e != nil && e.RCD > 0 {
			m.add(Suspect{Kind: Device, Unit: -1, Circuit: d, Name: "a tripped residual current device, that of circuit " + d,
				Mend: "somebody may have had a shock: look first. Unplug all behind it, switch it on once, plug one after another in; what trips it stays out"}, 1, all(1, Dead, devices[d]...))
		}
	}
}
