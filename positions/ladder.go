package positions

import (
	"fmt"
	"io"
	"math"
	"strings"

	"lampblack/check/dose"
	"lampblack/light"
	"lampblack/room"
	"lampblack/si"
	"lampblack/source"
)

// Note is what a person sets at one unit, to be read on a ladder: all lengths are of its lens, left and right
// are the audience's.
type Note struct {
	Mark    int // its number, on tape
	Unit    string
	Type    string
	On      string // "bar front bar", "a stand", "the floor"
	At, Aim room.Point
	Height  float64 // m over the floor
	Sides   string  // from two walls
	Target  string  // what the aim lies on, and where
	Throw   float64 // m
	Pan     float64 // degrees right of straight upstage
	Tilt    float64 // degrees down from the level
	Cross   string  // where the mark below the aim lies, from two walls
	KeepOut float64 // m that eyes stay from its front, for its ultraviolet; 0 where that is nothing
}

// Notes are those of all units that were placed, in the rig's order.
func (p *Plan) Notes() []Note {
	r := p.Show.Room
	var out []Note
	for i, s := range p.Spots {
		u := &p.Rig.Units[s.Unit]
		n := Note{Mark: i + 1, Unit: u.Name.Name, Type: u.Type.Name, On: onWords(&s), At: s.At, Aim: s.Aim, Height: float64(s.At[2]),
			Sides: wallsOf(r, s.At), Target: p.targetWords(&s), Cross: wallsOf(r, s.Aim), KeepOut: p.keepOut(s.Unit)}
		x, y, z := float64(s.Aim[0]-s.At[0]), float64(s.Aim[1]-s.At[1]), float64(s.Aim[2]-s.At[2])
		n.Throw = math.Hypot(math.Hypot(x, y), z)
		if math.Hypot(x, y) > .05 {
			n.Pan = math.Atan2(x, y) * 180 / math.Pi
		}
		n.Tilt = -math.Atan2(z, math.Hypot(x, y)) * 180 / math.Pi
		out = append(out, n)
	}
	return out
}

func onWords(s *Spot) string {
	switch {
	case s.On == "floor":
		return "on the floor"
	case s.Support != "":
		return "on " + s.On + " " + s.Support
	}
	return "on a " + s.On
}

// wallsOf says where a point is from two walls: the nearer of each pair.
func wallsOf(r *room.Room, p room.Point) string {
	say := func(l si.Length) string { return fmt.Sprintf("%.2f m", float64(l)) }
	across := say(r.Size[0]/2+p[0]) + " from the left wall"
	if p[0] > 0 {
		across = say(r.Size[0]/2-p[0]) + " from the right wall"
	}
	back := r.Size[1] - r.Front
	if p[1] > (back-r.Front)/2 {
		return across + ", " + say(back-p[1]) + " from the wall behind the stage"
	}
	return across + ", " + say(r.Front+p[1]) + " from the wall behind the audience"
}

// targetWords say what is aimed at.
func (p *Plan) targetWords(s *Spot) string {
	name, at := s.Target, s.Aim
	if name == "" {
		return fmt.Sprintf("%.2f m up", float64(at[2]))
	}
	for i := range p.Show.Transport.Panels {
		q := &p.Show.Transport.Panels[i]
		if q.Name != name || q.Back {
			continue
		}
		middle := q.Corner[0] + q.U[0]*si.Length(q.Width/2) + q.V[0]*si.Length(q.Height/2)
		side := ""
		switch d := float64(at[0] - middle); {
		case d > .03:
			side = fmt.Sprintf(", %.2f m right of its middle", d)
		case d < -.03:
			side = fmt.Sprintf(", %.2f m left of its middle", -d)
		}
		return fmt.Sprintf("%s%s, %.2f m up", name, side, float64(at[2]))
	}
	return fmt.Sprintf("%s, %.2f m up", name, float64(at[2]))
}

// keepOut is the distance in which an eye that stayed on the axis through all shows and rehearsals of the
// busiest day, each drive at the brightest that any look has it, would pass the daily dose of ultraviolet.
func (p *Plan) keepOut(unit int) float64 {
	u := &p.Rig.Units[unit]
	if !u.Ultraviolet() {
		return 0
	}
	from, to := p.Rig.UnitDrives(unit)
	stay := stayOf(p.Show).Seconds()
	most := make([]float64, to-from)
	for i := range p.Show.Looks {
		for d := from; d < to; d++ {
			most[d-from] = max(most[d-from], float64(p.Show.Looks[i].Levels[d])*stay)
		}
	}
	axis := dose.NewAxis(u, p.Rig.Drives[from:to])
	d := float64(dose.Reach(func(far si.Length) float64 { return axis.Most(most, room.UVA, far) }, light.DailyUVA))
	if d < .1 {
		return 0
	}
	return d
}

// Write prints the notes, what is left, and what to heed.
func (p *Plan) Write(w io.Writer) {
	fmt.Fprintf(w, "%s to hang and aim. Heights are of the lens over the floor; left and right are the audience's;\nturn is from straight upstage, as a clock from above; tilt is down from the level.\n", si.Count(len(p.Spots), "unit", "units"))
	for _, n := range p.Notes() {
		fmt.Fprintf(w, "\n%d  %s (%s), %s\n", n.Mark, source.Visible(n.Unit), source.Visible(n.Type), source.Visible(n.On))
		fmt.Fprintf(w, "     lens   %.2f m up; %s\n", n.Height, n.Sides)
		fmt.Fprintf(w, "     aim    %s; throw %.1f m\n", source.Visible(n.Target), n.Throw)
		fmt.Fprintf(w, "     turn   %s\n", turned(n.Pan, n.Tilt))
		fmt.Fprintf(w, "     marks  %s\n", tape(&n))
		fmt.Fprintf(w, "            a cross on the floor below the aim: %s\n", n.Cross)
		if n.KeepOut > 0 {
			fmt.Fprintf(w, "     keep   eyes more than %.2f m from its front: ultraviolet; mark that on the floor\n", n.KeepOut)
		}
	}
	fmt.Fprintln(w)
	for _, line := range p.remarks() {
		fmt.Fprintln(w, line)
	}
}

// turned says pan and tilt in whole degrees.
func turned(pan, tilt float64) string {
	a, b := math.Round(pan), math.Round(tilt)
	side, down := "0°", fmt.Sprintf("%.0f° down", math.Abs(b))
	switch {
	case math.Abs(b) == 90:
		return "straight down"
	case a > 0:
		side = fmt.Sprintf("%.0f° right", a)
	case a < 0:
		side = fmt.Sprintf("%.0f° left", -a)
	}
	if b < 0 {
		down = fmt.Sprintf("%.0f° up", -b)
	}
	return side + ", " + down
}

// tape is the mark by which a unit finds its place again in the dark.
func tape(n *Note) string {
	switch {
	case strings.HasPrefix(n.On, "on bar"):
		return fmt.Sprintf("tape %d on the bar beside its clamp, and across its yoke", n.Mark)
	case n.On == "on the floor":
		return fmt.Sprintf("tape %d around its body on the floor", n.Mark)
	}
	return fmt.Sprintf("tape %d on the floor at each foot, around the tube at its height, and across its yoke", n.Mark)
}

// remarks are what is said below the notes.
func (p *Plan) remarks() (out []string) {
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	names := func(units []int) string {
		var list []string
		for _, u := range units {
			list = append(list, p.Rig.Units[u].Name.Name)
		}
		return source.Visible(source.First(list, 6))
	}
	switch {
	case len(p.Misses) == 0 && p.Coarse:
		add("All goals of the looks are met, as far as light that was computed coarsely tells: it was cut off.")
	case len(p.Misses) == 0:
		add("All goals of the looks are met.")
	default:
		add("%s not met:", si.Count(len(p.Misses), "goal is", "goals are"))
		for _, m := range p.Misses {
			add("  look %s: %s", source.Visible(m.Look), source.Visible(m.Text))
		}
		switch {
		case p.More > 0:
			add("  %s like %s would do.", si.Count(p.More, "unit more", "units more"), source.Visible(p.Rig.Units[p.Like].Name.Name))
		case p.Cut:
			add("  It was cut off: more time may find better.")
		case p.Tried > 0:
			add("  %s did not do it either: other types, another place to hang, or less to ask.", si.Count(p.Tried, "unit more", "units more"))
		}
	}
	if p.Nowhere != nil {
		add("No place is allowed for %s: name a bar or a stand (supports: in rig.yaml), or put them by hand.", names(p.Nowhere))
	}
	if p.Bright != nil {
		add("Seats look into the lens of %s: no place without that was found. Mask it, or hang something between.", names(p.Bright))
	}
	if p.Idle != nil {
		add("Left without a place, as no look asks anything of them that has a number: %s.", names(p.Idle))
	}
	if p.Show.Room.Guessed(room.GuessedSize | room.GuessedFront) {
		add("The size of the room is a guess: measure it (size: in room.yaml), and plan again.")
	}
	add("Places that were allowed: %s.", strings.Join(p.Ground, ", "))
	add("None of them is over or in a path or a seat, in a line of sight to things and people on stage, within")
	add("%.1f m of performers and their marks, nearer than %.0f m to what it lights, or with a lens in an audience eye.", people, leastThrow)
	add("Ultraviolet at all eyes is below the daily dose even if one look stood through all shows and rehearsals of a day.")
	add("Hanging things over people is for those who are trained for it: a second suspension, weights against the")
	add("bar's rated load, and no stand where people go out. Local codes decide. `lampblack check` looks at the rest.")
	return out
}

// Changed is the text of the rig with places and aims written in; all else stays as it is.
func (p *Plan) Changed(file string, data []byte) ([]byte, error) {
	t, faults := source.OpenText(file, data)
	if t == nil {
		return nil, faults.Err()
	}
	for _, s := range p.Spots {
		u := &p.Rig.Units[s.Unit]
		for _, kv := range [][2]string{{"at", triple(s.At)}, {"aim", triple(s.Aim)}} {
			if err := t.Put(kv[0], kv[1], "units", s.Unit); err != nil {
				return nil, err
			}
		}
		if u.On.Name == "" && s.Support != "" {
			if err := t.SetKey("on", source.Quote(s.Support), "units", s.Unit); err != nil {
				return nil, err
			}
		}
	}
	return t.Bytes()
}

func triple(p room.Point) string {
	var out []string
	for _, v := range p {
		out = append(out, si.Length(math.Round(float64(v)*1000)/1000).String())
	}
	return "[" + strings.Join(out, ", ") + "]"
}
