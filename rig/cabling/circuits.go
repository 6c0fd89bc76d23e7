package cabling

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// What balance is worth, in metres of cable (a choice, no source): from a worst circuit that is filled
// to its limit to one that is empty, and the fullest phase for each time that it carries the mean.
const (
	worthShare = 50
	worthPhase = 20
)

// Walls are where outlets are looked for that say no place: at the nearest, a foot over the floor.
type Walls struct{ Left, Right, Front, Back si.Length }

const outletHeight = .3

// Supply are the options of a plan of circuits.
type Supply struct {
	Leads   Stock      // Usual when it is empty
	Walls   Walls      // of the room
	Voltage si.Voltage // of circuits that say none; rig.PlainVoltage when it is 0
	Strict  bool       // never more than 80 % of a breaker
	Keep    []string   // circuits to leave free
}

// Feed is what feeds one unit.
type Feed struct {
	Unit, From int // From is -1 for a unit that is plugged into the circuit's outlet
	Lead       rig.Cable
	Pieces     []si.Length
}

// Circuit is one circuit as planned, with what it comes to.
type Circuit struct {
	Name             string
	Phase            rig.Phase
	Chains           [][]Feed
	Amperes, Limit   si.Current // drawn by units at their rated maximum; what may be
	Surge, Stands    si.Current // at switching on all at once; what the breaker lets pass
	Leakage, Leaking si.Current // behind its residual current device; what that should see; 0 when unknown
	Drop, MostDrop   si.Voltage // at the end of the worst chain
	Why              string     // it is left free
}

// Circuits is the plan of the supply.
type Circuits struct {
	Circuits []Circuit
	Metres   si.Length // of all leads
	Cost     float64
	Bound    float64
	Exact    bool
	Placed   bool     // nobody's place is a guess
	Outlets  bool     // the places of all outlets are known
	Eased    []Ease   // what could not be kept
	Left     []int    // units without a type, which nothing feeds
	Unsaid   []string // types whose power is not known: they count as nothing
	Alone    []string // types that do not say whether they pass the supply on: each has a socket
}

// Ease is a limit that a plan does not keep, as there was no way to.
type Ease string

// The limits that may give way.
const (
	EaseSurge   Ease = "surge"   // circuits must be switched on in groups
	EaseShare   Ease = "share"   // more than 80 % of a breaker
	EaseLeakage Ease = "leakage" // more than 30 % of a residual current device
	EaseNeutral Ease = "neutral" // more in the neutral of three phases than a breaker's rating
	EaseDrop    Ease = "drop"    // more than 3 % of the voltage
)

// ErrNoCircuits is that there is nothing to feed units from.
var ErrNoCircuits = errors.New("the rig has no circuit that lights may hang on")

// supply is circuits and units as they are planned.
type supply struct {
	rig      *rig.Rig
	o        *Supply
	units    []int
	types    []*rig.Type
	va       []float64
	circuits []*source.Entry[rig.Circuit]
	volts    []float64
	device   []int     // by circuit
	rating   []float64 // by device
	phases   []string
	phase    []int // by circuit; -1 when it says none
	total    float64

	share                 float64 // of a breaker
	groups, leaky, pulses bool    // surges, leakage, and pulses in the neutral are let be
}

// PlanCircuits plans what feeds each unit. The rig is left as it is.
func PlanCircuits(r *rig.Rig, o Supply) (*Circuits, error) {
	if len(o.Leads) == 0 {
		o.Leads = Usual
	}
	if o.Voltage == 0 {
		o.Voltage = rig.PlainVoltage
	}
	s := supplyOf(r, &o)
	if len(s.units) == 0 {
		return nil, ErrNoUnits
	}
	if len(s.circuits) == 0 {
		return nil, ErrNoCircuits
	}
	for _, eased := range s.ways() {
		s.share = breakerShare
		if slices.Contains(eased, EaseShare) {
			s.share = 1
		}
		s.groups, s.leaky, s.pulses = slices.Contains(eased, EaseSurge), slices.Contains(eased, EaseLeakage), slices.Contains(eased, EaseNeutral)
		if s.least() > worthShare {
			continue // more is drawn than there is
		}
		if l := s.problem().solve(); l != nil {
			return s.plan(l, eased), nil
		}
	}
	return nil, s.tooMuch()
}

// ways lists what may give way: first nothing, then the limits one by one and together, those that only
// trip a device before those that somebody has to look at.
func (s *supply) ways() (out [][]Ease) {
	all := []Ease{EaseSurge, EaseLeakage, EaseShare, EaseNeutral}
	for set := range 1 << len(all) {
		var w []Ease
		for _, i := range members(set) {
			w = append(w, all[i])
		}
		if !s.o.Strict || !slices.Contains(w, EaseShare) {
			out = append(out, w)
		}
	}
	return out
}

// tooMuch says what is drawn, and what there is.
func (s *supply) tooMuch() error {
	s.share = 1
	drawn, there := 0.0, 0.0
	for k := range s.va {
		drawn += s.va[k]
	}
	for c := range s.circuits {
		there += max(0, s.fuse(c)) * s.volts[c]
	}
	return fmt.Errorf("no way was found to feed all units: they draw %s at their rated maximum, there are %s on %s, and couplers, sockets and the makers' numbers of units in a chain count too",
		si.Say(drawn, "VA"), si.Say(there, "VA"), si.Count(len(s.circuits), "circuit", "circuits"))
}

// supplyOf gathers what is to be planned.
func supplyOf(r *rig.Rig, o *Supply) *supply {
	s := &supply{rig: r, o: o}
	for i := range r.Units {
		if t := r.Units[i].Type; t != nil {
			s.units, s.types, s.va = append(s.units, i), append(s.types, t), append(s.va, va(t))
		}
	}
	devices := map[string]int{}
	for i := range r.Circuits {
		c := &r.Circuits[i]
		if s.why(c) != "" {
			continue
		}
		s.circuits = append(s.circuits, c)
		v := o.Voltage
		if c.Value.Voltage > 0 {
			v = c.Value.Voltage
		}
		s.volts = append(s.volts, float64(v))
		name := c.Name
		if n := c.Value.Shares.Name; n != "" && r.Circuits.Get(n) != nil {
			name = n
		}
		d, known := devices[name]
		if !known {
			d = len(s.rating)
			devices[name], s.rating = d, append(s.rating, 0)
			if first := r.Circuits.Get(name); first != nil {
				s.rating[d] = float64(first.RCD)
			}
		}
		s.device, s.rating[d] = append(s.device, d), max(s.rating[d], float64(c.Value.RCD))
		s.phase = append(s.phase, s.phaseOf(c.Value.Phase))
	}
	for k := range s.va {
		s.total += s.va[k] / float64(o.Voltage)
	}
	return s
}

func (s *supply) phaseOf(p rig.Phase) int {
	if p == "" {
		return -1
	}
	i := slices.Index(s.phases, string(p))
	if i < 0 {
		i = len(s.phases)
		s.phases = append(s.phases, string(p))
	}
	return i
}

// why says for what a circuit is left free: lights neither share with sound and heaters, nor hang on a
// dimmer.
func (s *supply) why(c *source.Entry[rig.Circuit]) string {
	switch {
	case slices.Contains(s.o.Keep, c.Name):
		return "kept free"
	case c.Value.Dimmed:
		return "it is dimmed"
	}
	for _, what := range c.Value.Carries {
		if !strings.Contains(what, "light") {
			return "it carries " + what
		}
	}
	return ""
}

// problem is what is solved.
func (s *supply) problem() *problem {
	places := make([]Place, len(s.units))
	for k, u := range s.units {
		places[k] = s.rig.Units[u].At
	}
	p := &problem{n: len(s.units), sources: len(s.circuits), longest: math.Inf(1), leastChains: 1,
		hop: hops(places, s.o.Leads), chainFits: s.chainFits, fits: s.fits, allFit: s.allFit, balance: s.balance, least: s.least}
	for c := range s.circuits {
		sockets := s.circuits[c].Value.Sockets
		if sockets == 0 {
			sockets = p.n
		}
		p.chains = append(p.chains, sockets)
		first := make([]float64, p.n)
		for k := range first {
			first[k] = s.o.Leads.costs(Run(s.outlet(c, places[k]), places[k]))
		}
		p.first = append(p.first, first)
	}
	for _, t := range s.types {
		p.passes = append(p.passes, passes(t))
	}
	return p
}

// passes tells whether a type says that another can be plugged into it.
func passes(t *rig.Type) bool { return t.Supply.Link > 0 || t.Supply.Through > 0 }

// outlet is where a unit's lead begins: where the circuit's outlets are said to be, or else at the
// wall that is nearest to the unit.
func (s *supply) outlet(c int, unit Place) Place {
	if at := s.circuits[c].Value.At; at != nil {
		return *at
	}
	w := s.o.Walls
	best, least := unit, si.Length(math.Inf(1))
	for _, p := range []Place{{w.Left, unit[1]}, {w.Right, unit[1]}, {unit[0], w.Front}, {unit[0], w.Back}} {
		if d := max(p[0]-unit[0], unit[0]-p[0]) + max(p[1]-unit[1], unit[1]-p[1]); d < least {
			best, least = p, d
		}
	}
	best[2] = outletHeight
	return best
}

// balance is what it costs how the units are shared out: by the fullest circuit, and the fullest phase.
func (s *supply) balance(sets [][]int) float64 {
	worst := 0.0
	phase := make([]float64, len(s.phases))
	for c := range sets {
		a := s.amperes(c, sets[c])
		if limit := s.fuse(c); a > 0 {
			worst = max(worst, a/limit)
		}
		if s.phase[c] >= 0 {
			phase[s.phase[c]] += a
		}
	}
	cost := worthShare * worst
	if len(phase) > 1 && s.total > 0 {
		cost += worthPhase * slices.Max(phase) * float64(len(phase)) / s.total
	}
	return cost
}

// least is the least that balance can cost: all circuits filled alike.
func (s *supply) least() float64 {
	there, drawn := 0.0, 0.0
	for c := range s.circuits {
		there += max(0, s.fuse(c)) * s.volts[c]
	}
	for _, va := range s.va {
		drawn += va
	}
	if there == 0 {
		return 0
	}
	return worthShare * drawn / there
}
