package room

import (
	"maps"
	"math"
	"slices"
	"sync"

	"lampblack/source"
)

// Things and people that come, go and move. They only receive light: what is [Room.Loosen]ed
// stands in nobody's light and throws none back, so that the light of the room is the same
// wherever it is, and what falls on it at one place after another needs no new transport.
//
//	t.Posed(name, pose) ──▶ *Posed   what it receives there
//	Between(a, b, share, pose) ──▶ *Posed   on the way
//	t.With(posed...) ──▶ *Transport  the room with it there
//
// What this leaves out is the shadow of the thing on what is behind it (pictures have it, see [Shade]), and
// the light that it throws on others. How much that is has not been measured: what is large (a flat, a curtain)
// is not for it.

// Pose is where something is: the middle of an object, or the eyes of a performer, and
// the direction that it faces.
type Pose struct{ At, Faces Point }

// Loosen marks objects as coming, going or moving. It is called before [Room.Solve].
func (r *Room) Loosen(names []string) {
	r.loose = map[string]bool{}
	for _, n := range names {
		if r.Objects.Get(n) != nil {
			r.loose[n] = true
		}
	}
}

// Home is where the room's text has an object or a performer.
func (r *Room) Home(name string) (Pose, bool) {
	if o := r.Objects.Get(name); o != nil {
		return Pose{o.Centre, o.Faces.vec().unit().point()}, true
	}
	for i := range r.People {
		if p := &r.People[i]; p.Name == name {
			return Pose{p.At, r.gaze(p, r.audienceMiddle()).point()}, true
		}
	}
	return Pose{}, false
}

// gaze is the direction in which eyes look.
func (r *Room) gaze(e *Eye, standard vec) vec {
	to := standard
	if e.Looks != nil {
		to = e.Looks.vec()
	}
	if gaze := to.minus(e.At.vec()).unit(); gaze.length() > 0 {
		return gaze
	}
	return vec{0, 1, 0}
}

// Leaves tells how far a thing or a person at a pose reaches out of the room, and inside what it
// is; 0 and "" where it stands free.
func (r *Room) Leaves(name string, p Pose) (out float64, inside string) {
	points := []vec{p.At.vec()}
	if o := r.Objects.Get(name); o != nil {
		s := sheet{}.placed(p.At.vec(), p.Faces.vec(), float64(o.Width), float64(o.Height))
		c := s.corners()
		points = append(points, c[:]...)
	}
	for _, q := range points {
		out = math.Max(out, r.outside(q))
	}
	if out <= slack {
		out = 0
	}
	for _, s := range r.inside(points[0]) {
		return out, "the " + s.kind + " " + source.Quote(s.name)
	}
	return out, ""
}

// Posed is what a thing or a person receives at a pose.
type Posed struct {
	Name string
	Pose Pose

	at            []int       // of an object: its panels
	veil          *veil       // before it
	home          []Panel     // and these as the room's text has them
	from          frame       // where that has the object
	eye           int         // of a performer: index in Eyes, else -1
	direct        [][]float32 // by own place, then bundle
	total         [][]float32 // by own place, then column
	glow          [][]float32 // by own place, then column of glow
	facing        []float32   // of a performer, by column
	solid         [][]float32 // of an object by eye, then own place; of a performer one row by patch
	views, images []View      // of a performer
}

// frame is a place with directions.
type frame struct{ at, u, v, n vec }

// frame is that of an object at the pose.
func (p Pose) frame() frame {
	n := p.Faces.vec().unit()
	u := levelAcross(n)
	return frame{p.At.vec(), u, n.cross(u), n}
}

// carried is where a point is when what it belongs to goes from one frame to another.
func (f *frame) carried(p vec, to *frame) vec {
	d := p.minus(f.at)
	return to.at.plus(f.turned(d, to))
}

// Across is the direction from the left of a flat thing to its right, as who looks at its front sees it.
func Across(faces Point) Point { return levelAcross(faces.vec().unit()).point() }

func (f *frame) turned(d vec, to *frame) vec {
	return to.u.times(d.dot(f.u)).plus(to.v.times(d.dot(f.v))).plus(to.n.times(d.dot(f.n)))
}

// moved are the panels of an object at a pose.
func (p *Posed) moved() []Panel {
	to := p.Pose.frame()
	out := slices.Clone(p.home)
	for i := range out {
		q := &out[i]
		q.sheet.corner = p.from.carried(q.sheet.corner, &to)
		q.sheet.u, q.sheet.v, q.sheet.n = p.from.turned(q.sheet.u, &to), p.from.turned(q.sheet.v, &to), p.from.turned(q.sheet.n, &to)
		q.whole = q.sheet
		q.Corner, q.U, q.V, q.Normal = q.sheet.corner.point(), q.sheet.u.point(), q.sheet.v.point(), q.sheet.n.point()
		q.outline = slices.Clone(q.outline)
		for k := range q.outline {
			q.outline[k] = p.from.carried(q.outline[k], &to)
		}
		q.covered = q.unfilled(nil)
	}
	return out
}

// receivers are the patches of panels, in their order.
func (p *Posed) receivers(panels []Panel) []receiver {
	var out []receiver
	var cut clipper
	for i := range panels {
		first := len(out)
		out = panels[i].receivers(out, p.at[i])
		for k := first; k < len(out); k++ {
			rec := &out[k]
			rec.area, rec.bare, rec.partly = panels[i].uncovered(&rec.patch, &cut)
		}
	}
	return out
}

// Posed works out what a loose object, or a performer, receives at a pose; nil for anything
// else.
func (t *Transport) Posed(name string, pose Pose) *Posed {
	s := &solving{room: t.room, rig: t.rig, shell: t.shell, sources: t.sources, receivers: t.receivers, elements: t.elements, t: t}
	p := &Posed{Name: name, Pose: pose, eye: -1}
	for i := range t.Panels {
		if q := &t.Panels[i]; q.Name == name && q.loose {
			p.at, p.home = append(p.at, i), append(p.home, *q)
		}
	}
	if p.at != nil {
		home, _ := t.room.Home(name)
		p.from = home.frame()
		s.poseObject(p)
		return p
	}
	for i, place := range t.Eyes {
		if t.Places[place].Name == name && t.Places[place].Kind == KindPerson {
			p.eye = i
			s.poseEyes(p)
			return p
		}
	}
	return nil
}

// poseObject fills in all patches of an object. Direct light falls on each; what comes by
// reflection and by glow, which is smooth, is known at four points of the front and one of the
// back, and goes in straight lines between them.
func (s *solving) poseObject(p *Posed) {
	panels := p.moved()
	recs := p.receivers(panels)
	p.veil = s.veilBefore(p.Pose.At.vec())
	p.direct = rows(len(recs), len(s.t.bundles))
	light := s.straight()
	for i := range recs {
		light(p.direct[i], &recs[i])
	}
	p.total, p.glow = rows(len(recs), len(s.t.columns)), rows(len(recs), len(s.t.glow.columns))
	o := s.room.Objects.Get(p.Name)
	front := sheet{}.placed(p.Pose.At.vec(), p.Pose.Faces.vec(), float64(o.Width), float64(o.Height))
	in := s.incoming(&front, p.at[0])
	for i := range recs {
		s.t.widen(p.total[i], p.direct[i])
		if recs[i].area == 0 {
			continue
		}
		weights := [5]float64{4: 1}
		if recs[i].n.dot(front.n) > 0 {
			x, y, _ := front.local(recs[i].bare)
			g := gauss[2]
			x, y = (x/front.w-g.at[0])/(g.at[1]-g.at[0]), (y/front.h-g.at[0])/(g.at[1]-g.at[0])
			weights = [5]float64{(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y, 0}
		}
		in.add(p.total[i], p.glow[i], weights)
	}
	p.solid = rows(len(s.t.Eyes), len(recs))
	for e, place := range s.t.Eyes {
		var w watcher
		w.from(s.receivers[place].at, s.shell.panes)
		for i := range recs {
			p.solid[e][i] = float32(s.solidOf(&w, &recs[i]))
		}
	}
}

// incoming is what comes to an object by reflection, by column, and by every glow: at the points of
// quadrature of its front, and behind its middle.
type incoming struct{ light, glow [5][]float32 }

func (s *solving) incoming(front *sheet, panel int) (out incoming) {
	l := looker{solving: s}
	for k := range out.light {
		rec := receiver{n: front.n, panel: panel, size: math.Max(front.w, front.h) / 2, partly: true, area: 1}
		if k < 4 {
			rec.bare = front.at(gauss[2].at[k&1], gauss[2].at[k>>1])
		} else {
			rec.n, rec.bare = front.n.times(-1), front.at(.5, .5)
		}
		rec.at = rec.bare
		out.light[k], out.glow[k] = make([]float32, len(s.t.columns)), make([]float32, len(s.t.glow.columns))
		l.rec, l.row, l.ready, l.spots = &rec, make([]float32, len(s.elements)), false, nil
		s.arrives(out.light[k], out.glow[k], l.row, l.look())
	}
	return out
}

// add adds a mean of what comes to the points.
func (a *incoming) add(total, glow []float32, weights [5]float64) {
	for c := range total {
		sum := 0.0
		for k, w := range weights {
			if w != 0 {
				sum += w * float64(a.light[k][c])
			}
		}
		total[c] += float32(math.Max(0, sum))
	}
	for c := range glow {
		sum := 0.0
		for k, w := range weights {
			if w != 0 {
				sum += w * float64(a.glow[k][c])
			}
		}
		glow[c] = float32(math.Max(0, sum))
	}
}

// arrives adds what comes to a patch by reflection, and sets what comes of every glow, from what
// it sees of the elements and of near patches.
func (s *solving) arrives(total, glow, row []float32, spots []spot) {
	t := s.t
	by := t.elementsSend()
	for j, f := range row {
		if f == 0 {
			continue
		}
		addTo(total, by.light[j], f)
		addTo(glow, by.glow[j], f)
	}
	for _, near := range spots {
		means := t.means[t.Panels[t.Places[near.place].Panel].finish]
		for c, v := range t.total[near.place] {
			total[c] += near.more * v * float32(means[t.columns[c].band])
		}
		for c, v := range t.glow.to[near.place] {
			glow[c] += near.more * v * float32(means[t.glow.columns[c].band])
		}
	}
}

// sends is what the elements send, by element: of each bundle's light what they reflect, of each
// glowing element's one W/m2 what they reflect and what is their own. It is made once for each
// transport, when something moves in it.
type sends struct {
	once  sync.Once
	light [][]float32 // by element, then column
	glow  [][]float32 // by element, then column of glow
}

func (t *Transport) elementsSend() *sends {
	t.sends.once.Do(func() {
		b, g := t.sends, &t.glow
		b.light, b.glow = rows(len(t.elements), len(t.columns)), rows(len(t.elements), len(g.columns))
		for c := range g.columns {
			b.glow[g.elements[g.columns[c].element].index][c] = 1
		}
		for i := range t.elements {
			e := &t.elements[i]
			panel := &t.Panels[e.panel]
			k := i - panel.elem
			if e.area == 0 {
				continue
			}
			panel.eachPatch(k%panel.elemCols, k/panel.elemCols, func(place int) {
				share := float32(t.Places[place].Area / e.area)
				means := t.means[panel.finish]
				for c, v := range t.total[place] {
					b.light[i][c] += share * v * float32(means[t.columns[c].band])
				}
				for c, v := range g.to[place] {
					b.glow[i][c] += share * v * float32(means[g.columns[c].band])
				}
			})
		}
	})
	return t.sends
}

// poseEyes fills in what a performer's eyes receive and see.
func (s *solving) poseEyes(p *Posed) {
	rec := receiver{at: p.Pose.At.vec(), n: p.Pose.Faces.vec().unit(), panel: -1}
	p.direct, p.total, p.glow = rows(1, len(s.t.bundles)), rows(1, len(s.t.columns)), rows(1, len(s.t.glow.columns))
	s.straight()(p.direct[0], &rec)
	s.t.widen(p.total[0], p.direct[0])
	factors := s.patchFactors(&rec)
	s.fromPatches(p.total[0], factors)
	s.glowAt(p.glow[0], factors)
	p.solid = rows(1, s.shell.patches)
	var w watcher
	w.from(rec.at, s.shell.panes)
	for k := range s.shell.patches {
		p.solid[0][k] = float32(s.solidAngle(&w, k))
	}
	p.views, p.images = s.lensesFrom(p.eye, &rec), s.lensesMirrored(p.eye, &rec)
	p.facing = s.facingOf(&rec, p.solid[0], p.total[0], p.direct[0])
}

// Between is what is received on the way from a to b, which are of the same thing: their
// light, a share of the way, at a pose of its own.
func Between(a, b *Posed, share float64, pose Pose) *Posed {
	if share <= 0 {
		b = a
	}
	out := *a
	out.Pose = pose
	f := float32(share)
	out.direct, out.total, out.glow, out.solid = mixed(a.direct, b.direct, f), mixed(a.total, b.total, f), mixed(a.glow, b.glow, f), mixed(a.solid, b.solid, f)
	if a.eye >= 0 {
		out.facing = mixed([][]float32{a.facing}, [][]float32{b.facing}, f)[0]
		if share > .5 {
			out.views, out.images = b.views, b.images
		}
		return &out
	}
	return &out
}

// mixed is a share of the way from one matrix to another of its size.
func mixed(a, b [][]float32, share float32) [][]float32 {
	if len(a) == 0 {
		return nil
	}
	out := rows(len(a), len(a[0]))
	for i := range a {
		for k, v := range a[i] {
			out[i][k] = v + share*(b[i][k]-v)
		}
	}
	return out
}

// With is the room with things and people at the poses given; the rest of it is shared with t,
// which stays as it was.
func (t *Transport) With(posed ...*Posed) *Transport {
	if len(posed) == 0 {
		return t
	}
	c := *t
	c.Panels, c.Places = slices.Clone(t.Panels), slices.Clone(t.Places)
	c.direct, c.total, c.glow.to = slices.Clone(t.direct), slices.Clone(t.total), slices.Clone(t.glow.to)
	c.facing, c.Solid = slices.Clone(t.facing), slices.Clone(t.Solid)
	c.receivers = slices.Clone(t.receivers)
	c.veils = maps.Clone(t.veils)
	own := make([]bool, len(c.Solid)) // rows of Solid that are c's own
	for _, p := range posed {
		if p.eye >= 0 {
			c.putEyes(p)
			own[p.eye] = true
			continue
		}
		for e := range c.Solid {
			if !own[e] {
				c.Solid[e], own[e] = slices.Clone(c.Solid[e]), true
			}
		}
		c.putObject(p)
	}
	return &c
}

func (t *Transport) putEyes(p *Posed) {
	place := t.Eyes[p.eye]
	t.Places[place].At, t.Places[place].Normal = p.Pose.At, p.Pose.Faces
	t.receivers[place].at, t.receivers[place].n = p.Pose.At.vec(), p.Pose.Faces.vec()
	t.direct[place], t.total[place], t.glow.to[place] = p.direct[0], p.total[0], p.glow[0]
	t.facing[p.eye], t.Solid[p.eye] = p.facing, slices.Clone(p.solid[0])
	others := func(v View) bool { return v.Eye == p.eye }
	t.Views = append(slices.DeleteFunc(slices.Clone(t.Views), others), p.views...)
	t.Images = append(slices.DeleteFunc(slices.Clone(t.Images), others), p.images...)
}

func (t *Transport) putObject(p *Posed) {
	t.veils[p.Name] = p.veil
	panels := p.moved()
	recs := p.receivers(panels)
	k := 0
	for j, i := range p.at {
		panel := &panels[j]
		t.Panels[i] = *panel
		for place := panel.First; place < panel.First+panel.Cols*panel.Rows; place++ {
			q := &t.Places[place]
			q.At, q.Normal, q.Area = recs[k].at.point(), panel.n.point(), recs[k].area
			t.receivers[place] = recs[k]
			t.direct[place], t.total[place], t.glow.to[place] = p.direct[k], p.total[k], p.glow[k]
			for e := range t.Solid {
				t.Solid[e][place] = p.solid[e][k]
			}
			k++
		}
	}
}

// Off is by how much what is received at b differs from what would be received half-way
// between a and c, at most over all drives, as a share of the largest that a thing receives of
// any drive of the same light at any of the three: by mean for an object, at the eyes for a
// performer.
func (t *Transport) Off(a, b, c *Posed) float64 {
	off, most := make([]float64, len(t.Lights)), make([]float64, len(t.Lights))
	for d, k := range t.Light {
		var sum [3]float64
		for j, p := range []*Posed{a, b, c} {
			for i := range p.total {
				sum[j] += t.carried(d, p.total[i], t.Lights[k].bands.weight[Radiant])
			}
		}
		most[k] = max(most[k], sum[0], sum[1], sum[2])
		off[k] = math.Max(off[k], math.Abs(sum[1]-(sum[0]+sum[2])/2))
	}
	worst := 0.0
	for k := range off {
		if most[k] > 0 {
			worst = math.Max(worst, off[k]/most[k])
		}
	}
	return worst
}
