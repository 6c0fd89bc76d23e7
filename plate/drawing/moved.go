package drawing

// Moved is the drawing's marks as they stand on a larger one: with its corner at a place, a scale times
// as large, letters and strokes with them.
func (d *Drawing) Moved(x, y, scale float64) *Group {
	return d.Group.moved(move{x, y, scale}).(*Group)
}

// move takes points of one drawing to another.
type move struct{ x, y, scale float64 }

func (m move) point(p Point) Point {
	return Point{m.x + float64(p[0]*m.scale), m.y + float64(p[1]*m.scale)}
}

func (m move) points(list []Point) []Point {
	out := make([]Point, len(list))
	for i, p := range list {
		out[i] = m.point(p)
	}
	return out
}

func (g *Group) moved(m move) Mark {
	out := *g
	out.Clip = m.points(g.Clip)
	out.marks = make([]Mark, len(g.marks))
	for i := range g.marks {
		out.marks[i] = g.marks[i].moved(m)
	}
	return &out
}

func (t *Path) moved(m move) Mark {
	out := *t
	out.Points, out.Width = m.points(t.Points), t.Width*m.scale
	out.Dash = make([]float64, len(t.Dash))
	for i, v := range t.Dash {
		out.Dash[i] = v * m.scale
	}
	return &out
}

func (t *Text) moved(m move) Mark {
	out := *t
	out.At, out.Size = m.point(t.At), t.size()*m.scale
	return &out
}

func (t *Picture) moved(m move) Mark {
	out := *t
	a, b := m.point(Point{t.Left, t.Top}), m.point(Point{t.Right, t.Bottom})
	out.Left, out.Top, out.Right, out.Bottom = a[0], a[1], b[0], b[1]
	return &out
}
