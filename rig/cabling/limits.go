package cabling

import (
	"math"
	"slices"

	"lampblack/rig"
)

// What a circuit takes. These are limits to plan by; the checks judge by their own.
const (
	breakerShare = .8 // of the breaker: NEC 210.20(A) for 3 h or more, elsewhere common practice
	leakShare    = .3 // of a residual current device's rating: BS 7671 531.3.2
	dropShare    = .03
	plainFactor  = .5 // power factor of small supplies where nobody said it, common practice
	plainCoupler = 10 // A: C13/C14 couplers of IEC 60320
	leadCarries  = 16 // A: a flexible cord of 1.5 mm2 (BS 7671 appendix 4, from memory), and its larger connectors
	unsaidFuse   = 10 // A, where nobody said which breaker: the least that is usual (common practice, no source)
	halfWave     = .01
	pulsing      = 1.7
	slight       = 1e-9 // so that a sum in another order passes as well
)

// amperes is what units draw at their rated maximum, all at once.
func (s *supply) amperes(source int, units []int) float64 {
	va := 0.0
	for _, k := range units {
		va += s.va[k]
	}
	return va / s.volts[source]
}

// va is what a unit draws at its rated maximum.
func va(t *rig.Type) float64 {
	f := float64(t.Supply.Factor)
	if f <= 0 {
		f = plainFactor
	}
	return float64(t.Supply.Max) / f
}

// fuse is what may be drawn from a circuit: a share of its breaker, no more than its cable's connectors
// carry, less what else hangs on it.
func (s *supply) fuse(source int) float64 {
	c := &s.circuits[source].Value
	a := float64(c.Breaker.Rated)
	if a == 0 {
		a = unsaidFuse
	}
	a *= s.share
	if k := float64(c.Cable.Connector); k > 0 {
		a = min(a, k)
	}
	return a*(1-slight) - float64(c.Other)/s.volts[source]
}

// chainFits holds one chain against its couplers and the makers' numbers of units.
func (s *supply) chainFits(source int, units []int) bool {
	most, link := float64(leadCarries), math.MaxInt
	if o := float64(s.circuits[source].Value.Outlet); o > 0 {
		most = min(most, o)
	}
	for _, k := range units {
		t := s.types[k]
		through := float64(t.Supply.Through)
		if through == 0 {
			through = plainCoupler
		}
		most = min(most, through)
		if t.Supply.Link > 0 {
			link = min(link, int(t.Supply.Link))
		}
	}
	return len(units) <= link && s.amperes(source, units) <= most*(1-slight)
}

// fits holds all that hangs on one circuit against its breaker.
func (s *supply) fits(source int, units []int) bool {
	if s.amperes(source, units) > s.fuse(source) {
		return false
	}
	peak, stands := s.surge(source, units)
	return s.groups || peak <= stands
}

// surge is that of all units at once, and what the breaker lets pass: 3, 5 or 10 times its rated
// current for curve B, C or D (IEC 60898-1), and more for surges shorter than half a wave, by equal
// energy, which is a model without a source.
func (s *supply) surge(source int, units []int) (peak, stands float64) {
	long := 0.0
	for _, k := range units {
		in := s.types[k].Supply.Inrush
		peak += float64(in.Peak)
		long = max(long, in.For)
	}
	b := s.circuits[source].Value.Breaker
	if b.Rated == 0 {
		return peak, math.Inf(1)
	}
	stands = map[string]float64{"C": 5, "D": 10}[b.Curve]
	if stands == 0 {
		stands = 3
	}
	stands *= float64(b.Rated)
	if long > 0 && long < halfWave {
		stands *= math.Sqrt(halfWave / long)
	}
	return peak, stands
}

// allFit holds what circuits share: residual current devices, and the neutral of three phases.
func (s *supply) allFit(sets [][]int) bool { return s.leaks(sets) && s.neutral(sets) }

// neutral holds the neutral against the largest breaker: the pulses of supplies without correction add
// up in it, to 1.7 times the mean of the phases (common practice, no source).
func (s *supply) neutral(sets [][]int) bool {
	total, rated, poor := 0., 0., false
	used := map[int]bool{}
	for c := range sets {
		if s.phase[c] < 0 || len(sets[c]) == 0 {
			continue
		}
		used[s.phase[c]] = true
		v := &s.circuits[c].Value
		total += s.amperes(c, sets[c]) + float64(v.Other)/s.volts[c]
		rated = max(rated, float64(v.Breaker.Rated))
		poor = poor || slices.ContainsFunc(sets[c], func(k int) bool { return s.types[k].Supply.Factor < .9 })
	}
	return s.pulses || len(used) < 2 || !poor || rated == 0 || pulsing*total/3 <= rated
}

// leaks holds what stands behind each residual current device against what it should see.
func (s *supply) leaks(sets [][]int) bool {
	if s.leaky {
		return true
	}
	for device, rating := range s.rating {
		if rating > 0 && s.leakage(device, sets) > leakShare*rating*(1-slight) {
			return false
		}
	}
	return true
}

// leakage is the standing leakage behind a device.
func (s *supply) leakage(device int, sets [][]int) (sum float64) {
	for source := range sets {
		if s.device[source] != device {
			continue
		}
		for _, k := range sets[source] {
			sum += float64(s.types[k].Supply.Leakage)
		}
	}
	return sum
}

// Ohms of copper at 70 °C: 0.017241 ohm mm2/m at 20 °C and 0.00393 per kelvin (IEC 60228), and 15 %
// for strands and joints (a choice, no source: above the tables of BS 7671 and the NEC).
const warmCopper = .017241 * (1 + .00393*50) * 1.15

// drop is the voltage that a cable loses there and back.
func drop(c rig.Cable, amperes float64) float64 {
	if c.Section.Section <= 0 {
		return 0
	}
	ohms := warmCopper
	if c.Warm > 343.15 {
		ohms *= 1 + .00393*float64(c.Warm-343.15)
	}
	return 2 * float64(c.Length) * amperes * ohms / float64(c.Section.Section)
}
