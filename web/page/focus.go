package page

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"lampblack/room"
	"lampblack/si"
)

// Aim is what somebody on a ladder wants to know of a unit.
type Aim struct {
	Unit   string     `json:"unit"`
	At     [3]float64 `json:"at"`
	Aim    [3]float64 `json:"aim"`
	Beam   float64    `json:"beam"`   // full angle at half of the peak, degrees
	Mark   string     `json:"mark"`   // where it points, in steps
	Lights []string   `json:"lights"` // what gets most of its light
	Near   []int      `json:"near"`   // the other units, the nearest first
	Fault  []Try      `json:"fault"`  // what to look at when it does not answer
}

// Try is one thing to look at when a unit does not answer.
type Try struct {
	Text string `json:"text"`
	Unit string `json:"unit"` // to be found meanwhile, "" for none
}

// Aims tells of every unit where it is to point, and how its fault is found.
func (b *Book) Aims() []Aim {
	r := b.show.Rig
	out := make([]Aim, len(r.Units))
	for u := range r.Units {
		unit := &r.Units[u]
		a := &out[u]
		a.Unit, a.Lights, a.Near = unit.Name.Name, b.litBy(u), []int{}
		for k := range 3 {
			a.At[k], a.Aim[k] = finite(float64(unit.At[k])), finite(float64(unit.Aim[k]))
		}
		a.Mark = mark(a.Aim)
		if unit.Type != nil {
			a.Beam = finite(float64(unit.Type.Beam.Half) * 180 / math.Pi)
		}
		for k := range r.Units {
			if k != u {
				a.Near = append(a.Near, k)
			}
		}
		slices.SortStableFunc(a.Near, func(x, y int) int { return cmp.Compare(b.apart(u, x), b.apart(u, y)) })
		a.Fault = b.tries(u)
	}
	return out
}

// apart is how far two units are from one another, in m.
func (b *Book) apart(x, y int) float64 {
	sum := 0.0
	for k := range 3 {
		d := float64(b.show.Rig.Units[x].At[k] - b.show.Rig.Units[y].At[k])
		sum += d * d
	}
	return math.Sqrt(sum)
}

// step is a step of somebody who paces a stage out, in m (common practice, no source).
const step = .7

// mark says where a point is for somebody who walks there from the middle of the stage's edge.
func mark(at [3]float64) string {
	across := "in the middle"
	if n := steps(at[0]); n != "" {
		side := "right"
		if at[0] < 0 {
			side = "left"
		}
		across = n + " to the " + side + " as the audience sees it"
	}
	deep := "at the stage's edge"
	if n := steps(at[1]); n != "" {
		if deep = n + " in from the stage's edge"; at[1] < 0 {
			deep = n + " before the stage's edge"
		}
	}
	height := "on the floor"
	if at[2] > .05 {
		height = fmt.Sprintf("%s above the floor", si.Length(math.Round(at[2]*20)/20))
	}
	return deep + ", " + across + ", " + height
}

// steps is a distance in half steps, "" for less than a quarter of one.
func steps(d float64) string {
	halves := int(math.Round(math.Abs(d) / step * 2))
	whole := fmt.Sprint(halves / 2)
	if halves/2 == 0 {
		whole = ""
	}
	switch {
	case halves == 0:
		return ""
	case halves == 1:
		return "half a step"
	case halves == 2:
		return "1 step"
	case halves%2 == 1:
		return whole + "½ steps"
	}
	return whole + " steps"
}

// litBy lists the surfaces and objects that get most of a unit's light, by irradiance.
func (b *Book) litBy(unit int) []string {
	t := b.show.Transport
	if t == nil {
		return []string{}
	}
	type got struct {
		name string
		much float64
	}
	var list []got
	from, to := b.show.Rig.UnitDrives(unit)
	most := 0.0
	for _, name := range t.Names() {
		row := t.MeanRow(name, room.Radiant)
		sum := 0.0
		for d := from; row != nil && d < to; d++ {
			sum += row[d]
		}
		most = max(most, sum)
		list = append(list, got{name, sum})
	}
	slices.SortStableFunc(list, func(a, b got) int { return cmp.Compare(b.much, a.much) })
	out := []string{}
	for _, g := range list {
		if g.much > most/4 && g.much > 0 && len(out) < 3 {
			out = append(out, g.name)
		}
	}
	return out
}

// Reach is how much of what a place gets a system brings it, with all units at full.
type Reach struct {
	System string  `json:"system"`
	Share  float64 `json:"share"`
}

// Reaching lists the systems that reach a surface or an object, those with most light first.
func (b *Book) Reaching(place string) []Reach {
	out := []Reach{}
	t := b.show.Transport
	if t == nil {
		return out
	}
	row := t.MeanRow(place, room.Radiant)
	all := 0.0
	for _, v := range row {
		all += v
	}
	for _, s := range b.Systems() {
		sum := 0.0
		for _, u := range s.Units {
			from, to := b.show.Rig.UnitDrives(u)
			for d := from; row != nil && d < to; d++ {
				sum += row[d]
			}
		}
		if sum > 0 {
			out = append(out, Reach{s.Name, sum / all})
		}
	}
	slices.SortStableFunc(out, func(a, b Reach) int { return cmp.Compare(b.Share, a.Share) })
	return out
}

// tries lists what to look at when a unit does not answer, in the order in which it costs
// least: the lamp itself, its supply, its address, the data line.
func (b *Book) tries(unit int) []Try {
	r := b.show.Rig
	u := &r.Units[unit]
	out := []Try{{Text: "Is anything lit on the unit itself, a display, a small lamp, a fan that turns? If not, it has no mains: go on with its supply. If so, go on with its address."}}
	switch {
	case u.FedBy.Name != "":
		out = append(out, Try{"Supply: it is fed through " + u.FedBy.Name + ". Does that one answer? If so, look at the lead between the two and at this unit's fuse.", u.FedBy.Name})
	case u.Circuit.Name != "":
		out = append(out, Try{Text: "Supply: it hangs on circuit " + u.Circuit.Name + ". Look at the plug, then whether that circuit's breaker is on. A breaker that trips again is for a licensed electrician."})
	default:
		out = append(out, Try{Text: "Supply: look at the plug, the outlet and the unit's fuse."})
	}
	mode := u.ModeName.Name
	if u.Mode != nil {
		mode = fmt.Sprintf("of %s", si.Count(u.Mode.Footprint, "slot", "slots"))
		if u.ModeName.Name != "" {
			mode = u.ModeName.Name + ", " + mode
		}
	}
	out = append(out, Try{Text: fmt.Sprintf("Address: its display must say %d, and the mode %s. Programs that run by themselves, sound control and a linked mode must be off.", u.Address, mode)})
	before, after := b.onLine(unit)
	if before != "" {
		out = append(out, Try{"Data: " + before + " is before it on line " + u.Line.Name + ". Does that one answer? If so, the cable from there to this unit, or its socket, is bad: change it for one that is known to be good. If not, go on there.", before})
	} else {
		out = append(out, Try{Text: "Data: it is the first on its line: look at the cable from the output, and whether the output says that anything is wrong."})
	}
	if after != "" {
		out = append(out, Try{"Data: does " + after + ", the next on the line, answer? Then the line is good to here and beyond, and it is this unit's address, mode or receiver.", after})
	}
	if same := b.sharing(unit); len(same) > 0 {
		out = append(out, Try{Text: "Its slots are also those of " + strings.Join(same, ", ") + ": they do what it does."})
	}
	return append(out, Try{Text: "Still dark? Take it out for tonight: what it had to do goes to its likes where they can. Do not open it."})
}

// onLine names the units before and after a unit on its data line.
func (b *Book) onLine(unit int) (before, after string) {
	r := b.show.Rig
	u := &r.Units[unit]
	l := r.Lines.Get(u.Line.Name)
	if l == nil {
		return "", ""
	}
	for i, ref := range l.Order {
		if ref != u.Name.Name {
			continue
		}
		if i > 0 {
			before = l.Order[i-1]
		}
		if i+1 < len(l.Order) {
			after = l.Order[i+1]
		}
	}
	return before, after
}

// sharing names the units that listen to slots of a unit.
func (b *Book) sharing(unit int) []string {
	r := b.show.Rig
	u := &r.Units[unit]
	var out []string
	for k := range r.Units {
		o := &r.Units[k]
		if k == unit || u.Mode == nil || o.Mode == nil || o.Universe != u.Universe {
			continue
		}
		if o.Address < u.Address+u.Mode.Footprint && u.Address < o.Address+o.Mode.Footprint {
			out = append(out, o.Name.Name)
		}
	}
	return out
}
