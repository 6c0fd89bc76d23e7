package room

import (
	"context"
	"math"
	"slices"
	"sync"
)

// Things and people that come, go and move. They only receive light: what is [Room.Loosen]ed
// stands in nobody's light and throws none back, so that the light of the room is the same
// wherever it is, and what falls on it at one place after another needs no new transport.
//
//	t.Posed(name, pose) ──▶ *Posed   what it receives there      (some 30 ms)
//	Between(a, b, share, pose) ──▶ *Posed   on the way           (some 10 µs)
//	t.With(posed...) ──▶ *Transport  the room with it there      (some 100 µs)
//
// What this leaves out is the shadow of the thing on what is behind it, and the light that
// it throws on others: for a puppet of half a square metre a few hundredths of the light
// within its own size, and nothing farther away. What is large (a flat, a curtain) is not
// for it.

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

// Leaves tells how far a thing or a person at a pose reaches out of the room, and into which
// box; 0 and "" where it stands free.
func (r *Room) Leaves(name string, p Pose) (out float64, box string) {
	points := []vec{p.At.vec()}
	if o := r.Objects.Get(name); o != nil {
		s := sheet{}.placed(p.At.vec(), p.Faces.vec(), float64(o.Width), float64(o.Height))
		c := s.corners()
		points = append(points, c[:]...)
	}
	low, high := r.low(), r.high()
	for k, q := range points {
		for i := range q {
			out = math.Max(out, math.Max(low[i]-q[i], q[i]-high[i]))
		}
		for i := range r.Boxes {
			if k == 0 && r.Boxes[i].Value.holds(q) {
				box = r.Boxes[i].Name
			}
		}
	}
	if out <= slack {
		out = 0
	}
	return out, box
}

// Posed is what a thing or a person receives at a pose.
type Posed struct {
	Name string
	Pose Pose

	panels        []int // of an object: its front and back
	sheets        []sheet
	eye           int         // of a performer: index in Eyes, else -1
	direct, total [][]float32 // by own place, then drive
	glow          [][]float32 // by own place, then glowing element
	facing        []float32   // of a performer, by drive
	solid         [][]float32 // of an object by eye, then own place; of a performer one row by patch
	views         []View      // of a performer
}

// Posed works out what a loose object, or a performer, receives at a pose; nil for anything
// else.
func (t *Transport) Posed(name string, pose Pose) *Posed {
	s := &solving{room: t.room, rig: t.rig, shell: t.shell, sources: t.sources, receivers: t.receivers, elements: t.elements, t: t}
	p := &Posed{Name: name, Pose: pose, eye: -1}
	for i := range t.Panels {
		if q := &t.Panels[i]; q.Name == name && q.loose {
			p.panels = append(p.panels, i)
		}
	}
	if p.panels != nil {
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

// poseObject fills in both sides of an object. Direct light and glow go to every patch;
// reflected light, which is smooth, to four points of each side, and between them in straight
// lines.
func (s *solving) poseObject(p *Posed) {
	front := sheet{}.placed(p.Pose.At.vec(), p.Pose.Faces.vec(), s.t.Panels[p.panels[0]].w, s.t.Panels[p.panels[0]].h)
	for _, i := range p.panels {
		panel := &s.t.Panels[i]
		sh := front
		if panel.Back {
			sh = front.flipped()
		}
		p.sheets = append(p.sheets, sh)
		recs := make([]receiver, 0, panel.Cols*panel.Rows)
		for row := range panel.Rows {
			for col := range panel.Cols {
				part := sh.part(col, row, panel.Cols, panel.Rows)
				recs = append(recs, receiver{at: part.at(.5, .5), n: sh.n, patch: part, panel: i, size: math.Max(part.w, part.h)})
			}
		}
		direct := s.receive1(recs)
		total := s.withReflected(direct, &sh, panel.Cols, panel.Rows)
		p.direct, p.total = append(p.direct, direct...), append(p.total, total...)
		p.glow = append(p.glow, s.glowOn(recs)...)
	}
	p.solid = rows(len(s.t.Eyes), len(p.direct))
	for e, place := range s.t.Eyes {
		k := 0
		for j, i := range p.panels {
			panel := &s.t.Panels[i]
			for row := range panel.Rows {
				for col := range panel.Cols {
					part := p.sheets[j].part(col, row, panel.Cols, panel.Rows)
					p.solid[e][k] = float32(s.solidOf(s.receivers[place].at, &receiver{at: part.at(.5, .5), n: part.n, patch: part, size: math.Max(part.w, part.h)}, part.area()))
					k++
				}
			}
		}
	}
}

// poseEyes fills in what a performer's eyes receive and see.
func (s *solving) poseEyes(p *Posed) {
	rec := receiver{at: p.Pose.At.vec(), n: p.Pose.Faces.vec().unit(), panel: -1}
	p.direct = s.receive1([]receiver{rec})
	p.glow = s.glowOn([]receiver{rec})
	p.total = [][]float32{slices.Clone(p.direct[0])}
	for d, v := range s.gathered(&rec) { // a head may be near a wall
		p.total[0][d] += float32(v)
	}
	p.solid = rows(1, s.shell.patches)
	for k := range s.shell.patches {
		p.solid[0][k] = float32(s.solidAngle(rec.at, k))
	}
	p.views = s.lensesFrom(p.eye, &rec)
	p.facing = s.facingOf(&rec, p.solid[0], p.total[0], p.direct[0])
}

// receive1 is the direct light on some receivers, by drive.
func (s *solving) receive1(recs []receiver) [][]float32 {
	out := rows(len(recs), len(s.t.Light))
	wide, narrow := make([]float64, s.sources.count), make([]float32, s.sources.count)
	for i := range recs {
		clear(wide)
		s.sources.gather(wide, &recs[i], s.shell)
		for c, v := range wide {
			narrow[c] = float32(v)
		}
		s.toDrives(out[i], narrow)
	}
	return out
}

// withReflected adds the reflected light of a sheet to its patches' direct light: known at
// the points of quadrature, bilinear between and beyond them.
func (s *solving) withReflected(direct [][]float32, sh *sheet, cols, rowCount int) [][]float32 {
	g := gauss[2]
	var at [4][]float64
	for k := range at {
		rec := receiver{at: sh.at(g.at[k&1], g.at[k>>1]), n: sh.n, panel: -1}
		at[k] = s.fromElements(&rec)
	}
	out := rows(len(direct), len(s.t.Light))
	along := func(i, n int) float64 { return ((float64(i)+.5)/float64(n) - g.at[0]) / (g.at[1] - g.at[0]) }
	for i := range out {
		x, y := along(i%cols, cols), along(i/cols, rowCount)
		for d, v := range direct[i] {
			low := at[0][d]*(1-x) + at[1][d]*x
			high := at[2][d]*(1-x) + at[3][d]*x
			out[i][d] = v + float32(math.Max(0, low*(1-y)+high*y))
		}
	}
	return out
}

// sent is what the elements send by reflection, by element, then drive: irradiance times
// reflectance. It is made once for each transport, when something moves in it.
type sent struct {
	once sync.Once
	by   [][]float32
}

func (t *Transport) elementsSent() [][]float32 {
	t.sends.once.Do(func() {
		out := rows(len(t.elements), len(t.Light))
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
				for d, v := range t.Total[place] {
					out[i][d] += share * v * float32(means[t.Light[d]])
				}
			})
		}
		t.sends.by = out
	})
	return t.sends.by
}

// fromElements is the reflected light at a point, by drive, from all elements: what is far from
// the walls for their size takes no more notice of them.
func (s *solving) fromElements(rec *receiver) []float64 {
	by := s.t.elementsSent()
	sums, total := make([]float64, len(s.t.Light)), 0.0
	for i := range s.elements {
		e := &s.elements[i]
		if e.area == 0 {
			continue
		}
		f := elementFactor(rec.at, rec.n, e)
		if f > 0 {
			f *= s.shell.block.share(rec.at, e)
		}
		if f == 0 {
			continue
		}
		total += f
		for d, v := range by[i] {
			sums[d] += f * float64(v)
		}
	}
	if total > 0 {
		for d := range sums {
			sums[d] /= total // the room is closed
		}
	}
	return sums
}

// glowOn is the factor from each receiver to the glowing elements.
func (s *solving) glowOn(recs []receiver) [][]float32 {
	g := &s.t.glow
	out := rows(len(recs), len(g.elements))
	for i := range recs {
		for j := range g.elements {
			e := &s.elements[g.elements[j].index]
			if f := elementFactor(recs[i].at, recs[i].n, e); e.area > 0 && f > 0 {
				out[i][j] = float32(f * s.shell.block.share(recs[i].at, e))
			}
		}
	}
	return out
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
			out.views = b.views
		}
		return &out
	}
	out.sheets = nil
	front := sheet{}.placed(pose.At.vec(), pose.Faces.vec(), a.sheets[0].w, a.sheets[0].h)
	for i := range a.sheets {
		if i == 0 {
			out.sheets = append(out.sheets, front)
		} else {
			out.sheets = append(out.sheets, front.flipped())
		}
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
	c.Direct, c.Total, c.glow.to = slices.Clone(t.Direct), slices.Clone(t.Total), slices.Clone(t.glow.to)
	c.Facing, c.Solid = slices.Clone(t.Facing), slices.Clone(t.Solid)
	c.receivers = slices.Clone(t.receivers)
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
	t.Direct[place], t.Total[place], t.glow.to[place] = p.direct[0], p.total[0], p.glow[0]
	t.Facing[p.eye], t.Solid[p.eye] = p.facing, slices.Clone(p.solid[0])
	t.Views = slices.DeleteFunc(slices.Clone(t.Views), func(v View) bool { return v.Eye == p.eye })
	t.Views = append(t.Views, p.views...)
}

func (t *Transport) putObject(p *Posed) {
	k := 0
	for j, i := range p.panels {
		panel, sh := &t.Panels[i], p.sheets[j]
		panel.sheet = sh
		panel.Corner, panel.U, panel.V, panel.Normal = sh.corner.point(), sh.u.point(), sh.v.point(), sh.n.point()
		for c := range panel.Cols * panel.Rows {
			place := panel.First + c
			part := sh.part(c%panel.Cols, c/panel.Cols, panel.Cols, panel.Rows)
			q := &t.Places[place]
			q.At, q.Normal, q.Area = part.at(.5, .5).point(), sh.n.point(), part.area()
			t.receivers[place] = receiver{at: part.at(.5, .5), n: sh.n, patch: part, panel: i, size: math.Max(part.w, part.h)}
			t.Direct[place], t.Total[place], t.glow.to[place] = p.direct[k], p.total[k], p.glow[k]
			for e := range t.Solid {
				t.Solid[e][place] = p.solid[e][k]
			}
			k++
		}
	}
}

// Off is by how much what is received at b differs from what would be received half-way
// between a and c, at most over all drives, as a share of the largest that a thing receives of
// that drive at any of the three: by mean for an object, at the eyes for a performer.
func Off(a, b, c *Posed) float64 {
	worst := 0.0
	for d := range a.total[0] {
		var sum [3]float64
		for k, p := range []*Posed{a, b, c} {
			for i := range p.total {
				sum[k] += float64(p.total[i][d])
			}
		}
		if most := max(sum[0], sum[1], sum[2]); most > 0 {
			worst = math.Max(worst, math.Abs(sum[1]-(sum[0]+sum[2])/2)/most)
		}
	}
	return worst
}

// looseReflected adds reflected light to what only receives: it has no elements of which it
// could be had.
func (s *solving) looseReflected(ctx context.Context) {
	for i := range s.shell.panels {
		p := &s.shell.panels[i]
		if !p.loose || ctx.Err() != nil {
			continue
		}
		last := p.First + p.Cols*p.Rows
		copy(s.t.Total[p.First:last], s.withReflected(s.t.Direct[p.First:last], &p.sheet, p.Cols, p.Rows))
	}
}
