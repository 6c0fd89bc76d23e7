package room

import "math"

// Fineness says how fine a room is solved. The zero value is Usual.
type Fineness struct {
	Patches  int // about how many patches all surfaces are cut into
	Elements int // about how many elements the inter-reflection has
	Bands    int // into how many bands light is cut; 0 for as many as the colours of the room ask for
}

// Usual is fine enough for the tolerances in docs: halving the patches changes
// no seat's reading by 2 %.
var Usual = Fineness{Patches: 4000, Elements: 700}

// sane fills in what is not said and bounds the rest: memory grows as patches times
// elements and as elements squared, time as elements to the third.
func (f Fineness) sane() Fineness {
	if f.Patches <= 0 {
		f.Patches = Usual.Patches
	}
	if f.Elements <= 0 {
		f.Elements = Usual.Elements
	}
	f.Patches, f.Elements = min(f.Patches, 200000), min(f.Elements, 3000)
	return f
}

// shell is the room as rectangles: everything that light falls on.
type shell struct {
	panels    []Panel
	finishes  []finish
	boxes     []block
	panes     []pane  // what hides
	seams     []pane  // these, and what hides in other settings: panels are cut along them
	mirrors   []image // what mirrors
	low, high vec
	patches   int
	elements  int
}

// How fine the kinds of things are cut, as a factor of patches per area.
const (
	wallShare    = .25
	boxShare     = .5
	surfaceShare = 1.
)

// shell makes rectangles of the room. Of two in one plane the later kind covers the
// earlier: boxes (rank 1) the room's faces (0), surfaces and objects, in the order of the
// file, what was before them.
func (r *Room) shell(f Fineness) *shell {
	s := &shell{low: r.low(), high: r.high()}
	r.addFaces(s)
	r.addBoxes(s)
	r.addPillars(s)
	r.addSurfaces(s)
	r.addObjects(s)
	for i := range s.panels {
		s.panels[i].covered = s.covers(&s.panels[i])
	}
	s.divide()
	s.cut(f)
	for i := range s.panels {
		if p := &s.panels[i]; p.strip.away {
			p.covered = []cover{{}} // all of it: no light comes to it, and none from it
		}
	}
	s.mirrors = s.images()
	return s
}

// addFaces adds the floor, the ceiling and the walls, all facing inward.
func (r *Room) addFaces(s *shell) {
	low, high := r.low(), r.high()
	mid := low.plus(high).times(.5)
	w, d, h := high[0]-low[0], high[1]-low[1], high[2]-low[2]
	for _, f := range []struct {
		name      string
		at, faces vec
		w, h      float64
		material  string
	}{
		{FloorName, vec{mid[0], mid[1], low[2]}, vec{0, 0, 1}, w, d, r.Floor.Name},
		{CeilingName, vec{mid[0], mid[1], high[2]}, vec{0, 0, -1}, w, d, r.Ceiling.Name},
		{LeftWall, vec{low[0], mid[1], mid[2]}, vec{1, 0, 0}, d, h, r.Walls.Name},
		{RightWall, vec{high[0], mid[1], mid[2]}, vec{-1, 0, 0}, d, h, r.Walls.Name},
		{StageWall, vec{mid[0], high[1], mid[2]}, vec{0, -1, 0}, w, h, r.Walls.Name},
		{AudienceWall, vec{mid[0], low[1], mid[2]}, vec{0, 1, 0}, w, h, r.Walls.Name},
	} {
		s.add(f.name, KindWall, sheet{}.placed(f.at, f.faces, f.w, f.h), r.finishOf(s, f.material, DefaultWall), 0, len(s.panels))
	}
}

// addBoxes adds the six faces of each box, all facing outward; what lies against the floor
// or a wall is found to be covered later.
func (r *Room) addBoxes(s *shell) {
	for i := range r.Boxes {
		b := &r.Boxes[i].Value
		low, high := b.corners()
		strip := r.strip(r.Boxes[i].Name, 0)
		if strip.number == 0 { // what comes and goes covers nothing, so that all settings have the same panels
			s.boxes = append(s.boxes, block{low, high})
		}
		c, size := b.Centre.vec(), b.Size.vec()
		fin, thing := r.finishOf(s, b.Material.Name, DefaultWall), len(s.panels)
		for axis := range 3 {
			for _, sign := range []float64{-1, 1} {
				var n vec
				n[axis] = sign
				at := c.plus(n.times(size[axis] / 2))
				w, h := size[(axis+1)%3], size[(axis+2)%3]
				if axis == 1 {
					w, h = size[0], size[2] // width is level
				}
				face := sheet{}.placed(at, n, w, h)
				s.add(r.Boxes[i].Name, KindBox, face, fin, 1, thing)
				s.panels[len(s.panels)-1].strip = strip
				s.hide(n, true, thing, strip.away, (&shaped{sheet: face}).edge())
			}
		}
	}
}

// addSurfaces adds what hangs or stands in the room: drapes, flats, screens, of one material
// on both sides.
func (r *Room) addSurfaces(s *shell) {
	for i := range r.Surfaces {
		f := &r.Surfaces[i].Value
		fin := r.finishOf(s, f.Material.Name, DefaultDrape)
		front := sheet{}.placed(f.Centre.vec(), f.Faces.vec(), float64(f.Width), float64(f.Height))
		name := r.Surfaces[i].Name
		if shares := r.divided[name]; shares != nil && f.Opens != "" {
			strips, at := f.strips(front, shares)
			for k := range strips {
				r.addSides(s, name, KindSurface, strips[k], nil, fin, fin, 2+i, r.strip(name, at[k]))
			}
			continue
		}
		r.addSides(s, name, KindSurface, front, shapeOf(f.Shape, f.Outline, front.w, front.h), fin, fin, 2+i, r.strip(name, 0))
	}
}

// strip is that of a share (an index) of what opens; the zero value for what does not.
func (r *Room) strip(name string, share int) strip {
	if r.divided[name] == nil {
		return strip{}
	}
	return strip{share + 1, share < r.setting[name]}
}

// addObjects adds painted objects: the paint in front, cloth behind.
func (r *Room) addObjects(s *shell) {
	for i := range r.Objects {
		o := &r.Objects[i].Value
		front := sheet{}.placed(o.Centre.vec(), o.Faces.vec(), float64(o.Width), float64(o.Height))
		r.addSides(s, r.Objects[i].Name, KindObject, front, shapeOf(o.Shape, o.Outline, front.w, front.h), r.paintOf(s, o.Paint.Name), r.finishOf(s, behindObjects, behindObjects), 2+len(r.Surfaces)+i, strip{})
	}
}

// addSides adds both sides of a thin thing, and the thing itself to what
// stands in the way of light.
func (r *Room) addSides(s *shell, name string, kind Kind, front sheet, shape [][]inPlane, finish, finishBack, rank int, of strip) {
	thing := len(s.panels)
	loose := kind == KindObject && r.loose[name]
	if !loose {
		s.lift(&front)
	}
	parts := front.parts(shape)
	for i := range parts {
		s.addShaped(name, kind, &parts[i], finish, rank, thing)
		if !loose {
			s.hide(front.n, false, thing, of.away, parts[i].edge())
		}
	}
	for i := range parts {
		back := parts[i].flipped()
		s.addShaped(name, kind, &back, finishBack, rank, thing)
		s.panels[len(s.panels)-1].Back = true
	}
	for i := thing; i < len(s.panels); i++ {
		s.panels[i].loose, s.panels[i].strip = loose, of
	}
}

// lifted is by how much, in m, what lies in one plane with another thing is moved before it,
// so that it hides it.
const lifted = 2e-4

// lift moves a sheet that lies in one plane with things before it in the file out of theirs,
// toward the side that they show.
func (s *shell) lift(q *sheet) {
	for i := range s.panels {
		p := &s.panels[i].sheet
		if s.panels[i].loose || math.Abs(p.n.dot(q.n)) < .999 {
			continue
		}
		if _, _, gap := p.local(q.at(.5, .5)); math.Abs(gap) < lifted/2 && q.within(p.prism()) {
			q.corner = q.corner.plus(p.n.times(lifted - gap))
		}
	}
}

// hide adds a thing's outline to what hides other things, unless it is away.
func (s *shell) hide(n vec, oneSided bool, thing int, away bool, outline []vec) {
	p := paneOf(n, oneSided, outline...)
	p.thing = thing
	s.seams = append(s.seams, p)
	if !away {
		s.panes = append(s.panes, p)
	}
}

func (s *shell) add(name string, kind Kind, sh sheet, finish, rank, thing int) {
	s.panels = append(s.panels, Panel{
		Name: name, Kind: kind, sheet: sh, finish: finish, rank: rank, thing: thing,
		Corner: sh.corner.point(), U: sh.u.point(), V: sh.v.point(), Normal: sh.n.point(), Width: sh.w, Height: sh.h,
	})
}

// addShaped is add for what need not be a rectangle.
func (s *shell) addShaped(name string, kind Kind, sh *shaped, finish, rank, thing int) {
	s.add(name, kind, sh.sheet, finish, rank, thing)
	s.panels[len(s.panels)-1].outline = sh.outline
}

// finishOf returns the index of a material's finish; unknown names, which Read
// has reported, count as the standard one.
func (r *Room) finishOf(s *shell, material, standard string) int {
	f, ok := r.finish(material)
	if !ok {
		f, _ = r.finish(standard)
	}
	return s.addFinish(f)
}

// paintOf is finishOf for paints.
func (r *Room) paintOf(s *shell, paint string) int {
	f, ok := r.painted(paint)
	if !ok {
		f, _ = r.finish("white cloth")
	}
	return s.addFinish(f)
}

// addFinish lists a finish once; what depends on finish and light is computed for each.
func (s *shell) addFinish(f finish) int {
	for i := range s.finishes {
		if s.finishes[i].name == f.name && s.finishes[i].paint == f.paint {
			return i
		}
	}
	s.finishes = append(s.finishes, f)
	return len(s.finishes) - 1
}

// cut lays the grids. The fine one is a multiple of the coarse one, so that an
// element's light is just that of its patches. Counts are rounded, so the sizes
// are searched that give at least as many as asked.
func (s *shell) cut(f Fineness) {
	total := 0.0
	for i := range s.panels {
		total += s.panels[i].area() * s.panels[i].weight()
	}
	coarse := atLeast(math.Sqrt(total/float64(f.Elements)), func(coarse float64) bool {
		s.lay(f, coarse, coarse)
		return s.elements >= f.Elements
	})
	fine := atLeast(math.Sqrt(total/float64(f.Patches)), func(fine float64) bool {
		s.lay(f, fine, coarse)
		return s.patches >= f.Patches
	})
	s.lay(f, fine, coarse)
}

// atLeast returns about the largest size with which enough says yes, by halving between a
// quarter and the double of a first guess twelve times over, to a two-thousandth of it.
func atLeast(size float64, enough func(size float64) bool) float64 {
	low, high := size/4, size*2
	for range 12 {
		if mid := (low + high) / 2; enough(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// weight is how finely a panel is cut: what the show is played on most, walls and backs
// that nobody looks at least.
func (p *Panel) weight() float64 {
	switch {
	case p.Kind == KindWall || p.Back:
		return wallShare
	case p.Kind == KindBox:
		return boxShare
	}
	return surfaceShare
}

// lay cuts every panel into elements and patches of about these sizes.
func (s *shell) lay(f Fineness, fine, coarse float64) {
	s.patches, s.elements = 0, 0
	for i := range s.panels {
		p := &s.panels[i]
		scale := 1 / math.Sqrt(p.weight())
		p.elemCols, p.elemRows = p.grid(coarse*scale, f.Elements)
		// A glowing object gets at least four by four patches, however small: it is what the
		// audience looks at.
		least := 1
		if p.Kind == KindObject && !p.Back {
			least = 4
		}
		cols, rows := parts(p.w/float64(p.elemCols)/(fine*scale), p.h/float64(p.elemRows)/(fine*scale))
		p.Cols = p.elemCols * max(cols, ceilDiv(least, p.elemCols))
		p.Rows = p.elemRows * max(rows, ceilDiv(least, p.elemRows))
		p.First, p.elem = s.patches, s.elements
		s.patches += p.Cols * p.Rows
		s.elements += p.elemCols * p.elemRows
	}
}

// steps cuts length into pieces of about the given size.
func steps(length, size float64) int { return max(1, int(math.Round(length/size))) }

// parts rounds so that as many patches come of x by y as is nearest: rows make up for what
// columns are rounded by.
func parts(x, y float64) (cols, rows int) {
	cols = max(1, int(math.Round(x)))
	return cols, max(1, int(math.Round(x*y/float64(cols))))
}

func ceilDiv(a, b int) int { return (a + b - 1) / b }
