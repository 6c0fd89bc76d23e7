package lines

import (
	"fmt"
	"slices"
	"strings"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// Limits of a data line.
const (
	mostLoads = 32 // EIA-485 unit loads, ANSI E1.11
	// m, common practice: EIA-485 itself goes to 1200 m (from memory), and E1.11 gives no
	// figure that was read.
	longLine = 300.0
	// us: break and mark after break, the least that a sender may take (ANSI E1.11).
	refreshFix = 92 + 12
	slotTime   = 44 // us; ANSI E1.11: 11 bits at 250 kbit/s
)

// Refresh returns how long one packet of n slots takes at least, in microseconds: break
// 92, mark after break 12, and 44 for the START code and each slot (ANSI E1.11). It is
// the least: senders may wait between slots and packets.
func Refresh(n int) int { return refreshFix + slotTime*(n+1) }

const loadSource = "ANSI E1.11, on EIA-485: 32 unit loads on a line"

// lines looks at the data lines.
func (r *limits) lines() {
	rg := r.Rig()
	var bare, open []string
	for i := range rg.Lines {
		r.line(&rg.Lines[i])
		if rg.Lines[i].Value.Terminated == nil {
			open = append(open, rg.Lines[i].Name)
		}
	}
	for i := range rg.Units {
		if u := &rg.Units[i]; u.Line.Name == "" && !r.listed(u.Name.Name) {
			bare = append(bare, u.Name.Name)
		}
	}
	if bare != nil {
		r.Lack(subject.Lines, bare, OfLines...)
	}
	if open != nil {
		r.Lack(subject.Ends, open, "line-terminator")
	}
}

// OfLines are the limits that ask how a data line runs.
var OfLines = []string{"line-adaptors", "line-branch", "line-cable", "line-isolation", "line-length", "line-loads", "line-order", "line-short", "line-terminator", "line-universe", "line-wireless"}

// listed tells whether any line's order names the unit.
func (r *limits) listed(unit string) bool {
	return slices.ContainsFunc(r.Rig().Lines, func(l source.Entry[rig.Line]) bool { return slices.Contains(l.Value.Order, unit) })
}

// onLine lists the units of a line: those of its order, then others that say they are
// on it. The order on the line matters for the terminator alone, which belongs in the
// last unit.
func (r *limits) onLine(l *source.Entry[rig.Line]) []int {
	var out []int
	for _, n := range l.Value.Order {
		if u := r.Rig().Index(n); u >= 0 && !slices.Contains(out, u) {
			out = append(out, u)
		}
	}
	for i := range r.Rig().Units {
		if r.Rig().Units[i].Line.Name == l.Name && !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	return out
}

// line holds one data line against its limits. What the file does not say is no fault.
// Nothing here is a stop but loads and universes, since lines that break these
// rules often work for a while; that is what makes them dangerous on the night.
func (r *limits) line(l *source.Entry[rig.Line]) {
	units := r.onLine(l)
	base := finding.Finding{Place: finding.Thing("line", l.Name), Source: "common practice"}.At(l.Pos)
	r.loads(l, units, base)
	r.universeOf(l, units)
	r.unordered(l)
	r.joins(l, units)
	r.short(l, units)
	v := &l.Value
	if v.Terminated != nil && !*v.Terminated {
		f := base.As("line-terminator", finding.Warn, "data line %s has no terminator", l.Name)
		f.Source = "EIA-485, ANSI E1.11: 120 ohm between data- and data+ at the far end"
		f.Cure = finding.Say("put a terminator into the last unit%s", lastOf(r, units))
		r.Add(f)
	}
	if v.Length > longLine {
		f := base.As("line-length", finding.Warn, "data line %s is long", l.Name)
		f.Value, f.Limit, f.Unit = float64(v.Length), longLine, "m"
		f.Cure = finding.Say("put a repeater or splitter in it")
		r.Add(f)
	}
	if v.Adaptors > 0 {
		f := base.As("line-adaptors", finding.Note, "data line %s has %s between 3-pin and 5-pin connectors", l.Name, si.Count(v.Adaptors, "adaptor", "adaptors"))
		f.Value, f.Unit = float64(v.Adaptors), "adaptors"
		f.Source = "ANSI E1.11 knows the 5-pin connector alone (from memory)"
		f.Cure = finding.Say("some old units have pins 2 and 3 the other way round; try each adaptor alone")
		r.Add(f)
	}
	if v.Cable == rig.CableMicrophone {
		f := base.As("line-cable", finding.Warn, "data line %s is made of microphone cable", l.Name)
		f.Source = "ANSI E1.11: twisted pair of 120 ohm"
		r.Add(f)
	}
	if v.Branches {
		f := base.As("line-branch", finding.Warn, "data line %s branches without a splitter", l.Name)
		f.Source = "EIA-485: a chain, no branches"
		r.Add(f)
	}
	if v.Wireless && !v.SpareWire {
		f := base.As("line-wireless", finding.Warn, "data line %s goes by radio, and no spare cable is laid", l.Name)
		f.Cure = finding.Say("lay a tested cable beside it: an audience's telephones share the band")
		r.Add(f)
	}
	if v.Isolated != nil && !*v.Isolated && v.From != "" && r.legs(v.From) > 1 {
		f := base.As("line-branch", finding.Note, "the splitter leg that feeds data line %s is not isolated", l.Name)
		f.Cure = finding.Say("an isolated leg keeps one unit's fault from the others")
		r.Add(f)
	}
}

// unordered finds units that say they are on a line whose order leaves them out: the plan of the cables
// does without them.
func (r *limits) unordered(l *source.Entry[rig.Line]) {
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		if len(l.Value.Order) == 0 || u.Line.Name != l.Name || slices.Contains(l.Value.Order, u.Name.Name) {
			continue
		}
		f := finding.Finding{ID: "line-order", Severity: finding.Warn, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Source: "the rig's own lines",
			Says: finding.Say("unit %s says that it is on data line %s, and the order of that line leaves it out: is it plugged in?", u.Name.Name, l.Name),
			Cure: finding.Say("put it into the order where its cable comes, or take its line away")}
		r.Add(f.At(u.Name.Pos))
	}
}

// joins finds lines without isolation whose units take their mains from different phases: the line
// joins their earths, and a fault of one goes through all.
func (r *limits) joins(l *source.Entry[rig.Line], units []int) {
	if l.Value.Isolated == nil || *l.Value.Isolated {
		return
	}
	var phases []string
	for _, u := range units {
		if p := r.phase(u); p != "" && !slices.Contains(phases, p) {
			phases = append(phases, p)
		}
	}
	if len(phases) < 2 {
		return
	}
	slices.Sort(phases)
	f := finding.Finding{ID: "line-isolation", Severity: finding.Warn, Place: finding.Thing("line", l.Name), Units: r.UnitNames(units), Source: "common practice, no source: an isolated splitter between units of different phases",
		Says: finding.Say("data line %s is not isolated and joins units on phases %s: a fault in the mains of one may come through the data cable to all", l.Name, strings.Join(phases, " and ")),
		Cure: finding.Say("feed the units of each phase from an isolated leg of a splitter")}
	r.Add(f.At(l.Pos))
}

// phase is that of the circuit from which a unit has its mains, "" where nobody says.
func (r *limits) phase(unit int) string {
	for range r.Rig().Units { // a ring of supplies is told elsewhere
		u := &r.Rig().Units[unit]
		if by := r.Rig().Index(u.FedBy.Name); u.FedBy.Name != "" && by >= 0 {
			unit = by
			continue
		}
		if c := r.Rig().Circuits.Get(u.Circuit.Name); c != nil {
			return string(c.Phase)
		}
		break
	}
	return ""
}

func lastOf(r *limits, units []int) string {
	if len(units) == 0 {
		return ""
	}
	return ", " + r.Unit(units[len(units)-1])
}

// legs counts the lines that one splitter or output feeds. "splitter leg 1" and
// "splitter leg 2" are two legs of one device.
func (r *limits) legs(from string) int {
	device := func(s string) string { name, _, _ := strings.Cut(s, " leg"); return name }
	n := 0
	for _, l := range r.Rig().Lines {
		if device(l.Value.From) == device(from) {
			n++
		}
	}
	return n
}

// loads sums what the receivers on a line draw from its driver. The standard's 32 are
// loads, not units: a type may say that its receiver is an eighth of one, and one that
// does not say counts as 1.
func (r *limits) loads(l *source.Entry[rig.Line], units []int, base finding.Finding) {
	sum := 0.0
	for _, u := range units {
		load := 1.0
		if t := r.Rig().Units[u].Type; t != nil && t.Loads > 0 {
			load = float64(t.Loads)
		}
		sum += load
	}
	if sum <= mostLoads {
		return
	}
	f := base.As("line-loads", finding.Stop, "data line %s has more unit loads than it can drive", l.Name)
	f.Value, f.Limit, f.Unit = sum, mostLoads, "unit loads"
	f.Source, f.Cure = loadSource, finding.Say("feed some of them from another leg of a splitter")
	f.Assumed = "1 unit load for a type that does not say"
	r.Add(f)
}

// universeOf finds units that are set to another universe than their line carries,
// which is a stop: such a unit will follow what is meant for others, or nothing.
func (r *limits) universeOf(l *source.Entry[rig.Line], units []int) {
	if l.Value.Universe == 0 {
		return
	}
	for _, i := range units {
		u := &r.Rig().Units[i]
		if u.Universe == l.Value.Universe {
			continue
		}
		f := finding.Finding{ID: "line-universe", Severity: finding.Stop, Value: float64(u.Universe), Limit: float64(l.Value.Universe), Unit: "universe",
			Says:  finding.Say("unit %s is set to universe %d, and its data line %s carries universe %d", u.Name.Name, u.Universe, l.Name, l.Value.Universe),
			Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Source: "ANSI E1.11: a line carries one universe"}
		r.Add(f.At(u.Name.Pos))
	}
}

// refresh reports universes in which a change waits long for its slot. A sender need
// not send all 512 slots, so the last one in use decides. Half a universe takes 11.4
// ms, which no one sees; above it the time of a frame at 44 Hz comes near.
func (r *limits) refresh() {
	last := map[int]int{}
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		if u.Mode != nil {
			last[u.Universe] = max(last[u.Universe], u.Address+u.Mode.Footprint-1)
		}
	}
	for _, n := range r.Rig().Universes() {
		slots := min(last[n], 512)
		if slots <= 256 {
			continue
		}
		ms := float64(Refresh(slots)) / 1000
		f := finding.Finding{ID: "line-refresh", Severity: finding.Note, Value: ms, Limit: 1000. / 44, Unit: "ms", Place: fmt.Sprintf("universe %d", n),
			Says:   finding.Say("universe %d has slots up to %d: a change waits up to %.1f ms for its slot, and accents are no finer than that", n, slots, ms),
			Source: "ANSI E1.11: 92 us break, 12 us mark, 44 us a slot"}
		r.Add(f)
	}
}

// losses reports what units do when the data stops while people are in the dark, and those that then do
// as they like. What a
// unit's own entry says of it outranks its type. Units that do the same by the same
// word make one finding. Holding is what is wanted: the light that people walk by
// stays.
func (r *limits) losses() {
	people := r.peopleMove()
	type setting struct {
		does rig.DataLoss
		kind string
	}
	groups := map[setting][]int{}
	var order []setting
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		if u.Type == nil {
			continue
		}
		s := setting{u.WithoutData(), "unit " + u.Name.Name}
		if u.OnLoss == rig.LossUnknown {
			s.kind = "fixture type " + u.TypeName.Name
		}
		if s.does == rig.LossDark && u.BlackLight() {
			continue // nobody walks by it
		}
		if s.does == rig.LossHold || !people && s.does != rig.LossProgram {
			continue
		}
		if groups[s] == nil {
			order = append(order, s)
		}
		groups[s] = append(groups[s], i)
	}
	var unsaid []string
	for _, s := range order {
		if s.does == rig.LossUnknown {
			unsaid = append(unsaid, s.kind)
			continue
		}
		r.loss(s.does, s.kind, groups[s])
	}
	if unsaid != nil {
		r.Lack(subject.Losses, unsaid, "line-loss")
	}
}

// loss tells what some units do without data. Its place is where that was said, as that
// is where it is to be changed.
func (r *limits) loss(does rig.DataLoss, kind string, units []int) {
	f := finding.Finding{ID: "line-loss", Severity: finding.Warn, Place: kind, Source: "common practice; ANSI E1.11 leaves it to the maker",
		Says: finding.Say("%s: without data it is %q, while people move in the dark", kind, string(does)),
		Cure: finding.Say("set it to hold, and try it by pulling the data plug")}
	if does == rig.LossProgram {
		f.Says = finding.Say("%s: without data it runs a program of its own: nobody knows how bright it is then, or how fast it flashes", kind)
	}
	for _, u := range units {
		f.Units = append(f.Units, r.Unit(u))
	}
	u := &r.Rig().Units[units[0]]
	pos := u.Type.Pos
	if u.OnLoss != rig.LossUnknown {
		pos = u.Name.Pos
	}
	r.Add(f.At(pos))
}

// peopleMove tells whether anybody moves in the dark: a look says so, or the
// room has paths.
func (r *limits) peopleMove() bool {
	if r.Show != nil {
		for _, l := range r.Show.Score.Looks {
			if l.Value.Dim {
				return true
			}
		}
	}
	return len(r.Room().Paths) > 0
}
