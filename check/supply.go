package check

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"lampblack/rig"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// What is taken where the files do not say.
const (
	plainFactor  = .5  // power factor of small LED supplies without correction, common practice
	plainInlet   = 10  // A: C13/C14 couplers of IEC 60320
	plainVoltage = 230 // V
	continuous   = 3 * time.Hour
)

// feeding is how the units hang on one circuit.
type feeding struct {
	entry *source.Entry[rig.Circuit]
	heads []int // fed straight from it
	all   []int // heads and what they feed
}

// supply looks at circuits, link chains and cables.
func (r *report) supply() {
	rg := r.show.Rig
	if len(rg.Circuits) == 0 && len(rg.Units) > 0 {
		r.add(Finding{ID: "supply-unknown", Severity: Note, Place: "rig",
			Text: "the supply circuits are not described, so load, chains, surge and leakage were not looked at",
			Hint: "add circuits to rig.yaml, and circuit or fed by to each unit", Source: "common practice"})
		return
	}
	r.unfed()
	feeds := make([]feeding, len(rg.Circuits))
	for i := range rg.Circuits {
		feeds[i] = r.feeding(&rg.Circuits[i])
		r.circuit(&feeds[i])
	}
	r.leakage(feeds)
	r.phases(feeds)
}

// children lists the units that unit u feeds.
func (r *report) children(u int) []int {
	if r.fed == nil {
		r.fed = make([][]int, len(r.show.Rig.Units))
		index := map[string]int{}
		for i := range r.show.Rig.Units {
			index[r.unit(i)] = i
		}
		for i := range r.show.Rig.Units {
			if by, ok := index[r.show.Rig.Units[i].FedBy.Name]; ok {
				r.fed[by] = append(r.fed[by], i)
			}
		}
	}
	return r.fed[u]
}

// below lists u and all that it feeds, each once.
func (r *report) below(u int) []int {
	out := []int{u}
	seen := map[int]bool{u: true}
	for i := 0; i < len(out); i++ {
		for _, c := range r.children(out[i]) {
			if !seen[c] {
				seen[c] = true
				out = append(out, c)
			}
		}
	}
	return out
}

func (r *report) feeding(e *source.Entry[rig.Circuit]) feeding {
	f := feeding{entry: e}
	for i := range r.show.Rig.Units {
		u := &r.show.Rig.Units[i]
		if u.Circuit.Name == e.Name && u.FedBy.Name == "" {
			f.heads = append(f.heads, i)
			f.all = append(f.all, r.below(i)...)
		}
	}
	return f
}

// unfed reports units without a supply, those that feed one another in a
// ring, and those with two supplies.
func (r *report) unfed() {
	reached := map[int]bool{}
	for i := range r.show.Rig.Units {
		u := &r.show.Rig.Units[i]
		if u.Circuit.Name != "" && u.FedBy.Name == "" {
			for _, b := range r.below(i) {
				reached[b] = true
			}
		}
	}
	for i := range r.show.Rig.Units {
		u := &r.show.Rig.Units[i]
		f := Finding{Place: place("unit", u.Name.Name), Units: []string{u.Name.Name}, Source: "common practice"}.at(u.Name.Pos)
		switch {
		case u.Circuit.Name != "" && u.FedBy.Name != "":
			f = f.as("supply-loop", Stop, "unit %s is fed from circuit %s and by unit %s at once", u.Name.Name, u.Circuit.Name, u.FedBy.Name)
			r.add(f)
		case reached[i]:
		case u.FedBy.Name == "":
			r.add(f.as("supply-unknown", Warn, "unit %s has no supply: neither circuit nor fed by", u.Name.Name))
		case slices.Contains(r.below(i)[1:], r.show.Rig.Index(u.FedBy.Name)) || u.FedBy.Name == u.Name.Name:
			r.add(f.as("supply-loop", Stop, "unit %s is fed by %s, which it feeds itself: no circuit reaches them", u.Name.Name, u.FedBy.Name))
		default:
			r.add(f.as("supply-unknown", Warn, "unit %s is fed by %s, which no circuit feeds", u.Name.Name, u.FedBy.Name))
		}
	}
}

// apparent returns the VA of a unit at its rated maximum, and what had to be
// assumed for that.
func (r *report) apparent(u int) (va float64, assumed string) {
	t := r.show.Rig.Units[u].Type
	if t == nil || t.Supply.Max == 0 {
		return 0, ""
	}
	factor := float64(t.Supply.Factor)
	if factor <= 0 || factor > 1 {
		return float64(t.Supply.Max) / plainFactor, fmt.Sprintf("power factor %v for types that do not say", plainFactor)
	}
	return float64(t.Supply.Max) / factor, ""
}

// draw is the current of some units at a voltage, in amperes.
func (r *report) draw(units []int, volts float64) (amperes float64, assumed string) {
	va := 0.0
	for _, u := range units {
		one, a := r.apparent(u)
		va += one
		assumed = max(assumed, a)
	}
	return va / volts, assumed
}

func volts(c *rig.Circuit) float64 {
	if c.Voltage > 0 {
		return float64(c.Voltage)
	}
	return plainVoltage
}

func (r *report) circuit(f *feeding) {
	c := &f.entry.Value
	r.unrated(f)
	r.circuitLoad(f)
	r.inrush(f)
	r.cables(f)
	for _, h := range f.heads {
		r.chain(f, h)
	}
	base := Finding{Place: place("circuit", f.entry.Name), Units: r.names(f.all), Source: "common practice"}.at(f.entry.Pos)
	if len(f.all) == 0 {
		return
	}
	if c.Dimmed {
		g := base.as("supply-dimmed", Stop, "circuit %s is dimmed and feeds LED units", f.entry.Name)
		g.Source, g.Hint = "makers' manuals: never dim the mains feed of LED units", "take the dimmer out, or feed them from another circuit"
		r.add(g)
	}
	for _, what := range c.Carries {
		switch {
		case strings.Contains(what, "light"):
		case strings.Contains(what, "sound"):
			g := base.as("supply-shared", Warn, "circuit %s feeds lights and sound", f.entry.Name)
			g.Hint = "give the sound a circuit of its own: a trip would take both, and supplies of LED units make hum"
			r.add(g)
		default:
			r.add(base.as("supply-shared", Warn, "circuit %s also carries: %s", f.entry.Name, what))
		}
	}
}

func (r *report) names(units []int) []string {
	out := make([]string, len(units))
	for i, u := range units {
		out[i] = r.unit(u)
	}
	slices.Sort(out)
	return out
}

// unrated reports units whose power is not known: a sum without them would
// pretend.
func (r *report) unrated(f *feeding) {
	var missing []string
	for _, u := range f.all {
		if t := r.show.Rig.Units[u].Type; t != nil && t.Supply.Max == 0 && !slices.Contains(missing, t.ID) {
			missing = append(missing, t.ID)
		}
	}
	for _, id := range missing {
		g := Finding{ID: "supply-unknown", Severity: Warn, Place: place("circuit", f.entry.Name),
			Text: fmt.Sprintf("fixture type %s on circuit %s does not say its rated power, and counts as nothing", id, f.entry.Name),
			Hint: "give supply: {max: 60 W, factor: 0.9} from its plate", Source: "common practice"}
		r.add(g.at(f.entry.Pos))
	}
}

// lastsLong tells whether the load is continuous, three hours or more in one
// day (NEC article 100); days that are not described count as long.
func (r *report) lastsLong() bool {
	if len(r.show.Bill.Days) == 0 {
		return true
	}
	for _, d := range r.show.Bill.Days {
		if time.Duration(d.Rehearsal)+time.Duration(d.Shows)*r.show.Length >= continuous {
			return true
		}
	}
	return false
}

func (r *report) circuitLoad(f *feeding) {
	c := &f.entry.Value
	if len(f.all) == 0 {
		return
	}
	if c.Breaker.Rated == 0 {
		r.add(Finding{ID: "supply-unknown", Severity: Warn, Place: place("circuit", f.entry.Name), Source: "common practice",
			Text: fmt.Sprintf("circuit %s does not say its breaker, so its load was not judged", f.entry.Name)}.at(f.entry.Pos))
		return
	}
	v := volts(c)
	amperes, assumed := r.draw(f.all, v)
	amperes += float64(c.Other) / v
	limit := float64(c.Breaker.Rated)
	by := "IEC 60364-4-43 and BS 7671, 433.1.1: design current no more than the breaker's rated current"
	if r.show.Bill.Wiring == show.CodeUS {
		by = "NEC 210.20(A): the breaker at least 100 % of the load"
		if r.lastsLong() {
			limit *= .8
			by = "NEC 210.20(A): the breaker at least 125 % of a load that lasts 3 h or more"
		}
	}
	if c.Voltage == 0 {
		assumed = join(assumed, fmt.Sprintf("%d V", plainVoltage))
	}
	g := Finding{ID: "supply-load", Severity: Stop, Place: place("circuit", f.entry.Name), Units: r.names(f.all),
		Value: amperes, Limit: limit, Unit: "A", Source: by, Assumed: join("all units at their rated maximum at once", assumed),
		Text: fmt.Sprintf("circuit %s (%v, %.0f V) carries %.1f A, %.0f VA", f.entry.Name, c.Breaker, v, amperes, amperes*v)}
	switch {
	case amperes > limit:
		g.Hint = "move units to another circuit" + r.spare(f, amperes-limit, v)
	case amperes > .8*limit && r.show.Bill.Wiring != show.CodeUS:
		g.Severity, g.Limit, g.Source = Note, .8*limit, "common practice: stay below 80 % of the breaker"
		g.Text += ", more than 80 % of its breaker"
	default:
		return
	}
	r.add(g.at(f.entry.Pos))
}

// spare names the smallest set of chains, from the end, whose move would do.
func (r *report) spare(f *feeding, over, v float64) string {
	best, least := -1, 0.0
	for _, h := range f.heads {
		a, _ := r.draw(r.below(h), v)
		if a >= over && (best < 0 || a < least) {
			best, least = h, a
		}
	}
	if best < 0 {
		return ""
	}
	return fmt.Sprintf(": the chain that begins with %s takes %.1f A with it", r.unit(best), least)
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

// chain looks at the units that are linked through one another from head on.
func (r *report) chain(f *feeding, head int) {
	units := r.below(head)
	if len(units) > 1 {
		r.linkLimit(units)
	}
	v := volts(&f.entry.Value)
	for _, u := range units {
		r.through(f, u, v)
	}
	r.drop(f, head, v)
}

// linkLimit compares the number of units with the makers' limits.
func (r *report) linkLimit(units []int) {
	most := 0
	var by *rig.Type
	for _, u := range units {
		t := r.show.Rig.Units[u].Type
		if t != nil && t.Supply.Link > 0 && (most == 0 || int(t.Supply.Link) < most) {
			most, by = int(t.Supply.Link), t
		}
	}
	if most == 0 || len(units) <= most {
		return
	}
	u := &r.show.Rig.Units[units[0]]
	r.add(Finding{ID: "supply-link", Severity: Stop, Place: place("unit", u.Name.Name), Units: r.names(units),
		Value: float64(len(units)), Limit: float64(most), Unit: "units", Source: "the maker's limit for fixture type " + by.ID,
		Text: fmt.Sprintf("%d units are linked from unit %s on", len(units), u.Name.Name), Hint: "feed the rest from an outlet of their own"}.at(u.Name.Pos))
}

// through compares the current that enters unit u, its own and that of all it
// feeds, with its inlet, its lead and its lead's connectors.
func (r *report) through(f *feeding, u int, v float64) {
	unit := &r.show.Rig.Units[u]
	if unit.Type == nil {
		return
	}
	amperes, assumed := r.draw(r.below(u), v)
	limit, part := float64(unit.Type.Supply.Through), "its inlet"
	if limit == 0 {
		limit, part = plainInlet, "an inlet of 10 A"
		assumed = join(assumed, "10 A couplers (IEC 60320 C13/C14) where the type does not say")
	}
	weaker := func(a si.Current, what string) {
		if a > 0 && float64(a) < limit {
			limit, part = float64(a), what
		}
	}
	weaker(unit.Lead.Connector, "its lead's connector")
	weaker(carries(unit.Lead.Section), "its lead")
	if unit.FedBy.Name == "" {
		weaker(f.entry.Value.Outlet, "the outlet")
	} else if feeder := r.show.Rig.Index(unit.FedBy.Name); feeder >= 0 && r.show.Rig.Units[feeder].Type != nil {
		weaker(r.show.Rig.Units[feeder].Type.Supply.Through, "the outlet of unit "+unit.FedBy.Name)
	}
	if amperes <= limit {
		return
	}
	r.add(Finding{ID: "supply-chain", Severity: Stop, Place: place("unit", unit.Name.Name), Units: r.names(r.below(u)),
		Value: amperes, Limit: limit, Unit: "A", Assumed: assumed, Source: "ratings of the parts: the whole chain's VA pass its first link",
		Text: fmt.Sprintf("%.1f A pass into unit %s, and %s carries %g A", amperes, unit.Name.Name, part, limit),
		Hint: "split the chain and feed the halves from two outlets"}.at(unit.Name.Pos))
}

// worstDrop follows the leads from a unit on and returns the greatest voltage
// drop and where it ends.
func (r *report) worstDrop(u int, v, before float64, seen map[int]bool) (drop float64, end int) {
	if seen[u] {
		return before, u
	}
	seen[u] = true
	amperes, _ := r.draw(r.below(u), v)
	here := before + float64(Drop(r.show.Rig.Units[u].Lead, si.Current(amperes)))
	drop, end = here, u
	for _, c := range r.children(u) {
		if d, e := r.worstDrop(c, v, here, seen); d > drop {
			drop, end = d, e
		}
	}
	return drop, end
}

// lightingDrop is the share of the voltage that may be lost.
const lightingDrop = .03

func (r *report) drop(f *feeding, head int, v float64) {
	amperes, assumed := r.draw(f.all, v)
	first := float64(Drop(f.entry.Value.Cable, si.Current(amperes)))
	drop, end := r.worstDrop(head, v, first, map[int]bool{})
	limit := lightingDrop * v
	if drop <= limit {
		return
	}
	by := "BS 7671 appendix 4, table 4Ab, and IEC 60364-5-52 annex G: 3 % for lighting"
	if r.show.Bill.Wiring == show.CodeUS {
		by = "NEC 210.19(A), informational note: 3 % on a branch circuit"
	}
	r.add(Finding{ID: "supply-drop", Severity: Warn, Place: place("unit", r.unit(end)), Units: []string{r.unit(end)},
		Value: drop, Limit: limit, Unit: "V", Source: by, Assumed: join("copper at 70 °C unless the files say otherwise", assumed),
		Text: fmt.Sprintf("unit %s gets %.1f V less than the board, %.1f %%", r.unit(end), drop, 100*drop/v),
		Hint: "take a thicker or shorter cable, or split the load"}.at(r.show.Rig.Units[end].Name.Pos))
}

// inrush compares the surge of all units at once with the breaker.
func (r *report) inrush(f *feeding) {
	c := &f.entry.Value
	peak, width := 0.0, 0.0
	for _, u := range f.all {
		if t := r.show.Rig.Units[u].Type; t != nil {
			peak += float64(t.Supply.Inrush.Peak)
			width = max(width, t.Supply.Inrush.For)
		}
	}
	if peak == 0 || c.Breaker.Rated == 0 {
		return
	}
	stands := Withstand(c.Breaker, width)
	if peak <= float64(stands.Best) {
		return
	}
	groups := int(peak/float64(stands.Best)) + 1
	assumed := "all units of the circuit switched on at once, at the worst instant of the wave; short surges counted by equal energy, a model without a source"
	if c.Breaker.Curve == "" {
		assumed += "; a breaker of curve B"
	}
	r.add(Finding{ID: "supply-inrush", Severity: Warn, Place: place("circuit", f.entry.Name), Units: r.names(f.all),
		Value: peak, Limit: float64(stands.Best), Unit: "A", Source: "IEC 60898-1: B trips at once from 3, C from 5, D from 10 times its rated current",
		Text: fmt.Sprintf("the surge of circuit %s at switching on can reach %.0f A, and breaker %v may trip", f.entry.Name, peak, c.Breaker),
		Hint: fmt.Sprintf("switch it on in %d groups", groups), Assumed: assumed}.at(f.entry.Pos))
}

// cables compares the circuit's cable with its breaker.
func (r *report) cables(f *feeding) {
	c := &f.entry.Value
	limit := carries(c.Cable.Section)
	if limit == 0 || c.Breaker.Rated == 0 || c.Breaker.Rated <= limit {
		return
	}
	r.add(Finding{ID: "supply-breaker", Severity: Warn, Place: place("circuit", f.entry.Name),
		Value: float64(c.Breaker.Rated), Limit: float64(limit), Unit: "A",
		Text:    fmt.Sprintf("the cable of circuit %s (%v) carries %v, and breaker %v lets more through", f.entry.Name, c.Cable.Section, limit, c.Breaker),
		Source:  "IEC 60364-4-43 and BS 7671, 433.1.1: the breaker's rated current no more than the cable's",
		Assumed: "a flexible cord; ratings from memory"}.at(f.entry.Pos))
}
