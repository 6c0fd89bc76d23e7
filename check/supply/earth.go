package supply

import (
	"slices"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/si"
)

// Shares of a residual current device's rating: standing leakage up to 30 %
// (BS 7671 531.3.2); from 50 % on it may trip by itself (IEC 61008-1).
const (
	leakShare = .3
	tripShare = .5
)

// leakage compares the standing leakage behind each residual current device with its
// rating. Circuits may share a device. Circuits are gathered by the device behind which
// they are, in the order of the rig: one that names another shares its device, and
// otherwise a circuit has its own.
func (r *limits) leakage() {
	feeds := r.feeds
	groups := map[string][]int{}
	var order []string
	for i := range feeds {
		device := feeds[i].entry.Name
		if n := feeds[i].entry.Value.Shares.Name; n != "" && r.Rig().Circuits.Get(n) != nil {
			device = n
		}
		if groups[device] == nil {
			order = append(order, device)
		}
		groups[device] = append(groups[device], i)
	}
	for _, device := range order {
		r.device(device, groups[device], feeds)
	}
}

const leakSource = "BS 7671 531.3.2: standing leakage no more than 30 % of the device's rating"

// device looks at one residual current device and the circuits behind it. Earth leakage
// adds up over units, as what filters on one phase leak is in phase; the sum is judged
// against what the device stands. Where a type does not say and the rest is within the
// limit, nothing can be said; where the rest alone is too much, that is said.
func (r *limits) device(name string, circuits []int, feeds []feeding) {
	rating := si.Current(0)
	sum := 0.0
	var units []int
	for _, i := range circuits {
		rating = max(rating, feeds[i].entry.Value.RCD)
		units = append(units, feeds[i].all...)
	}
	var unsaid []string
	for _, u := range units {
		t := r.Rig().Units[u].Type
		if t == nil {
			continue
		}
		sum += float64(t.Supply.Leakage)
		if t.Supply.Leakage == 0 && !slices.Contains(unsaid, t.ID) {
			unsaid = append(unsaid, t.ID)
		}
	}
	entry := feeds[circuits[0]].entry
	if len(units) > 0 && rating > peopleDevice {
		r.notForPeople(name, rating, feeds[circuits[0]])
	}
	switch {
	case len(units) == 0:
		return
	case rating == 0 && r.somebodyProtects():
		r.unprotected(name, feeds[circuits[0]])
		return
	case rating == 0:
		r.Lack(subject.Devices, []string{name}, "supply-leakage") // BS 7671 and IEC 60364: 30 mA on socket outlets and temporary supplies (from memory)
		return
	case len(unsaid) > 0 && sum <= leakShare*float64(rating):
		r.Lack(subject.Leakage, unsaid, "supply-leakage")
		return
	case sum <= leakShare*float64(rating):
		return
	}
	f := finding.Finding{ID: "supply-leakage", Severity: finding.Warn, Place: finding.Thing("circuit", name), Units: r.UnitNames(units),
		Value: 1000 * sum, Limit: 1000 * leakShare * float64(rating), Unit: "mA", Source: leakSource,
		Says: finding.Say("the units behind the %s device of circuit %s leak %s to earth", si.Of(float64(rating), "A"), name, si.Of(sum, "A")),
		Cure: finding.Say("put some chains behind another device")}
	if sum > tripShare*float64(rating) {
		f.Says = f.Says.And(", more than half of its rating: it may trip by itself")
	}
	if len(unsaid) > 0 {
		f.Assumed = "nothing for types that do not say their leakage"
	}
	r.Add(f.At(entry.Pos))
}

// peopleDevice is the most at which a residual current device protects people: 30 mA, BS 7671 and IEC
// 60364-4-41, 411.3.3 and 415.1.1 (from memory). Devices of 100 mA to 500 mA guard against fire.
const peopleDevice = .03

const peopleSource = "BS 7671 and IEC 60364-4-41, 411.3.3 and 415.1.1: 30 mA on socket outlets and temporary supplies (from memory); local codes differ"

// somebodyProtects tells whether some circuit has a residual current device: then one that says none
// has none.
func (r *limits) somebodyProtects() bool {
	return slices.ContainsFunc(r.feeds, func(f feeding) bool { return f.entry.Value.RCD > 0 })
}

func (r *limits) unprotected(name string, f feeding) {
	r.Add(finding.Finding{ID: "supply-device", Severity: finding.Warn, Place: finding.Thing("circuit", name), Units: r.UnitNames(f.all), Source: peopleSource,
		Says: finding.Say("other circuits have a residual current device, and circuit %s says none: nothing protects who touches a broken lead", name),
		Cure: finding.Say("look at the board and write residual current device: 30 mA; where there is none, plug one of 30 mA in between")}.At(f.entry.Pos))
}

func (r *limits) notForPeople(name string, rating si.Current, f feeding) {
	g := finding.Finding{ID: "supply-device", Severity: finding.Warn, Place: finding.Thing("circuit", name), Units: r.UnitNames(f.all),
		Value: 1000 * float64(rating), Limit: 1000 * peopleDevice, Unit: "mA",
		Source: peopleSource,
		Says:   finding.Say("the residual current device of circuit %s trips at %s: it guards against fire and does not protect people", name, si.Of(float64(rating), "A")),
		Cure:   finding.Say("have a competent person say whether another of 30 mA stands behind it; if not, put one between")}
	r.Add(g.At(f.entry.Pos))
}

// phases looks at the balance of the phases and the current in the neutral. Less than
// two phases in use have nothing to balance. The lowest power factor among the units
// tells what kind of supplies they have, and with it whether third harmonics must be
// reckoned with.
func (r *limits) phases() {
	feeds := r.feeds
	var load [3]float64
	var rated, used float64
	var units []int
	factor := 1.0
	for i := range feeds {
		c := &feeds[i].entry.Value
		p := slices.Index(c.Phase.Choices(), string(c.Phase))
		if p < 0 || len(feeds[i].all) == 0 {
			continue
		}
		a, _ := r.draw(feeds[i].all, r.volts(c))
		if load[p] == 0 {
			used++
		}
		load[p] += a + float64(c.Other)/r.volts(c)
		rated = max(rated, float64(c.Breaker.Rated))
		units = append(units, feeds[i].all...)
	}
	if used < 2 {
		return
	}
	for _, u := range units {
		if t := r.Rig().Units[u].Type; t != nil {
			f := float64(t.Supply.Factor)
			if f <= 0 {
				f = plainFactor
			}
			factor = min(factor, f)
		}
	}
	r.neutral(load, rated, factor, units)
}

// neutral reports the current in the neutral: that of the imbalance, and for supplies
// without correction the third harmonics, which add up there. A power factor under .9
// is taken for a supply without correction, whose current comes in pulses; the pulses
// of three phases do not cancel. 1.7 times the phase current is common practice, no
// source; the theoretical most is √3.
func (r *limits) neutral(load [3]float64, rated, factor float64, units []int) {
	plain := float64(Neutral(si.Current(load[0]), si.Current(load[1]), si.Current(load[2])))
	f := finding.Finding{ID: "supply-phase", Severity: finding.Note, Place: "three phases", Units: r.UnitNames(units), Value: plain, Limit: rated, Unit: "A",
		Source: "phasor sum sqrt(a²+b²+c²-ab-bc-ca); third harmonics add in the neutral (IEC 60364-5-52 annex E, from memory)",
		Says:   finding.Say("the phases carry %.1f, %.1f and %.1f A; the neutral carries %.1f A", load[0], load[1], load[2], plain)}
	if factor < .9 {
		total := load[0] + load[1] + load[2]
		f.Low, f.High = plain, max(plain, 1.7*total/3)
		f.Value = f.High
		f.Says = finding.Say("the phases carry %.1f, %.1f and %.1f A; the neutral carries up to %.1f A with third harmonics", load[0], load[1], load[2], f.High)
		f.Assumed = "170 % of the mean phase current in the neutral, the upper end of what is reported for supplies without correction"
	}
	if f.Value > rated && rated > 0 {
		f.Severity, f.Cure = finding.Stop, finding.Say("have a competent person look at the neutral; balance the phases")
	}
	r.Add(f)
}
