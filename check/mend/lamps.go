package mend

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
	"lampblack/source"
)

// mostLamps bounds the lamps that are changed at once: a person goes to few.
const mostLamps = 4

// lampsOf are the units that give the eye most, and the eye; not ok for what is no eye. Where they hang must
// have been said.
func (m *mending) lampsOf() (units []int, eye room.Point, ok bool) {
	t := m.show.Transport
	name := strings.TrimPrefix(strings.TrimPrefix(m.finding.Place, "seat "), "performer ")
	k := slices.IndexFunc(t.Eyes, func(p int) bool { return t.Places[p].Name == name })
	if k < 0 {
		return nil, eye, false
	}
	for _, unit := range m.finding.Units[:min(len(m.finding.Units), mostLamps)] {
		if u := m.show.Rig.Index(unit); u >= 0 && m.show.Rig.Units[u].Hung != nil && m.show.Rig.Units[u].Aimed != nil {
			units = append(units, u)
		}
	}
	return units, t.Places[t.Eyes[k]].At, len(units) > 0
}

// change is a new value of a key of a unit.
type change struct {
	unit       int
	key, value string
}

// ofRig is an attempt that changes units.
func (m *mending) ofRig(what string, changes []change) attempt {
	var names []string
	for _, c := range changes {
		names = append(names, m.show.Rig.Units[c.unit].Name.Name)
	}
	return attempt{file: show.RigFile, what: "unit " + strings.Join(names, ", ") + ": " + what, edit: func(t *source.Text) error {
		for _, c := range changes {
			if err := t.SetKey(c.key, c.value, "units", c.unit); err != nil {
				return err
			}
		}
		return nil
	}}
}

type vector [3]float64

func (a vector) minus(b vector) vector { return vector{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vector) plus(b vector, f float64) vector {
	return vector{a[0] + f*b[0], a[1] + f*b[1], a[2] + f*b[2]}
}
func (a vector) dot(b vector) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vector) size() float64        { return math.Sqrt(a.dot(a)) }

func metres[T ~float64](p [3]T) vector { return vector{float64(p[0]), float64(p[1]), float64(p[2])} }

// shaded puts a flag before the lamps, so that the light that rises to the eye is cut: two degrees below it, then
// lower, as a lens has a size.
func (m *mending) shaded() (out []attempt) {
	units, eye, ok := m.lampsOf()
	if !ok {
		return nil
	}
	for _, below := range []float64{2, 6, 12} {
		var changes []change
		var says []string
		for _, u := range units {
			unit := &m.show.Rig.Units[u]
			to := metres(eye).minus(metres(unit.At))
			angle := math.Floor(math.Asin(to[2]/max(to.size(), 1e-6))*180/math.Pi - below)
			was := unit.Mask != 0 && float64(unit.Mask)*180/math.Pi <= angle
			if was || angle == 0 || angle < -80 || angle > 80 {
				continue // it has such a flag, or none would do
			}
			changes = append(changes, change{u, "mask", fmt.Sprintf("%.0f°", angle)})
			says = append(says, fmt.Sprintf("%.0f°", angle))
		}
		if len(changes) > 0 {
			out = append(out, m.ofRig("a flag that lets no light rise above "+strings.Join(slices.Compact(says), ", "), changes))
		}
	}
	return out
}

// turned aims the lamps away from the eye, by as little as may do.
func (m *mending) turned() (out []attempt) {
	units, eye, ok := m.lampsOf()
	if !ok {
		return nil
	}
	for _, degrees := range []float64{5, 10, 20} {
		var changes []change
		for _, u := range units {
			unit := &m.show.Rig.Units[u]
			at := metres(unit.At)
			aim, turns := away(metres(unit.Aim).minus(at), metres(eye).minus(at), degrees*math.Pi/180)
			if turns {
				changes = append(changes, change{u, "aim", point(at.plus(aim, 1))})
			}
		}
		if len(changes) > 0 {
			out = append(out, m.ofRig(fmt.Sprintf("aimed %g° farther from %s", degrees, m.finding.Place), changes))
		}
	}
	return out
}

// away turns a direction away from another by an angle, in the plane of both.
func away(from, other vector, angle float64) (vector, bool) {
	far, near := from.size(), other.size()
	if far == 0 || near == 0 {
		return from, false
	}
	side := other.plus(from, -other.dot(from)/(far*far)) // square to the beam, toward the other
	if side.size() < 1e-6*near {
		return from, false // it looks straight there: nobody knows which way is better
	}
	return vector{}.plus(from, math.Cos(angle)).plus(side, -math.Sin(angle)*far/side.size()), true
}

func point(p vector) string {
	return fmt.Sprintf("[%s, %s, %s]", length(p[0]), length(p[1]), length(p[2]))
}

func length(v float64) string { return fmt.Sprintf("%g m", math.Round(v*100)/100) }

// moved moves the lamps away from the eye as far as what they hang or stand on goes: along a bar between its
// outermost units, up and down a tree. Units of which nobody said what they are on stay: a floor or a wall is no rail.
func (m *mending) moved() (out []attempt) {
	units, eye, ok := m.lampsOf()
	if !ok {
		return nil
	}
	for _, by := range []float64{.3, .6, 1} {
		var changes []change
		for _, u := range units {
			if to, moves := m.along(u, metres(eye), by); moves {
				changes = append(changes, change{u, "at", point(to)})
			}
		}
		if len(changes) > 0 {
			out = append(out, m.ofRig(fmt.Sprintf("moved %g m farther from %s", by, m.finding.Place), changes))
		}
	}
	return out
}

// along is the place of a unit that is moved on its support away from the eye.
func (m *mending) along(u int, eye vector, by float64) (to vector, ok bool) {
	unit := &m.show.Rig.Units[u]
	s := m.show.Rig.Supports.Get(unit.On.Name)
	at := metres(unit.At)
	if s == nil {
		return at, false
	}
	low, high := at, at
	switch s.Kind {
	case rig.Bar:
		for i := range m.show.Rig.Units {
			if o := &m.show.Rig.Units[i]; o.On.Name == unit.On.Name && o.Hung != nil {
				low, high = ends(low, high, metres(o.At))
			}
		}
	case rig.Tree, rig.Stand:
		low[2], high[2] = min(at[2], 1), max(float64(s.Height), at[2])
	}
	far := at.minus(eye).size()
	for _, end := range []vector{low, high} {
		way := end.minus(at)
		if way.size() < by-1e-9 {
			continue
		}
		if p := at.plus(way, by/way.size()); p.minus(eye).size() > far+by/10 {
			return p, true
		}
	}
	return at, false
}

// ends are the two of three places on a bar that are farthest apart.
func ends(a, b, c vector) (vector, vector) {
	ab, bc, ac := a.minus(b).size(), b.minus(c).size(), a.minus(c).size()
	switch {
	case ab >= bc && ab >= ac:
		return a, b
	case bc >= ac:
		return b, c
	}
	return a, c
}
