package meet

import (
	"slices"
	"time"

	"lampblack/check/flash"
)

const (
	window  = 1000 // ms: the second in which flashes are counted
	pairing = 1000 // ms: flash.Pairing
	// ceiling is the most that a second can hold, since flashes that begin within
	// flash.Together of one another are one.
	ceiling = 50
	slack   = 1e-3                      // cd/m², for sums in single precision
	tail    = window + pairing + 4*1024 // ms of a line behind the last start of a window: more than a cell's windows reach
)

// Bound is what Most found.
type Bound struct {
	// Count is an upper bound of the flashes in any second, however the zones' clocks
	// stand to one another.
	Count int
	// Met is the most that was met at an alignment that was looked at: the bound can be
	// no lower than this.
	Met int
	// At is where each zone is in its line as that second begins; nil where none was
	// looked at: of red, and of more than two zones.
	At []time.Duration
}

// Options are what both figures take; the zero value is that of general flashes by
// ITU-R BT.1702-3.
type Options struct {
	Rule *flash.Rule   // flash.BT when nil
	Area float64       // a flash must cover more; in the unit of the spots' areas
	Seed uint64        // of Likely's alignments
	Draw int           // how many alignments Likely draws; 400 when 0
	For  time.Duration // how long the eye stays where zones meet; the longest line when 0
	// Work bounds how long Most searches, in steps of some 15 ns; 200 million
	// when 0. What was not searched by then counts with its coarser bound.
	Work int
}

func (o Options) rule() *flash.Rule {
	if o.Rule == nil {
		return &flash.BT
	}
	return o.Rule
}

// Most returns an upper bound of the flashes in any second that the eye sees, however the
// zones' clocks stand to one another.
func Most(e *Eye, o Options) Bound {
	rule := o.rule()
	if rule.Ratio > 0 {
		return mostRed(e, o)
	}
	var out Bound
	counts := make([]int, len(e.Spots))
	for i := range e.Spots {
		b := mostOfSpot(e, &e.Spots[i], o)
		counts[i] = b.Count
		if b.Met > out.Met && e.Spots[i].Area > o.Area {
			out.Met, out.At = b.Met, b.At
		}
	}
	out.Count = joined(e.Spots, counts, o.Area)
	return out
}

// joined bounds the flashes of all spots by those of each. A flash of all covers more than
// area, and no spot takes part in more flashes than it has itself. So, with what a spot
// covers cut to area, as more of it makes no second flash, those of n flashes add up to n
// areas at least. And as spots that cover no more than area make no flash by themselves,
// each has one of the others in it.
func joined(spots []Spot, counts []int, area float64) int {
	most := 0
	for n := ceiling; n > 0 && most == 0; n-- {
		sum := 0.0
		for i := range spots {
			sum += min(spots[i].Area, area) * float64(min(counts[i], n))
		}
		if whole(spots, counts) > area && sum >= area*float64(n)*(1-1e-9) {
			most = n
		}
	}
	order := make([]int, len(spots))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return counts[b] - counts[a] })
	aside, others := 0.0, 0
	for _, i := range order {
		if aside+spots[i].Area <= area {
			aside += spots[i].Area
		} else {
			others += counts[i]
		}
	}
	return min(most, others)
}

// whole is what the spots cover that flash at all.
func whole(spots []Spot, counts []int) (area float64) {
	for i := range spots {
		if counts[i] > 0 {
			area += spots[i].Area
		}
	}
	return area
}

// mostOfSpot bounds those of one spot. Two zones that move are searched; of more, only
// what each does apart is known.
func mostOfSpot(e *Eye, spot *Spot, o Options) Bound {
	step := float32(o.rule().Step)
	base := float32(0)
	var moving []*part
	var whose []int
	for z := range e.Lines {
		c := curveOf(&e.Lines[z], spot.Light[z], luminance, tail)
		if c.steady() {
			base += c.v[0]
			continue
		}
		moving, whose = append(moving, partOf(c, step)), append(whose, z)
	}
	for len(moving) < 2 {
		moving, whose = append(moving, partOf(curveOf(&Line{}, nil, luminance, tail), step)), append(whose, -1)
	}
	if len(moving) > 2 {
		return Bound{Count: ofMany(moving, o.rule())}
	}
	s := search{rule: o.rule(), a: moving[0], b: moving[1], base: base, work: o.Work}
	if s.work == 0 {
		s.work = 200e6
	}
	b := Bound{Count: s.run(), Met: s.met, At: make([]time.Duration, len(e.Lines))}
	for i, z := range whose {
		if z >= 0 {
			b.At[z] = e.Lines[z].instant(s.at[i])
		}
	}
	return b
}

// instant is where in the line a start of a window lies.
func (l *Line) instant(start int) time.Duration {
	if l.Repeats {
		start = (start%l.span() + l.span()) % l.span()
	} else {
		start = min(max(start-hold, 0), l.span())
	}
	return time.Duration(start) * time.Millisecond
}

// ofMany bounds three zones and more by the changes of each, as many as its most
// restless second has: a change of the sum by a step takes a change of some part by its
// share of it.
func ofMany(parts []*part, rule *flash.Rule) int {
	rises, falls := 0, 0
	rise, fall := float32(0), float32(0)
	for _, p := range parts {
		var most changes
		for _, ch := range changesOf(&p.curve, widths[lastApart], float32(rule.Step)/float32(len(parts)), len(parts)) {
			most.rises[rungs-1], most.falls[rungs-1] = max(most.rises[rungs-1], ch.rises[rungs-1]), max(most.falls[rungs-1], ch.falls[rungs-1])
			most.rise, most.fall = max(most.rise, ch.rise), max(most.fall, ch.fall)
		}
		rises, falls = rises+int(most.rises[rungs-1]), falls+int(most.falls[rungs-1])
		rise, fall = rise+most.rise, fall+most.fall
	}
	if half := float32(rule.Step) / 2; rise < half-slack || fall < half-slack {
		return 0
	}
	return min(led(rises, falls), ceiling)
}
