package cabling

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// What a data line takes.
const (
	mostLoads = 32  // EIA-485 unit loads on a line, ANSI E1.11
	mostLong  = 300 // m, common practice: farther than that a repeater is put in
	legSaves  = 20  // m of cable that one more leg of a splitter has to save (a choice, no source)
)

// Options say what cables are planned for.
type Options struct {
	Desk   Place             // where the outputs are, and splitters beside them
	Stock  Stock             // Usual when it is empty
	Leg    si.Length         // cable that one more leg of a splitter has to save; 20 m when it is 0
	Output rig.DataConnector // that outputs have; "" when unknown
}

// Hop is one run of cable to a unit.
type Hop struct {
	From, To int // units; -1 is the source of the chain
	Run      si.Length
	Pieces   []si.Length
	Pins     rig.DataConnector // of its cable; "" when unknown
	Adaptor  rig.DataConnector // that is needed at its end, to what the unit has; "" when none is
}

// Line is one data line as planned.
type Line struct {
	Name     string
	Universe int
	From     string // what feeds it
	Hops     []Hop  // in order; the last ends at the terminator
	Loads    float64
	Length   si.Length // of its cables
	Adaptors int
}

// Lines is the plan of all data lines.
type Lines struct {
	Lines  []Line
	Desk   Place
	Metres si.Length   // of all their cables
	Cost   float64     // what was sought to be least, in metres
	Bound  float64     // no plan costs less
	Exact  bool        // and this one is the least
	Spare  si.Length   // the cable to lay by: as long as the longest
	Legs   map[int]int // of the splitter of each universe that has one
	Placed bool        // nobody's place is a guess
	Left   []int       // units without a type or a mode, which no line reaches
	Joined int         // joints in runs that are longer than the longest cable
}

// ErrNoUnits is that nothing is there that cables could go to.
var ErrNoUnits = errors.New("no unit of the rig has slots")

// PlanLines plans the data lines: for each universe as few and short ones as can be. The rig is left as it is.
func PlanLines(r *rig.Rig, o Options) (*Lines, error) {
	if len(o.Stock) == 0 {
		o.Stock = Usual
	}
	if o.Leg == 0 {
		o.Leg = legSaves
	}
	by := map[int][]int{}
	var universes []int
	out := &Lines{Desk: o.Desk, Exact: true, Legs: map[int]int{}, Placed: true}
	for i := range r.Units {
		u := &r.Units[i]
		if u.Mode == nil || u.Mode.Footprint < 1 {
			out.Left = append(out.Left, i)
			continue
		}
		if by[u.Universe] == nil {
			universes = append(universes, u.Universe)
		}
		by[u.Universe] = append(by[u.Universe], i)
		out.Placed = out.Placed && !u.Guessed(rig.GuessedPlace)
	}
	if universes == nil {
		return nil, ErrNoUnits
	}
	slices.Sort(universes)
	for _, n := range universes {
		if err := out.universe(r, n, by[n], &o); err != nil {
			return nil, err
		}
	}
	out.name(r)
	return out, nil
}

// dataProblem is the lines of one universe.
func dataProblem(r *rig.Rig, units []int, o *Options) *problem {
	places := make([]Place, len(units))
	for k, u := range units {
		places[k] = r.Units[u].At
	}
	p := &problem{n: len(units), sources: 1, longest: mostLong, chains: []int{len(units)}, perChain: float64(o.Leg)}
	p.hop = hops(places, o.Stock)
	p.first = [][]float64{firsts(o.Desk, places, o.Stock)}
	p.passes = slices.Repeat([]bool{true}, p.n)
	sum := 0.0
	for _, u := range units {
		sum += loads(&r.Units[u])
	}
	p.leastChains = max(1, int(math.Ceil(sum/mostLoads)))
	p.chainFits = func(_ int, chain []int) bool {
		sum := 0.0
		for _, k := range chain {
			sum += loads(&r.Units[units[k]])
		}
		return sum <= mostLoads
	}
	p.fits = func(int, []int) bool { return true }
	return p
}

// hops are the costs of all runs between places.
func hops(places []Place, s Stock) [][]float64 {
	out := make([][]float64, len(places))
	for i := range out {
		out[i] = firsts(places[i], places, s)
	}
	return out
}

func firsts(from Place, places []Place, s Stock) []float64 {
	out := make([]float64, len(places))
	for i := range out {
		out[i] = s.costs(Run(from, places[i]))
	}
	return out
}

// loads is what a unit's receiver asks of the driver.
func loads(u *rig.Unit) float64 {
	if u.Type != nil && u.Type.Loads > 0 {
		return float64(u.Type.Loads)
	}
	return 1
}

// universe plans the lines of one universe.
func (l *Lines) universe(r *rig.Rig, n int, units []int, o *Options) error {
	p := dataProblem(r, units, o)
	for k, d := range p.first[0] {
		if u := &r.Units[units[k]]; d > mostLong || loads(u) > mostLoads {
			return fmt.Errorf("no data line of 32 unit loads and %d m reaches unit %s, which is %s of cable away", mostLong, u.Name.Name, si.Say(float64(Run(o.Desk, u.At)), "m"))
		}
	}
	best := p.solve()
	if best == nil {
		return fmt.Errorf("no way was found to reach all units of universe %d", n)
	}
	l.Exact = l.Exact && best.exact
	l.Cost += best.cost - p.perChain // the first line needs no splitter
	l.Bound += best.bound - p.perChain
	chains := best.chains[0]
	slices.SortFunc(chains, func(a, b []int) int { return cmp.Compare(slices.Min(a), slices.Min(b)) })
	if len(chains) > 1 {
		l.Legs[n] = len(chains)
	}
	for _, c := range chains {
		line := Line{Universe: n}
		from, at, pins := -1, o.Desk, o.Output
		for _, k := range c {
			to := units[k]
			u := &r.Units[to]
			h := Hop{From: from, To: to, Run: Run(at, u.At)}
			h.Pieces = o.Stock.Pieces(h.Run)
			if h.Pins = pins; u.Type != nil && u.Type.Pins != "" {
				if pins != "" && pins != u.Type.Pins {
					h.Adaptor = u.Type.Pins
				}
				pins = u.Type.Pins
			}
			line.add(h, loads(u))
			from, at = to, u.At
		}
		l.Joined += line.joints()
		l.Metres += line.Length
		l.Lines = append(l.Lines, line)
	}
	return nil
}

func (l *Line) add(h Hop, loads float64) {
	l.Hops = append(l.Hops, h)
	l.Loads += loads
	l.Length += total(h.Pieces)
	if h.Adaptor != "" {
		l.Adaptors++
	}
}

func (l *Line) joints() (n int) {
	for _, h := range l.Hops {
		n += len(h.Pieces) - 1
	}
	return n
}

// name gives the lines the names of those that the rig has with the most of their units, else new
// ones; and says what feeds each.
func (l *Lines) name(r *rig.Rig) {
	taken := map[string]bool{}
	leg := map[int]int{}
	for i := range l.Lines {
		line := &l.Lines[i]
		leg[line.Universe]++
		line.From = fmt.Sprintf("output of universe %d", line.Universe)
		if l.Legs[line.Universe] > 1 {
			line.From = fmt.Sprintf("%s leg %d", splitterOf(line.Universe, len(l.Legs)), leg[line.Universe])
		}
		line.Name = likest(r, line, taken)
		taken[line.Name] = true
		for _, h := range line.Hops {
			l.Spare = max(l.Spare, slices.Max(h.Pieces))
		}
	}
	free := slices.DeleteFunc(source.Names(r.Lines), func(name string) bool { return taken[name] })
	for i := range l.Lines {
		line := &l.Lines[i]
		if line.Name == "" && len(free) > 0 { // one that has no units any more
			line.Name, free = free[0], free[1:]
		}
		for n := 1; line.Name == ""; n++ {
			if name := fmt.Sprintf("line %d", n); !taken[name] {
				line.Name = name
			}
		}
		taken[line.Name] = true
	}
}

func splitterOf(universe, many int) string {
	if many == 1 {
		return "splitter"
	}
	return fmt.Sprintf("splitter of universe %d", universe)
}

// likest is the name of the line of the rig with the most units of this one that is not taken.
func likest(r *rig.Rig, line *Line, taken map[string]bool) (name string) {
	most := 0
	for i := range r.Lines {
		e := &r.Lines[i]
		n := 0
		for _, h := range line.Hops {
			if u := &r.Units[h.To]; slices.Contains(e.Value.Order, u.Name.Name) || u.Line.Name == e.Name {
				n++
			}
		}
		if n > most && !taken[e.Name] {
			name, most = e.Name, n
		}
	}
	return name
}

// Apart is how much more a plan costs than the least could, as a share; 0 of one that is the least.
func Apart(cost, bound float64) float64 {
	if cost <= 0 {
		return 0
	}
	return math.Max(0, 1-bound/cost)
}
