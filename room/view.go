package room

import (
	"context"
	"math"

	"lampblack/si"
)

// View is an eye that sees a unit's lens.
type View struct {
	Eye      int      // index in Transport.Eyes
	Unit     int      // index in the rig
	OffGaze  si.Angle // between the gaze and the nearest cell in view
	Distance si.Length
	Cells    []int   // those in view, from 0
	In       string  // the glossy thing in which it is seen; "" straight
	From     Point   // then where the eye's image is, as the lens sees it
	Share    float64 // and how much of its light is mirrored
}

// look finds what each eye sees directly: lenses, and the solid angle of
// every patch.
func (s *solving) look(ctx context.Context) {
	t := s.t
	t.facing = make([][]float32, len(t.Eyes))
	t.Solid = rows(len(t.Eyes), s.shell.patches)
	// Each eye writes rows and views of its own, so that the eyes need not wait for each other.
	views, mirrored := make([][]View, len(t.Eyes)), make([][]View, len(t.Eyes))
	spread(ctx, len(t.Eyes), func(i int) {
		rec := &s.receivers[t.Eyes[i]]
		views[i], mirrored[i] = s.lensesFrom(i, rec), s.lensesMirrored(i, rec)
		var w watcher
		w.from(rec.at, s.shell.panes)
		for p := range s.shell.patches {
			t.Solid[i][p] = float32(s.solidAngle(&w, p))
		}
		t.facing[i] = s.facingOf(rec, t.Solid[i], t.total[t.Eyes[i]], t.direct[t.Eyes[i]])
	})
	for i, v := range views {
		t.Views, t.Images = append(t.Views, v...), append(t.Images, mirrored[i]...)
	}
}

// lensesFrom lists the units that eye i sees into from a place: a cell is in view when nothing
// stands between and the eye is inside the half space that it lights.
func (s *solving) lensesFrom(i int, rec *receiver) []View {
	g := lighting{sources: s.sources, shell: s.shell}
	var out []View
	for u := range s.sources.lamps {
		l := &s.sources.lamps[u]
		v := View{Eye: i, Unit: u, OffGaze: math.Pi}
		for c, at := range l.cells {
			d := at.minus(rec.at)
			far := d.length()
			if far < 1e-3 || l.beam(rec.at, at) == 0 || g.opening(l, c, rec) < leastSeen {
				continue
			}
			v.Cells = append(v.Cells, c)
			if off := si.Angle(math.Acos(min(1, max(-1, d.dot(rec.n)/far)))); off < v.OffGaze {
				v.OffGaze, v.Distance = off, si.Length(far)
			}
		}
		if len(v.Cells) > 0 {
			out = append(out, v)
		}
	}
	return out
}

// Way says by what an eye sees a lens, where that is not straight.
func (v *View) Way() string {
	if v.In == "" {
		return ""
	}
	return " (mirrored in the " + v.In + ")"
}

// Lenses lists what eyes see of lenses, straight and in mirrors.
func (t *Transport) Lenses() []*View {
	var out []*View
	for _, views := range [][]View{t.Views, t.Images} {
		for i := range views {
			out = append(out, &views[i])
		}
	}
	return out
}

// LensFrom is where an eye looks at a lens from: its own place, or its image in the mirror.
func (t *Transport) LensFrom(v *View) Point {
	if v.In != "" {
		return v.From
	}
	return t.Places[t.Eyes[v.Eye]].At
}

// LensToward is the direction from an eye in which it sees a lens, straight or mirrored, of length 1. What the eye's image
// sees is turned about the mirror's plane, which lies half way between the eye and its image:
//
//	d - 2(d·n)n,  n from the image to the eye
func (t *Transport) LensToward(v *View) [3]float64 {
	eye, from := t.Places[t.Eyes[v.Eye]].At.vec(), t.LensFrom(v).vec()
	d, n := Point(t.rig.Units[v.Unit].At).vec().minus(from).unit(), eye.minus(from).unit()
	return d.minus(n.times(2 * d.dot(n)))
}

// leastSeen is the share of an opening below which it is not in view.
const leastSeen = .01

// beam is the greatest intensity per watt, over the lamp's beams, that leaves
// a cell at from toward p; 0 behind the lamp and above its mask.
func (l *lamp) beam(p, from vec) float64 {
	d := p.minus(from)
	far := d.length()
	off := d.dot(l.axis) / far
	if off <= 0 || d[2] > l.sinMask*far {
		return 0
	}
	most := 0.0
	for _, f := range l.beams {
		most = max(most, l.sends(f, d, off))
	}
	return most
}

// facingOf is facing for eyes at a place, which see the patches under the solid angles given and
// take this much light along their gaze.
// The plane is turned to each cell in turn, which no head can do at once: hence a bound.
func (s *solving) facingOf(eyes *receiver, solid, total, direct []float32) []float32 {
	at := eyes.at
	wide := make([]float64, s.sources.count)
	g := lighting{sources: s.sources, shell: s.shell}
	for u := range s.sources.lamps {
		l := &s.sources.lamps[u]
		for c, from := range l.cells {
			n := from.minus(at).unit()
			col := s.sources.first[u] + c*len(l.beams)
			rec := receiver{at: at, n: n, panel: -1}
			g.light(wide[col:col+len(l.beams)], l, c, &rec)
		}
	}
	g.reflections(wide, at, nil)
	straight, out := make([]float32, len(s.t.bundles)), make([]float32, len(s.t.columns))
	s.toBundles(straight, wide)
	s.t.widen(out, straight)
	s.addReflected(out, at, solid, total, direct)
	return out
}

// addReflected adds the most reflected light that eyes take facing along any
// axis of the room, either way, or their gaze.
func (s *solving) addReflected(dst []float32, at vec, solids, total, direct []float32) {
	t := s.t
	var toward [6][]float64
	for a := range toward {
		toward[a] = make([]float64, len(t.columns))
	}
	for p, solid := range solids {
		if solid == 0 {
			continue
		}
		d := s.receivers[p].at.minus(at).unit()
		// A matt patch of irradiance E and reflectance ρ has the radiance ρE/π; an eye that faces
		// c off it takes that times solid angle times c.
		means := t.means[t.Panels[t.Places[p].Panel].finish]
		for axis, c := range d {
			side := toward[2*axis]
			if c < 0 {
				side, c = toward[2*axis+1], -c
			}
			c *= float64(solid) / math.Pi
			for k, v := range t.total[p] {
				side[k] += c * means[t.columns[k].band] * float64(v)
			}
		}
	}
	// Along the gaze the reflected light is known; of the axes the best is taken. A source
	// midway between all three axes would give √3 times that to a head turned straight to it.
	for c := range dst {
		most := float64(total[c] - direct[t.columns[c].bundle])
		for _, side := range toward {
			most = max(most, side[c])
		}
		dst[c] += float32(most)
	}
}

// solidAngle is that of what a watcher sees of a patch.
func (s *solving) solidAngle(w *watcher, place int) float64 {
	return s.solidOf(w, &s.receivers[place])
}

// solidOf is the same of any receiver.
func (s *solving) solidOf(w *watcher, rec *receiver) float64 {
	if rec.area == 0 || w.at.minus(rec.at).dot(rec.n) <= 0 {
		return 0
	}
	b := ballOf(rec.edge)
	c := b.cone(w.at)
	pieces, whole := w.visible(rec.edge, &c)
	if whole {
		return solidAngle(w.at, rec.edge)
	}
	sum := 0.0
	for _, piece := range pieces {
		sum += solidAngle(w.at, piece)
	}
	return sum
}

// solidAngle is that of a convex outline, triangle by triangle, by A. van Oosterom and
// J. Strackee (IEEE Transactions on Biomedical Engineering 30, 1983, from memory):
//
//	tan(Ω/2) = a·(b×c) / (abc + (a·b)c + (b·c)a + (c·a)b)
func solidAngle(p vec, outline []vec) float64 {
	sum := 0.0
	a := outline[0].minus(p)
	la := a.length()
	for i := 1; i+1 < len(outline); i++ {
		b, c := outline[i].minus(p), outline[i+1].minus(p)
		lb, lc := b.length(), c.length()
		sum += 2 * math.Atan2(math.Abs(a.dot(b.cross(c))), la*lb*lc+a.dot(b)*lc+b.dot(c)*la+c.dot(a)*lb)
	}
	return sum
}

// LensLuminance is the mean luminance of the openings in view, in cd/m2, as
// the eye sees them: intensity over projected area. Where the fixture type does not give its lens
// that is a guess (see [rig.Type.Shining]). A real lens is brighter in its middle than this mean. The
// projected area is not taken below a hundredth, where a flat opening would vanish.
func (t *Transport) LensLuminance(v *View, levels []float32) si.Luminance {
	return t.lensLuminance(v, levels, t.sources.lamps[v.Unit].luminous.Best)
}

// LensMost is LensLuminance where as little of the unit shines as may be: the luminance is not
// above it because of what is guessed of the lens.
func (t *Transport) LensMost(v *View, levels []float32) si.Luminance {
	return t.lensLuminance(v, levels, t.sources.lamps[v.Unit].luminous.Low)
}

func (t *Transport) lensLuminance(v *View, levels []float32, shining si.Ratio) si.Luminance {
	l := &t.sources.lamps[v.Unit]
	eye := t.LensFrom(v).vec()
	in := map[int]bool{}
	candela, area := 0.0, 0.0
	for _, c := range v.Cells {
		d := eye.minus(l.cells[c])
		area += float64(shining) * max(.01, d.dot(l.axis)/d.length())
		in[c] = true
	}
	from, to := t.rig.UnitDrives(v.Unit)
	for d := from; d < to; d++ {
		if levels[d] == 0 {
			continue
		}
		drive := &t.rig.Drives[d]
		watts := t.watts[d] / float64(len(l.cells)) * float64(levels[d]) * t.Lights[t.Light[d]].Weight[Photopic]
		for _, c := range drive.Cells {
			if in[c] {
				candela += watts * l.toward(eye, c, drive.Emitter)
			}
		}
	}
	if v.In != "" {
		candela *= v.Share
	}
	return si.Luminance(candela / area)
}

// LensRadiance is a lens's luminance weighed by another sense, with the lamps'
// outputs at their upper end and what shines of the lens at its lower: each emitter's share in proportion to what the
// sense makes of its light. An emitter without any lumens, wholly below 360 nm, is left
// out by that.
func (t *Transport) LensRadiance(v *View, sense Sense, levels []float32) float64 {
	from, to := t.rig.UnitDrives(v.Unit)
	// Drive by drive: an emitter's luminance is turned into what the sense makes of its light by
	// the ratio of the two weights, which differs from emitter to emitter.
	one := make([]float32, len(levels))
	sum := 0.0
	for d := from; d < to; d++ {
		weight := &t.Lights[t.Light[d]].Weight
		if levels[d] == 0 || weight[Photopic] <= 0 {
			continue
		}
		one[d] = levels[d]
		sum += float64(t.LensMost(v, one)) * weight[sense] / weight[Photopic] * t.Spread[d].High
		one[d] = 0
	}
	return sum
}

// toward is the intensity per watt of one emitter in one cell toward p.
func (l *lamp) toward(p vec, cell, emitter int) float64 {
	d := p.minus(l.cells[cell])
	return l.sends(l.beams[l.beamOf[emitter]], d, d.dot(l.axis)/d.length())
}
