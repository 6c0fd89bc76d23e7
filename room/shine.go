package room

import (
	"math"

	"lampblack/light"
)

// A picture is finer than the patches. At any point of a surface the direct light is known
// exactly, with its shadows; all the rest, which is smooth, is taken from the patches about it:
//
//	what it looks like = direct light at the point + (whole - direct) of the patches
//
//	t.Pointer().Direct(…)  ──▶ rays     where a point gets light from, once for all levels
//	t.Shine(aspect, levels) ──▶ Shining  what the levels make of it
//	Shining.At(panel, rays, places, weights)

// Aspect is what is asked of a surface.
type Aspect int

// The aspects.
const (
	All       Aspect = iota // luminance of all that leaves it
	Fluoresce               // of its own fluorescence alone
	Falls                   // illuminance, lx
	FallsUVA                // UV-A irradiance, W/m2
)

// Shine is how much of an aspect there is: a luminance in cd/m2 as colour, for rods
// (scotopic), and as violet looks bright (by VM); of what falls it is Y alone.
type Shine struct{ X, Y, Z, Scotopic, Violet float32 }

// Plus returns s and a factor times d.
func (s Shine) Plus(d *Shine, factor float32) Shine {
	return Shine{s.X + d.X*factor, s.Y + d.Y*factor, s.Z + d.Z*factor, s.Scotopic + d.Scotopic*factor, s.Violet + d.Violet*factor}
}

// Colour is the shine as a colour.
func (s *Shine) Colour() light.XYZ {
	return light.XYZ{X: float64(s.X), Y: float64(s.Y), Z: float64(s.Z)}
}

func (s *seen) shine() Shine {
	return Shine{float32(s.colour.X), float32(s.colour.Y), float32(s.colour.Z), float32(s.scotopic), float32(s.violet)}
}

// Ray is the direct light that a point gets of one beam of one cell: W/m2 for each watt.
type Ray struct {
	Column  int32
	PerWatt float32
}

// Pointer finds direct light at points. It has memory of its own: one worker has one.
type Pointer struct {
	t    *Transport
	g    lighting
	wide []float64
}

// Pointer makes one.
func (t *Transport) Pointer() *Pointer {
	return &Pointer{t: t, g: lighting{sources: t.sources, shell: t.shell}, wide: make([]float64, light.MaxEmitters)}
}

// lifts is how far, in m, a point is lifted off its surface, so that it does not stand in its own light.
const lifts = 1e-4

// Direct adds to dst the rays that fall on a point of a surface that faces n, of the units
// wanted; nil for all.
func (p *Pointer) Direct(dst []Ray, at, n Point, wanted []bool) []Ray {
	rec := receiver{n: n.vec().unit(), panel: -1}
	rec.at = at.vec().plus(rec.n.times(lifts))
	for i := range p.t.sources.lamps {
		if wanted != nil && !wanted[i] {
			continue
		}
		l := &p.t.sources.lamps[i]
		nb := len(l.beams)
		for c := range l.cells {
			beams := p.wide[:nb]
			clear(beams)
			p.g.light(beams, l, c, &rec)
			for b, v := range beams {
				if v > 0 {
					dst = append(dst, Ray{int32(p.t.sources.first[i] + c*nb + b), float32(v)})
				}
			}
		}
	}
	return dst
}

// UnitOf tells by column which unit its light is of.
func (t *Transport) UnitOf() []int {
	out := make([]int, t.sources.count)
	for i := range t.sources.lamps {
		l := &t.sources.lamps[i]
		for c := range len(l.cells) * len(l.beams) {
			out[t.sources.first[i]+c] = i
		}
	}
	return out
}

// CellOf tells by column which cell its light is of, those of all units in turn.
func (t *Transport) CellOf() []int32 {
	out, cell := make([]int32, 0, t.sources.count), int32(0)
	for i := range t.sources.lamps {
		l := &t.sources.lamps[i]
		for range l.cells {
			for range l.beams {
				out = append(out, cell)
			}
			cell++
		}
	}
	return out
}

// Shining is the room under some levels, ready to be asked point by point.
type Shining struct {
	t       *Transport
	columns [][]Shine // by finish, then column: for one W/m2 per watt
	lens    []Shine   // by column: for one W/(m²·sr) per watt
	rest    []Shine   // by patch: of what is not direct
	direct  [][]Shine // by finish, then light: for one W/m2 that no wall has changed
	picture Picture   // its drives that are on
	watts   []watt
	worn    map[wearing][][]Shine // what was asked for of materials, by light, then band
}

// wearing is a material, and what is asked of it.
type wearing struct {
	aspect   Aspect
	material string
}

// watt is what a drive at its level puts into one column.
type watt struct {
	column, light int
	watts         float64
}

// Shine works out an aspect of the room as levels light it; dst, where it is not nil, is of the
// same transport or of one with other poses, and is filled anew.
func (t *Transport) Shine(dst *Shining, a Aspect, levels []float32) *Shining {
	s := dst
	if s == nil {
		s = &Shining{worn: map[wearing][][]Shine{}, rest: make([]Shine, t.shell.patches)}
		for range t.finishes {
			s.columns = append(s.columns, make([]Shine, t.sources.count))
		}
	}
	s.t = t
	s.drive(levels)
	looks := make([][][]Shine, len(t.finishes))
	s.direct = s.direct[:0]
	for f := range looks {
		looks[f] = t.aspect(a, f)
		s.direct = append(s.direct, straight(looks[f]))
		s.fill(s.columns[f], s.direct[f])
	}
	if a == All && len(t.shell.mirrors) > 0 {
		s.lens = make([]Shine, t.sources.count)
		s.fill(s.lens, t.lensLooks())
	}
	s.patches(a, looks, levels)
	return s
}

// drive lists what the drives put into the columns.
func (s *Shining) drive(levels []float32) {
	t := s.t
	s.watts = s.watts[:0]
	for d, level := range levels {
		drive := &t.rig.Drives[d]
		l := &t.sources.lamps[drive.Unit]
		if len(l.cells) == 0 || !(level > 0) {
			continue
		}
		w := float64(level) * t.watts[d] / float64(len(l.cells))
		for _, c := range drive.Cells {
			s.watts = append(s.watts, watt{t.sources.first[drive.Unit] + c*len(l.beams) + l.beamOf[drive.Emitter], t.Light[d], w})
		}
	}
}

// fill weighs the columns for something of these looks, by light.
func (s *Shining) fill(columns, looks []Shine) {
	clear(columns)
	for i := range s.watts {
		w := &s.watts[i]
		columns[w.column] = columns[w.column].Plus(&looks[w.light], float32(w.watts))
	}
}

// straight is what one W/m2 of each light comes to that no wall has changed.
func straight(looks [][]Shine) []Shine {
	out := make([]Shine, len(looks))
	for k, bands := range looks {
		for i := range bands {
			out[k] = out[k].Plus(&bands[i], 1)
		}
	}
	return out
}

// aspect is what one W/m2 of each light comes to on a finish, by light and band.
func (t *Transport) aspect(a Aspect, finish int) [][]Shine {
	return t.looksOf(a, func(k int) []seen { return t.reflects[finish][k].seen }, func(k int) []seen { return t.glow.look[finish][k] })
}

// looksOf is the same by how a surface looks that reflects and glows so.
func (t *Transport) looksOf(a Aspect, reflected, glow func(light int) []seen) [][]Shine {
	out := make([][]Shine, len(t.Lights))
	for k := range out {
		b, r, g := &t.Lights[k].bands, reflected(k), glow(k)
		out[k] = make([]Shine, len(b.part))
		for i := range out[k] {
			switch a {
			case All:
				out[k][i] = shineOf(r, i).Plus(shineOf(g, i), 1)
			case Fluoresce:
				out[k][i] = *shineOf(g, i)
			case Falls:
				out[k][i].Y = float32(b.weight[Photopic][i])
			case FallsUVA:
				out[k][i].Y = float32(b.weight[UVA][i])
			}
		}
	}
	return out
}

// shineOf is that of one band; nothing of a list that is empty.
func shineOf(bands []seen, i int) *Shine {
	if i >= len(bands) {
		return &Shine{}
	}
	s := bands[i].shine()
	return &s
}

// landed is what one W/m2 of a paint's glow comes to on a finish, by band.
func (t *Transport) landed(a Aspect, finish, paint int) []Shine {
	shape := &t.glow.shape[paint]
	out := make([]Shine, len(shape.part))
	for i := range out {
		switch a {
		case All:
			out[i] = *shineOf(t.glow.landed[finish][paint].seen, i)
		case Falls:
			out[i].Y = float32(shape.weight[Photopic][i])
		case FallsUVA:
			out[i].Y = float32(shape.weight[UVA][i])
		}
	}
	return out
}

// patches fills in rest: light by light and band by band, so that each sum is weighed once.
func (s *Shining) patches(a Aspect, looks [][][]Shine, levels []float32) {
	t := s.t
	p := &s.picture
	p.ends = make([]int, len(t.Lights))
	p.sort(t, levels)
	glows := make([]float32, len(t.glow.elements))
	for e := range glows {
		for _, d := range p.active {
			glows[e] += t.glow.power[e][d.drive] * levels[d.drive]
		}
	}
	lands := make([][][]Shine, len(t.finishes))
	for f := range lands {
		for paint := range t.finishes {
			lands[f] = append(lands[f], t.landed(a, f, paint))
		}
	}
	sums := make([]float32, len(t.nodes.at))
	for place := range s.rest {
		finish := t.Panels[t.Places[place].Panel].finish
		total, direct := t.total[place], t.direct[place]
		var rest Shine
		from := 0
		for k, to := range p.ends {
			active := p.active[from:to]
			from = to
			bands := looks[finish][k]
			if len(active) == 0 {
				continue
			}
			sums := sums[:len(bands)]
			clear(sums)
			of := float32(0)
			for _, d := range active {
				of += direct[t.bundle[d.drive]] * d.power
				for i, v := range total[d.column : int(d.column)+len(bands)] {
					sums[i] += v * d.power
				}
			}
			for i, all := range sums {
				if all > of {
					rest = rest.Plus(&bands[i], all-of)
				}
			}
		}
		for c, share := range t.glow.to[place] {
			if share > 0 {
				of := &t.glow.columns[c]
				look := &lands[finish][t.glow.elements[of.element].finish][of.part]
				rest = rest.Plus(look, share*glows[of.element])
			}
		}
		s.rest[place] = rest
	}
}

// Patch is what a patch looks like as a whole.
func (s *Shining) Patch(place int) Shine {
	t := s.t
	out, from := s.rest[place], 0
	for k, to := range s.picture.ends {
		of := float32(0)
		for _, d := range s.picture.active[from:to] {
			of += t.direct[place][t.bundle[d.drive]] * d.power
		}
		out, from = out.Plus(&s.direct[t.Panels[t.Places[place].Panel].finish][k], of), to
	}
	return out
}

// Lit tells by column whether any light is in it.
func (s *Shining) Lit(dst []bool) []bool {
	if len(dst) != s.t.sources.count {
		dst = make([]bool, s.t.sources.count)
	}
	clear(dst)
	for i := range s.watts {
		dst[s.watts[i].column] = true
	}
	return dst
}

// Add adds factor times what one ray that falls on a panel makes it look like.
func (s *Shining) Add(dst *Shine, panel int, r Ray, factor float32) {
	c, k := &s.columns[s.t.Panels[panel].finish][r.Column], r.PerWatt*factor
	dst.X += c.X * k
	dst.Y += c.Y * k
	dst.Z += c.Z * k
	dst.Scotopic += c.Scotopic * k
	dst.Violet += c.Violet * k
}

// Falling is what light that falls on a panel makes it look like, nothing else.
func (s *Shining) Falling(panel int, rays []Ray) Shine {
	var out Shine
	columns := s.columns[s.t.Panels[panel].finish]
	for _, r := range rays {
		out = out.Plus(&columns[r.Column], r.PerWatt)
	}
	return out
}

// At is what a point of a panel looks like that gets these rays, and lies between four patches.
func (s *Shining) At(panel int, rays []Ray, places *[4]int32, weights *[4]float32) Shine {
	var out Shine
	columns := s.columns[s.t.Panels[panel].finish]
	for _, r := range rays {
		c, k := &columns[r.Column], r.PerWatt
		out.X += c.X * k
		out.Y += c.Y * k
		out.Z += c.Z * k
		out.Scotopic += c.Scotopic * k
		out.Violet += c.Violet * k
	}
	for i, w := range weights {
		if w > 0 {
			out = out.Plus(&s.rest[places[i]], w)
		}
	}
	return out
}

// lensLooks is what one W/(m²·sr) of each light looks like that nothing has changed.
func (t *Transport) lensLooks() []Shine {
	var out []Shine
	for k := range t.Lights {
		v := seenOf(&t.Lights[k].Spectrum) // of a matt surface with this exitance
		v = v.times(math.Pi)
		out = append(out, v.shine())
	}
	return out
}

// Lens is what lenses look like that send these rays (see [Pointer.Lens]).
func (s *Shining) Lens(rays []Ray) Shine {
	var out Shine
	for _, r := range rays {
		if s.lens != nil {
			out = out.Plus(&s.lens[r.Column], r.PerWatt)
		}
	}
	return out
}

// Moves tells that a panel is of something that comes, goes or moves; see [Room.Loosen].
func (p *Panel) Moves() bool { return p.loose }

// Worn is a material that is no panel's, as what people wear, under the light of a Shining.
type Worn struct {
	s       *Shining
	columns []Shine
	looks   [][]Shine // by light, then band
}

// Worn is a material of the room, or a generic one, that somebody wears; one that nobody knows is black cloth.
func (s *Shining) Worn(a Aspect, material string) *Worn {
	t := s.t
	w := &Worn{s: s, columns: make([]Shine, t.sources.count), looks: s.worn[wearing{a, material}]}
	if w.looks == nil {
		w.looks = t.looksWorn(a, material)
		s.worn[wearing{a, material}] = w.looks
	}
	s.fill(w.columns, straight(w.looks))
	return w
}

// looksWorn is what one W/m2 of each light comes to on a material, by light and band.
func (t *Transport) looksWorn(a Aspect, material string) [][]Shine {
	f, ok := t.room.finish(material)
	if !ok {
		f, _ = t.room.finish(DefaultDrape)
	}
	return t.looksOf(a, func(k int) []seen { return landedOn(&f.reflectance, 0, &t.Lights[k].bands).seen },
		func(k int) []seen {
			_, look := excited(f.paint, &t.Lights[k].bands)
			return look
		})
}

// At is what it looks like at a point that gets these rays, with the reflected light that the
// eyes at a place take along their gaze.
func (w *Worn) At(rays []Ray, place int, levels []float32) Shine {
	var out Shine
	for _, r := range rays {
		out = out.Plus(&w.columns[r.Column], r.PerWatt)
	}
	t := w.s.t
	for d, level := range levels {
		if level <= 0 {
			continue
		}
		straight, power := t.direct[place][t.bundle[d]], level*float32(t.watts[d])
		bands := w.looks[t.Light[d]]
		for i, v := range t.total[place][t.column[d] : t.column[d]+len(bands)] {
			if e := (v - straight) * power; e > 0 {
				out = out.Plus(&bands[i], e)
			}
		}
	}
	return out
}

// Glows tells whether a panel gives any glow under the lights of the rig.
func (t *Transport) Glows(panel int) bool { return t.glow.glows(t.Panels[panel].finish) }
