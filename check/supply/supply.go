package supply

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// What is taken where the files do not say.
const (
	plainFactor = .5 // power factor of small LED supplies without correction, common practice
	plainInlet  = 10 // A: C13/C14 couplers of IEC 60320
	// NEC article 100: a load whose greatest current is expected for 3 h or more.
	continuous = 3 * time.Hour
)

// undescribed tells what the files do not say of the supply, and units that feed one
// another in a ring.
func (r *limits) undescribed() {
	r.unfed()
	var bare []string
	for i := range r.feeds {
		r.unrated(&r.feeds[i])
		if f := &r.feeds[i]; len(f.all) > 0 && f.entry.Value.Breaker.Rated == 0 {
			bare = append(bare, f.entry.Name)
		}
	}
	if bare != nil {
		r.Lack(subject.Breakers, bare, "supply-load", "supply-inrush", "supply-breaker")
	}
}

// OfFeeds are the limits that ask what a unit is plugged into.
var OfFeeds = []string{"supply-load", "supply-inrush", "supply-breaker", "supply-chain", "supply-drop", "supply-link", "supply-dimmed", "supply-shared", "supply-leakage", "supply-phase"}

func (r *limits) chains(f *feeding) {
	for _, h := range f.heads {
		r.chain(f, h)
	}
}

// company looks at what else a circuit does. Dimmed mains can damage LED supplies, so
// that is a stop; sharing with sound is bad practice only.
func (r *limits) company(f *feeding) {
	c := &f.entry.Value
	if len(f.all) == 0 {
		return
	}
	base := finding.Finding{Place: finding.Thing("circuit", f.entry.Name), Units: r.UnitNames(f.all), Source: "common practice"}.At(f.entry.Pos)
	if c.Dimmed {
		g := base.As("supply-dimmed", finding.Stop, "circuit %s is dimmed and feeds LED units", f.entry.Name)
		g.Source, g.Cure = "makers' manuals: never dim the mains feed of LED units", finding.Say("take the dimmer out, or feed them from another circuit")
		r.Add(g)
	}
	for _, what := range c.Carries {
		switch {
		case strings.Contains(what, "light"):
		case strings.Contains(what, "sound"):
			g := base.As("supply-shared", finding.Warn, "circuit %s feeds lights and sound", f.entry.Name)
			g.Cure = finding.Say("give the sound a circuit of its own: a trip would take both, and supplies of LED units make hum")
			r.Add(g)
		default:
			r.Add(base.As("supply-shared", finding.Warn, "circuit %s also carries: %s", f.entry.Name, what))
		}
	}
}

// unrated tells types whose power is not known: they count as nothing, and a sum without
// them would pretend.
func (r *limits) unrated(f *feeding) {
	var missing []string
	for _, u := range f.all {
		if t := r.Rig().Units[u].Type; t != nil && t.Supply.Max == 0 && !slices.Contains(missing, t.ID) {
			missing = append(missing, t.ID)
		}
	}
	if missing != nil {
		r.Lack(subject.Power, missing, "supply-load", "supply-chain", "supply-drop", "supply-phase")
	}
}

// lastsLong tells whether the load is continuous, three hours or more in one
// day (NEC article 100); days that are not described count as long.
func (r *limits) lastsLong() bool {
	if len(r.Bill().Days) == 0 {
		return true
	}
	for _, d := range r.Bill().Days {
		if time.Duration(d.Rehearsal)+time.Duration(d.Shows)*r.Length() >= continuous {
			return true
		}
	}
	return false
}

// circuitLoad holds the current of a circuit against its breaker. By IEC 60364 and BS
// 7671 a breaker may carry its rated current for good; the NEC wants a quarter more for
// continuous loads, which is the same as 80 % of the breaker. Outside the NEC 80 % is
// common practice, and a note. All units count at their rated maximum at once: shows
// have such looks, and a breaker that trips darkens all that hang on it.
func (r *limits) circuitLoad(f *feeding) {
	c := &f.entry.Value
	if len(f.all) == 0 || c.Breaker.Rated == 0 {
		return
	}
	v := r.volts(c)
	amperes, assumed := r.draw(f.all, v)
	amperes += float64(c.Other) / v
	limit := float64(c.Breaker.Rated)
	by := "IEC 60364-4-43 and BS 7671, 433.1.1: design current no more than the breaker's rated current"
	if r.Bill().Wiring == show.CodeUS {
		by = "NEC 210.20(A): the breaker at least 100 % of the load"
		if r.lastsLong() {
			limit *= .8
			by = "NEC 210.20(A): the breaker at least 125 % of a load that lasts 3 h or more"
		}
	}
	if c.Voltage == 0 {
		assumed = join(assumed, si.Say(v, "V"))
	}
	g := finding.Finding{ID: "supply-load", Severity: finding.Stop, Place: finding.Thing("circuit", f.entry.Name), Units: r.UnitNames(f.all),
		Value: amperes, Limit: limit, Unit: "A", Source: by, Assumed: join("all units at their rated maximum at once", assumed),
		Says: finding.Say("circuit %s (%v, %.0f V) carries %s, %s", f.entry.Name, c.Breaker, v, si.Of(amperes, "A"), si.Of(amperes*v, "VA"))}
	switch {
	case amperes > limit:
		g.Cure = finding.Say("move units to another circuit%s", r.spare(f, amperes-limit, v))
	case amperes > .8*limit && r.Bill().Wiring != show.CodeUS:
		g.Severity, g.Limit, g.Source = finding.Note, .8*limit, "common practice: stay below 80 % of the breaker"
		g.Says = g.Says.And(", more than 80 %% of its breaker")
	default:
		return
	}
	r.Add(g.At(f.entry.Pos))
}

// spare names the smallest set of chains, from the end, whose move would do.
func (r *limits) spare(f *feeding, over, v float64) string {
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
	return fmt.Sprintf(": the chain that begins with %s takes %s with it", r.Unit(best), si.Of(least, "A"))
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

// inrush compares the surge of all units at once with the breaker. Peaks are added as
// if they came at one instant, and the longest surge gives the width: an upper bound,
// as surges of unlike supplies are not in step. It is a warn: what may happen is a trip
// on switching on, hours before the audience.
func (r *limits) inrush(f *feeding) {
	c := &f.entry.Value
	peak, width := 0.0, 0.0
	for _, u := range f.all {
		if t := r.Rig().Units[u].Type; t != nil {
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
	r.Add(finding.Finding{ID: "supply-inrush", Severity: finding.Warn, Place: finding.Thing("circuit", f.entry.Name), Units: r.UnitNames(f.all),
		Value: peak, Limit: float64(stands.Best), Unit: "A", Source: "IEC 60898-1: B trips at once from 3, C from 5, D from 10 times its rated current",
		Says: finding.Say("the surge of circuit %s at switching on can reach %s, and breaker %v may trip", f.entry.Name, si.Of(peak, "A"), c.Breaker),
		Cure: finding.Say("switch it on in %d groups", groups), Assumed: assumed}.At(f.entry.Pos))
}

// burning is how many times what a part carries a breaker before it is rated, from which on the part may burn
// and the breaker never trips. Leads of 1 mm² and couplers of 10 A behind 16 A are everywhere, which is 1.6
// times (common practice, no source); by the standards no part may carry less than its breaker lets through.
const burning = 2

// cables compares the circuit's cable and its connectors with its breaker.
func (r *limits) cables(f *feeding) {
	c := &f.entry.Value
	r.weaker(f, float64(carries(c.Cable.Section)), fmt.Sprintf("the cable of circuit %s (%v) carries", f.entry.Name, c.Cable.Section),
		"a flexible cord; ratings from memory", "a smaller breaker, or a cable of more section")
	if float64(c.Breaker.Rated) > burning*float64(c.Cable.Connector) {
		r.weaker(f, float64(c.Cable.Connector), fmt.Sprintf("the connectors of circuit %s's cable carry", f.entry.Name),
			"", "a smaller breaker, or connectors that carry what it lets through")
	}
}

// weaker tells of a part behind a breaker that lets more through than the part carries.
func (r *limits) weaker(f *feeding, limit float64, part, assumed, cure string) {
	b := f.entry.Value.Breaker
	if limit == 0 || float64(b.Rated) <= limit {
		return
	}
	g := finding.Finding{ID: "supply-breaker", Severity: finding.Warn, Place: finding.Thing("circuit", f.entry.Name),
		Value: float64(b.Rated), Limit: limit, Unit: "A", Cure: finding.Say("%s", cure), Assumed: assumed,
		Says:   finding.Say("%s %s, and breaker %v lets more through", part, si.Of(limit, "A"), b),
		Source: "IEC 60364-4-43 and BS 7671, 433.1.1: the breaker's rated current no more than what it protects carries"}
	if float64(b.Rated) > burning*limit {
		g.Severity = finding.Stop
		g.Says = g.Says.And(", so much that it may burn before the breaker trips")
	}
	r.Add(g.At(f.entry.Pos))
}

// connector holds the current of a circuit against the connector of its cable, through which all of
// it goes.
func (r *limits) connector(f *feeding) {
	c := &f.entry.Value
	rated := float64(c.Cable.Connector)
	if rated == 0 || len(f.all) == 0 {
		return
	}
	v := r.volts(c)
	amperes, assumed := r.draw(f.all, v)
	if amperes <= rated {
		return
	}
	r.Add(finding.Finding{ID: "supply-connector", Severity: finding.Stop, Place: finding.Thing("circuit", f.entry.Name), Units: r.UnitNames(f.all),
		Value: amperes, Limit: rated, Unit: "A", Assumed: join("all units at their rated maximum at once", assumed), Source: "ratings of the parts: all of a circuit passes the connectors of its cable",
		Says: finding.Say("%s pass through the connectors of circuit %s's cable, which carry %s", si.Of(amperes, "A"), f.entry.Name, si.Of(rated, "A")),
		Cure: finding.Say("feed some of the units from another outlet, or take a cable with larger connectors%s", r.spare(f, amperes-rated, v))}.At(f.entry.Pos))
}

// voltage tells that a circuit says none where the rules are those of a country whose mains are
// another than what is taken elsewhere.
func (r *limits) voltage() {
	r.phaseToPhase()
	if r.Bill().Wiring != show.CodeUS {
		return
	}
	var bare []string
	for i := range r.feeds {
		if f := &r.feeds[i]; len(f.all) > 0 && f.entry.Value.Voltage == 0 {
			bare = append(bare, f.entry.Name)
		}
	}
	if bare == nil {
		return
	}
	f := finding.Finding{ID: "supply-voltage", Severity: finding.Warn, Place: "the supply", Value: float64(len(bare)), Unit: "circuits", Source: "the show's own bill: wiring rules NEC; outlets there give 120 V (from memory)",
		Says: finding.Say("%s not say which voltage: counted at 120 V, at which a unit draws twice what it does at 230 V", listed(bare)),
		Cure: finding.Say("write voltage: 120 V, or 208 V, at each circuit in rig.yaml")}
	r.Add(f.At(r.Bill().Pos))
}

func listed(circuits []string) string {
	if len(circuits) == 1 {
		return "circuit " + circuits[0] + " does"
	}
	return "circuits " + source.First(circuits, 6) + " do"
}

// onePhase is more than any mains between a phase and neutral, in V: 230 V and a tenth (IEC 60038), 277 V in some
// halls by the NEC (from memory).
const onePhase = 300

// phaseToPhase finds circuits of the voltage between phases: lamps that plug in are made for one phase.
func (r *limits) phaseToPhase() {
	for i := range r.feeds {
		f := &r.feeds[i]
		v := float64(f.entry.Value.Voltage)
		if len(f.all) == 0 || v <= onePhase {
			continue
		}
		g := finding.Finding{ID: "supply-voltage", Severity: finding.Stop, Place: finding.Thing("circuit", f.entry.Name), Units: r.UnitNames(f.all), Value: v, Limit: onePhase, Unit: "V",
			Source: "IEC 60038: 230 V between a phase and neutral, 400 V between phases",
			Says:   finding.Say("circuit %s has %s, as between two phases: lamps for one phase burn out on it, and may burn", f.entry.Name, si.Of(v, "V")),
			Cure:   finding.Say("have a licensed electrician look at the outlet; write the voltage that a lamp gets")}
		r.Add(g.At(f.entry.Pos))
	}
}
