package plate

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"lampblack/plate/drawing"
	"lampblack/rig"
	"lampblack/room"
)

// side is the room from its left side: y to the right, away from the audience, and z up.
type side struct {
	y0, y1, z1       float64 // m
	left, top, scale float64
}

func (s *side) at(y, z float64) drawing.Point {
	return drawing.Point{s.left + (y-s.y0)*s.scale, s.top + (s.z1-z)*s.scale}
}

// Section draws the room from the side for so many pixels of paper, the audience on the left: heights of
// units and where their light goes, what stands and hangs, and eyes.
func (p *Plot) Section(width, height float64) (*Sheet, error) {
	r := p.Room
	if !(r.Size[1] > 0 && r.Size[2] > 0) {
		return nil, fmt.Errorf("draw section: the room has no size")
	}
	s := side{y0: -float64(r.Front), y1: float64(r.Size[1] - r.Front), z1: float64(r.Size[2]), left: paperLeft, top: paperTop}
	s.scale = paperScale(min((width-paperLeft-paperRight)/(s.y1-s.y0), (height-paperTop-paperBelow)/s.z1))
	wide, high := (s.y1-s.y0)*s.scale, s.z1*s.scale
	d := drawing.New(s.left+wide+paperRight, s.top+high+paperBelow, strings.Replace(p.Title, "lighting plan", "section", 1))
	s.standing(&d.Group, r)
	for u := range p.Rig.Units {
		s.beam(&d.Group, &p.Rig.Units[u], beamOf(len(p.Rig.Units)))
	}
	for u := range p.Rig.Units {
		unit := &p.Rig.Units[u]
		p.shape(&d.Group, unit, s.at(float64(unit.At[1]), float64(unit.At[2])))
	}
	s.eyes(&d.Group, r)
	s.names(d, p)
	d.Box(s.left, s.top, wide, high, none, drawing.Ink)
	s.axes(&d.Group)
	return &Sheet{d, p.paperKey(width), s.scale}, nil
}

// standing draws surfaces, objects, boxes and pillars, and the edge of the stage.
func (s *side) standing(g *drawing.Group, r *room.Room) {
	for i := range r.Surfaces {
		v := &r.Surfaces[i].Value
		s.flat(g, v.Centre, v.Faces, float64(v.Width), float64(v.Height), drawing.Style{Stroke: drawing.Ink, Width: 2})
	}
	for i := range r.Objects {
		v := &r.Objects[i].Value
		s.flat(g, v.Centre, v.Faces, float64(v.Width), float64(v.Height), objectOnPaper)
	}
	for i := range r.Boxes {
		b := &r.Boxes[i].Value
		s.block(g, float64(b.Centre[1]-b.Size[1]/2), float64(b.Centre[2]-b.Size[2]/2), float64(b.Centre[1]+b.Size[1]/2), float64(b.Centre[2]+b.Size[2]/2))
	}
	for i := range r.Pillars {
		q := &r.Pillars[i].Value
		s.block(g, float64(q.Foot[1]-q.Across/2), float64(q.Foot[2]), float64(q.Foot[1]+q.Across/2), float64(q.Foot[2]+q.Height))
	}
	a, b := s.at(0, 0), s.at(0, s.z1)
	g.Lines([]drawing.Point{a, b}, false, edgeStyle(drawing.Ink))
}

func (s *side) block(g *drawing.Group, y0, z0, y1, z1 float64) {
	g.Lines([]drawing.Point{s.at(y0, z0), s.at(y1, z0), s.at(y1, z1), s.at(y0, z1)}, true, solid)
}

// flat draws something flat as it is seen from the side: a line, or where it faces sideways, its thin outline.
func (s *side) flat(g *drawing.Group, centre, faces room.Point, width, height float64, style drawing.Style) {
	n := math.Sqrt(float64(faces[0]*faces[0] + faces[1]*faces[1] + faces[2]*faces[2]))
	if !(n > 0) {
		return
	}
	y, z := float64(centre[1]), float64(centre[2])
	level := math.Hypot(float64(faces[0]), float64(faces[1])) / n
	if level < .3 { // it lies: its height is along the room
		g.Lines([]drawing.Point{s.at(y-height/2, z), s.at(y+height/2, z)}, false, style)
		return
	}
	along := width / 2 * math.Abs(float64(faces[0])) / (level * n)
	up := height / 2 * level
	if along < .1 {
		g.Lines([]drawing.Point{s.at(y, z-up), s.at(y, z+up)}, false, style)
		return
	}
	g.Lines([]drawing.Point{s.at(y-along, z-up), s.at(y+along, z-up), s.at(y+along, z+up), s.at(y-along, z+up)}, true, drawing.Style{Stroke: grey, Width: .8, Dash: []float64{6, 3}})
}

// beam draws the line to the aim, and the field about it.
func (s *side) beam(g *drawing.Group, u *rig.Unit, fill color.NRGBA) {
	at, aim := s.at(float64(u.At[1]), float64(u.At[2])), s.at(float64(u.Aim[1]), float64(u.Aim[2]))
	half := float64(kindOf(u).Beam.Tenth) / 2
	if half == 0 {
		half = float64(kindOf(u).Beam.Half) / 2
	}
	far := math.Hypot(aim[0]-at[0], aim[1]-at[1])
	if half > 0 && half < widest && far > 1 {
		turn := math.Atan2(aim[1]-at[1], aim[0]-at[0])
		outline := []drawing.Point{at}
		for _, e := range []float64{-half, half} {
			sin, cos := math.Sincos(turn + e)
			outline = append(outline, drawing.Point{at[0] + float64(far/math.Cos(half)*cos), at[1] + float64(far/math.Cos(half)*sin)})
		}
		room := &drawing.Group{Clip: []drawing.Point{s.at(s.y0, 0), s.at(s.y1, 0), s.at(s.y1, s.z1), s.at(s.y0, s.z1)}}
		room.Lines(outline, true, drawing.Style{Fill: fill})
		g.Add(room)
	}
	g.Lines([]drawing.Point{at, aim}, false, aimed)
}

func (s *side) eyes(g *drawing.Group, r *room.Room) {
	for i := range r.Seats {
		at := s.at(float64(r.Seats[i].At[1]), float64(r.Seats[i].At[2]))
		seat(g, at[0], at[1])
	}
	for i := range r.People {
		at := s.at(float64(r.People[i].At[1]), float64(r.People[i].At[2]))
		performer(g, at[0], at[1])
	}
}

// names writes the units with their heights, those that hang side by side together.
func (s *side) names(d *drawing.Drawing, p *Plot) {
	l := labels{frame: [4]float64{s.left, s.top, s.left + (s.y1-s.y0)*s.scale, s.top + s.z1*s.scale}}
	type place struct{ y, z int }
	placed := func(u *rig.Unit) place {
		return place{int(math.Round(float64(u.At[1]) * 5)), int(math.Round(float64(u.At[2]) * 5))}
	}
	names := map[place][]string{}
	for u := range p.Rig.Units {
		unit := &p.Rig.Units[u]
		names[placed(unit)] = append(names[placed(unit)], unit.Name.Name)
		q := s.at(float64(unit.At[1]), float64(unit.At[2]))
		l.take([4]float64{q[0] - 8, q[1] - 8, q[0] + 8, q[1] + 8})
	}
	for u := range p.Rig.Units {
		unit := &p.Rig.Units[u]
		if list := names[placed(unit)]; list != nil {
			q := s.at(float64(unit.At[1]), float64(unit.At[2]))
			under := &drawing.Text{Words: heightOf(unit), Size: 10, Anchor: drawing.Centre, Fill: soft, Halo: true}
			text := short(strings.Join(list, ", "))
			if len(list) > 3 {
				text = fmt.Sprintf("%s and %d more", short(list[0]), len(list)-1)
			}
			l.name(&d.Group, [4]float64{q[0] - 7, q[1] - 7, q[0] + 7, q[1] + 7}, small(0, 0, text), under)
			delete(names, placed(unit))
		}
	}
}

// axes marks metres along the floor and up.
func (s *side) axes(g *drawing.Group) {
	every := step(s.y1-s.y0, 10)
	for i := math.Ceil(s.y0/every - 1e-9); i*every <= s.y1+1e-9; i++ {
		at := s.at(i*every, 0)
		g.Line(at[0], at[1], at[0], at[1]+5, drawing.Ink, 1)
		g.Label(at[0], at[1]+19, drawing.Centre, drawing.Ink, tick(i*every, every))
	}
	up := step(s.z1, 6)
	for i := 0.; i*up <= s.z1+1e-9; i++ {
		at := s.at(s.y0, i*up)
		g.Line(at[0]-5, at[1], at[0], at[1], drawing.Ink, 1)
		g.Label(at[0]-9, at[1]+4.5, drawing.Right, drawing.Ink, tick(i*up, up))
	}
	g.Label(s.left+(s.y1-s.y0)*s.scale/2, s.top+s.z1*s.scale+38, drawing.Centre, drawing.Ink, "away from the audience, m")
	g.Add(&drawing.Text{At: drawing.Point{s.left - 44, s.top + s.z1*s.scale/2}, Words: "up, m", Anchor: drawing.Centre, Fill: drawing.Ink, Turned: true})
}
