package hang

import (
	"fmt"
	"math"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// on lists the units of a support, what they weigh together, and the types of those whose weight nobody
// said.
func (r *limits) on(support string) (units []int, weight float64, bare []string) {
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		if u.On.Name != support || u.Type == nil {
			continue
		}
		units = append(units, i)
		weight += float64(u.Type.Weight)
		if u.Type.Weight == 0 {
			bare = append(bare, u.Type.ID)
		}
	}
	return units, weight, bare
}

// loads holds what hangs on each support against its rated load.
func (r *limits) loads() {
	for i := range r.Rig().Supports {
		s := &r.Rig().Supports[i]
		units, weight, bare := r.on(s.Name)
		if bare != nil {
			r.Lack(subject.Weights, bare, "hang-load", "hang-tip")
		}
		if s.Value.Carries == 0 && len(units) > 0 {
			r.Lack(subject.Carries, []string{s.Name}, "hang-load")
		}
		if limit := float64(s.Value.Carries); limit > 0 && weight > limit {
			r.Add(finding.Finding{ID: "hang-load", Severity: finding.Stop, Place: finding.Thing(string(s.Value.Kind), s.Name), Units: r.UnitNames(units), Value: weight, Limit: limit, Unit: "kg",
				Source: "the rated load of the support, by its maker or by a competent person",
				Says:   finding.Say("%s on %s %s weigh %s, clamps and cables not counted", si.Count(len(units), "unit", "units"), s.Value.Kind, s.Name, si.Of(weight, "kg")),
				Cure:   finding.Say("take units off, or hang them on one that carries more")}.At(s.Pos))
		}
	}
}

// leastTilt is the tilt in degrees at which a stand may not yet tip. IEC 60598-1 has portable lamps stand
// at 6° (from memory); a stand among people is knocked, so this is more (this tool's choice).
const leastTilt = 10

// ownMiddle is where a stand's own weight is, as a share of its height (common practice, no source).
const ownMiddle = 1. / 3

// tips tells how far each stand may lean before it tips, and what pull at its top tips it.
func (r *limits) tips() {
	for i := range r.Rig().Supports {
		s := &r.Rig().Supports[i]
		units, load, bare := r.on(s.Name)
		if v := &s.Value; v.Standing() && len(units) > 0 && bare == nil && v.Base > 0 && v.Height > 0 {
			r.tip(s, units, load)
		}
	}
}

func (r *limits) tip(s *source.Entry[rig.Support], units []int, load float64) {
	v := &s.Value
	moment, all := float64(v.Weight)*ownMiddle*float64(v.Height), float64(v.Weight)+float64(v.Ballast)+load
	for _, u := range units {
		moment += float64(r.Rig().Units[u].Type.Weight) * r.high(u, v)
	}
	reach := float64(v.Base) / 2 * math.Cos(math.Pi/float64(v.FeetCount()))
	tilt := math.Atan2(reach, moment/all) * 180 / math.Pi
	pull := all * gravity * reach / float64(v.Height)
	f := finding.Finding{ID: "hang-tip", Severity: finding.Note, Place: finding.Thing(string(v.Kind), s.Name), Units: r.UnitNames(units), Value: tilt, Limit: leastTilt, Unit: "°",
		Source:  "statics; IEC 60598-1 has portable lamps stand at a tilt of 6° (from memory), and more is wanted among people (this tool's choice)",
		Assumed: fmt.Sprintf("its own weight at a third of its height, ballast on the floor, %d feet spread wide, a level floor", v.FeetCount()),
		Says:    finding.Say("%s %s tips at %s, or by a pull of %s at its top", v.Kind, s.Name, si.Of(tilt, "°"), si.Of(pull, "N"))}
	if f.Margin = (tilt - leastTilt) / leastTilt; f.Margin < 0 {
		if f.Severity = finding.Warn; tilt < standsTilt {
			f.Severity = finding.Stop
		}
		f.Cure = finding.Say("lay %s more on its feet, lower it, or spread its feet wider; tie it off where people pass", si.Of(ballast(moment, all, reach), "kg"))
	}
	if push := r.wind(units); push >= pull {
		f.Severity, f.Margin = finding.Stop, min(f.Margin, (pull-push)/push)
		f.Says = f.Says.And("; a strong breeze pushes its lamps with %s, outdoors", si.Of(push, "N"))
		f.Source += "; half of air's density times speed squared, a bluff body's drag of 1.2, Beaufort 6 (from memory)"
		f.Cure = finding.Say("weigh its feet down and tie it off against the wind, and take it down when wind is forecast")
	}
	r.Add(f.At(s.Pos))
}

// A strong breeze, Beaufort 6, in m/s at its upper end; air's density in kg/m³; drag of a bluff body (all from
// memory).
const (
	breeze = 13.8
	air    = 1.2
	drag   = 1.2
)

// wind is the push of a strong breeze on units that are outdoors, from the side on which they are largest, in N.
func (r *limits) wind(units []int) (push float64) {
	for _, i := range units {
		u := &r.Rig().Units[i]
		if !u.Outside {
			continue
		}
		w, h, d := float64(u.Type.Size[0]), float64(u.Type.Size[1]), float64(u.Type.Size[2])
		push += air / 2 * breeze * breeze * drag * max(w*h, w*d, h*d)
	}
	return push
}

// standsTilt is the tilt, in degrees, at which a lamp that stands on its own must not fall (IEC 60598-1, from
// memory).
const standsTilt = 6

// gravity is standard gravity, 9.80665 m/s² (CGPM 1901).
const gravity = 9.80665

// ballast is the weight on the floor that brings the tilt to the least: reach/(moment/(all+x)) = tan.
func ballast(moment, all, reach float64) float64 {
	return math.Ceil(math.Max(0, moment*math.Tan(leastTilt*math.Pi/180)/reach-all))
}

// high is how high a unit is on its support: where it hangs, or at the top where nobody said.
func (r *limits) high(unit int, s *rig.Support) float64 {
	if u := &r.Rig().Units[unit]; u.Hung != nil {
		return float64(u.At[2])
	}
	return float64(s.Height)
}

// bonds finds units overhead of which it is said that they have no second suspension.
func (r *limits) bonds() {
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		if u.Bond == nil || *u.Bond || !r.overhead(i) {
			continue
		}
		r.Add(finding.Finding{ID: "hang-bond", Severity: finding.Stop, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name},
			Source: "common practice everywhere, and local codes: whatever hangs over people has a second suspension of its own",
			Says:   finding.Say("unit %s hangs overhead without a second suspension", u.Name.Name),
			Cure:   finding.Say("put a rated steel rope around the bar and through its eye, with little slack")}.At(u.Name.Pos))
	}
}

// above is how much higher than the top of its stand a lamp may be, in m: on a spigot, on a short arm (a choice,
// no source).
const above = .5

// misplaced finds lamps that are higher than what they stand on, and lamps that are all in one place: one of two
// figures is wrong.
func (r *limits) misplaced() {
	taken := map[[3]si.Length]string{}
	for _, i := range r.placed() {
		u := &r.Rig().Units[i]
		f := finding.Finding{ID: "hang-place", Severity: finding.Warn, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name}, Source: "the rig's own places",
			Cure: finding.Say("measure both again: distances, ways and doses go by it")}
		s := r.Rig().Supports.Get(u.On.Name)
		if s != nil && s.Standing() && s.Height > 0 && float64(u.At[2]) > float64(s.Height)+above {
			g := f
			g.Value, g.Limit, g.Unit = float64(u.At[2]), float64(s.Height), "m"
			g.Says = finding.Say("unit %s is %s up, on a %s of %s", u.Name.Name, si.Of(float64(u.At[2]), "m"), s.Kind, si.Of(float64(s.Height), "m"))
			r.Add(g.At(u.Name.Pos))
		}
		if other, found := taken[u.At]; found {
			f.Says = finding.Say("units %s and %s are in one place", other, u.Name.Name)
			r.Add(f.At(u.Name.Pos))
			continue
		}
		taken[u.At] = u.Name.Name
	}
}
