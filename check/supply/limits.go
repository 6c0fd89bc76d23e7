// Package supply checks circuits, link chains and cables: give [Family] to a run
// of package check, or ask [Drop], [Neutral] and [Withstand] for single figures.
//
// The model: every unit draws its rated power at its power factor, all at once;
// current is VA over volts. Link chains carry what hangs behind them. Voltage
// falls by twice length, current and resistance; a breaker stands a short surge
// by equal energy, which has no source.
//
// Sources: IEC 60364 and BS 7671, NEC, IEC 60898-1, IEC 60228, IEC 60320; each
// finding names its clause. What a cord carries is from memory.
//
// It does not see: earthing, prospective fault current, heat of coiled cables,
// dirty plugs, what else hangs on the feed. A licensed person tests the supply.
package supply

import (
	"lampblack/check/finding"
	"lampblack/check/subject"
)

// Family looks at the supply.
var Family = subject.NewFamily(open, table...)

// limits is one run over the family's table.
type limits struct {
	*subject.Run
	feeds []feeding // by circuit; nil when none is described
	fed   [][]int   // by unit: the units that it feeds; made by children
}

func open(r *subject.Run) *limits {
	l := &limits{Run: r}
	for i := range r.Rig().Circuits {
		l.feeds = append(l.feeds, l.feeding(&r.Rig().Circuits[i]))
	}
	return l
}

var table = []subject.Limit[*limits]{
	{Measure: (*limits).undescribed, Tells: finding.Tells{
		"supply-loop": "units that feed one another in a ring",
	}},
	{Measure: each((*limits).circuitLoad), Tells: finding.Tells{"supply-load": "load of a circuit against its breaker"}},
	{Measure: each((*limits).connector), Tells: finding.Tells{"supply-connector": "load of a circuit against the connectors of its cable"}},
	{Measure: (*limits).voltage, Tells: finding.Tells{"supply-voltage": "circuits without a voltage under rules that have their own"}},
	{Measure: each((*limits).inrush), Tells: finding.Tells{"supply-inrush": "surge at switching on against the breaker"}},
	{Measure: each((*limits).cables), Tells: finding.Tells{"supply-breaker": "a cable is weaker than the breaker before it"}},
	{Measure: each((*limits).reels), Tells: finding.Tells{"supply-reel": "a cable that carries current while it is wound"}},
	{Measure: each((*limits).chains), Tells: finding.Tells{
		"supply-chain": "current through a link chain against its weakest part",
		"supply-drop":  "voltage drop at the end of a run",
		"supply-link":  "more units in a chain than the maker allows",
	}},
	{Measure: each((*limits).sockets), Tells: finding.Tells{"supply-sockets": "more plugs than a circuit has sockets"}},
	{Measure: (*limits).leads, Tells: finding.Tells{"supply-lead": "a supply lead that does not reach"}},
	{Measure: (*limits).shines, Tells: finding.Tells{"lamp-power": "a lamp that is said to give more light than it takes power"}},
	{Measure: each((*limits).company), Tells: finding.Tells{
		"supply-dimmed": "LED units on a dimmed feed",
		"supply-shared": "sound or heavy loads on the circuit of the lights",
	}},
	{Measure: (*limits).leakage, Tells: finding.Tells{
		"supply-device":  "a residual current device that does not protect people",
		"supply-leakage": "standing leakage against the residual current device",
	}},
	{Measure: (*limits).phases, Tells: finding.Tells{"supply-phase": "balance of three phases and current in the neutral"}},
}

// each measures circuit by circuit.
func each(measure func(*limits, *feeding)) func(*limits) {
	return func(r *limits) {
		for i := range r.feeds {
			measure(r, &r.feeds[i])
		}
	}
}
