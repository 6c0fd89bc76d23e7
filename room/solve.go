package room

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/source"
)

// Solve computes the transport of light from every drive of the rig, as fine
// as Usual. What is wrong with the rig in this room is in the faults; the
// transport is there even then, without the units at fault. When the context
// ends early it is incomplete and must not be used.
func (r *Room) Solve(ctx context.Context, rg *rig.Rig) (*Transport, source.Faults) {
	return r.SolveAt(ctx, rg, Usual)
}

// SolveAt is Solve at a fineness of the caller's choice.
func (r *Room) SolveAt(ctx context.Context, rg *rig.Rig, f Fineness) (*Transport, source.Faults) {
	var faults source.Faults
	s := &solving{room: r, rig: rg, shell: r.shell(f.sane())}
	s.sources = number(r.lamps(rg, &faults))
	s.t = &Transport{rig: rg, room: r, Panels: s.shell.panels, finishes: s.shell.finishes, shell: s.shell, sources: s.sources}
	s.t.lightsOf(rg)
	s.t.reflections()
	s.t.backs(r)
	s.receive()
	s.t.receivers = s.receivers
	s.direct(ctx)
	s.elements = s.shell.elementsOf(s.areas())
	s.t.elements = s.elements
	if err := s.reflected(ctx); err != nil {
		faults.Add(r.Pos, "", "%v", err)
	}
	s.t.glow.paints(s.t.finishes, s.t.Lights)
	s.t.spreadGlow(ctx, s.shell, s.elements, s.receivers)
	s.look(ctx)
	s.t.index()
	faults.Sort()
	return s.t, faults
}

// solving is one run of Solve.
type solving struct {
	room      *Room
	rig       *rig.Rig
	shell     *shell
	sources   *sources
	receivers []receiver // by place
	elements  []element
	columns   [][]float32 // by place: direct irradiance per watt, by column of sources
	t         *Transport
}

// lightsOf lists the spectra of the rig's drives, each once.
func (t *Transport) lightsOf(rg *rig.Rig) {
	known := map[*rig.Emitter]int{}
	for d := range rg.Drives {
		e := rg.Emitter(d)
		k, ok := known[e]
		if !ok {
			k = t.addLight(e.Light.Spectrum)
			known[e] = k
		}
		t.Light = append(t.Light, k)
		t.Spread = append(t.Spread, Spread{e.Light.Low, e.Light.High})
		t.watts = append(t.watts, e.Light.Watts)
	}
}

func (t *Transport) addLight(s light.Spectrum) int {
	s.Normalise()
	for k := range t.Lights {
		if t.Lights[k].Spectrum == s {
			return k
		}
	}
	l := Light{Spectrum: s}
	for i := range senses {
		l.Weight[i] = i.Of(&s)
	}
	t.Lights = append(t.Lights, l)
	return len(t.Lights) - 1
}

// receive lists the places.
func (s *solving) receive() {
	s.receivers = s.shell.receivers()
	for i := range s.receivers {
		rec := &s.receivers[i]
		p := &s.shell.panels[rec.panel]
		s.t.Places = append(s.t.Places, Place{
			Name: p.Name, Kind: p.Kind, At: rec.at.point(), Normal: p.n.point(), Panel: rec.panel,
			Area: rec.patch.area() * s.shell.uncovered(rec.panel, &rec.patch),
		})
	}
	for i := range s.room.Seats {
		s.eye(&s.room.Seats[i], KindSeat, s.room.stageMiddle())
	}
	for i := range s.room.People {
		s.eye(&s.room.People[i], KindPerson, s.room.audienceMiddle())
	}
	for i := range s.room.Paths {
		for _, p := range s.room.Paths[i].Value.walk() {
			s.point(Place{Name: s.room.Paths[i].Name, Kind: KindPath, At: p.point(), Normal: Point{0, 0, 1}})
		}
	}
}

func (s *solving) eye(e *Eye, kind Kind, standard vec) {
	to := standard
	if e.Looks != nil {
		to = e.Looks.vec()
	}
	gaze := to.minus(e.At.vec()).unit()
	if gaze.length() == 0 {
		gaze = vec{0, 1, 0}
	}
	s.t.Eyes = append(s.t.Eyes, len(s.t.Places))
	s.point(Place{Name: e.Name, Kind: kind, At: e.At, Normal: gaze.point()})
}

func (s *solving) point(p Place) {
	p.Panel = -1
	s.t.Places = append(s.t.Places, p)
	s.receivers = append(s.receivers, receiver{at: p.At.vec(), n: p.Normal.vec(), panel: -1})
}

// stageMiddle is where an audience looks that is not told where: the middle
// of the objects, or head height a little way up the stage.
func (r *Room) stageMiddle() vec {
	if len(r.Objects) == 0 {
		return vec{0, math.Min(1, float64(r.Size[1]-r.Front)), 1.5}
	}
	var sum vec
	for i := range r.Objects {
		sum = sum.plus(r.Objects[i].Value.Centre.vec())
	}
	return sum.times(1 / float64(len(r.Objects)))
}

// audienceMiddle is where a performer looks that is not told where.
func (r *Room) audienceMiddle() vec {
	if len(r.Seats) == 0 {
		return vec{0, -float64(r.Front) / 2, 1.2}
	}
	var sum vec
	for i := range r.Seats {
		sum = sum.plus(r.Seats[i].At.vec())
	}
	return sum.times(1 / float64(len(r.Seats)))
}

// stride is the distance between the points that a path is measured at.
const stride = .5

// walk returns points along the path, 20 mm above the floor or step so that
// the floor itself is not in the way; EN 1838 measures up to 0.2 m above.
func (p *Path) walk() []vec {
	var out []vec
	up := vec{0, 0, .02}
	for i, q := range p.Points {
		if i > 0 {
			from := p.Points[i-1].vec()
			along := q.vec().minus(from)
			n := int(math.Ceil(along.length() / stride))
			for k := 1; k < n; k++ {
				out = append(out, from.plus(along.times(float64(k)/float64(n))).plus(up))
			}
		}
		out = append(out, q.vec().plus(up))
	}
	return out
}

func (s *solving) areas() []float64 {
	out := make([]float64, len(s.t.Places))
	for i := range out {
		out[i] = s.t.Places[i].Area
	}
	return out
}

// direct fills Direct: the light of every cell, then of every drive.
func (s *solving) direct(ctx context.Context) {
	t := s.t
	n := s.sources.count
	s.columns = rows(len(t.Places), n)
	t.Direct, t.Total = rows(len(t.Places), len(t.Light)), rows(len(t.Places), len(t.Light))
	spread(ctx, len(t.Places), func(i int) {
		if t.Places[i].Panel >= 0 && t.Places[i].Area == 0 {
			return
		}
		wide := make([]float64, n)
		s.sources.gather(wide, &s.receivers[i], s.shell)
		for c, v := range wide {
			s.columns[i][c] = float32(v)
		}
		s.toDrives(t.Direct[i], s.columns[i])
		copy(t.Total[i], t.Direct[i])
	})
}

// toDrives adds up the cells that each drive lights.
func (s *solving) toDrives(dst, columns []float32) {
	for d := range s.rig.Drives {
		drive := &s.rig.Drives[d]
		l := &s.sources.lamps[drive.Unit]
		if len(l.cells) == 0 {
			continue
		}
		perCell := s.rig.Emitter(d).Light.Watts / float64(len(l.cells))
		sum := 0.0
		for _, c := range drive.Cells {
			sum += float64(columns[s.sources.first[drive.Unit]+c*len(l.beams)+l.beamOf[drive.Emitter]])
		}
		dst[d] = float32(perCell * sum)
	}
}

// reflected adds the inter-reflection to Total.
func (s *solving) reflected(ctx context.Context) error {
	exchange := s.shell.exchange(ctx, s.elements)
	closeUp(exchange, s.elements)
	n := len(s.elements)
	for i := range n {
		if a := s.elements[i].area; a > 0 {
			for j := range n {
				exchange[i*n+j] /= a
			}
		}
	}
	first := s.firstBounce(ctx, exchange)
	for k := range s.t.Lights {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err := s.reflectedLight(k, exchange, first); err != nil {
			return err
		}
	}
	s.reflectedAtPoints(ctx)
	return nil
}

// reflectedLight solves the drives of light k.
func (s *solving) reflectedLight(k int, factors []float64, first []float32) error {
	var drives []int
	for d, l := range s.t.Light {
		if l == k {
			drives = append(drives, d)
		}
	}
	all, err := bounce(factors, s.reflectances(k), s.once(first, drives, k))
	if err != nil {
		return err
	}
	s.interpolate(all, drives)
	return nil
}

// reflectances is, for each element, the mean reflectance for light k.
func (s *solving) reflectances(k int) []float64 {
	out := make([]float64, len(s.elements))
	for i := range out {
		out[i] = s.t.means[s.shell.panels[s.elements[i].panel].finish][k]
	}
	return out
}

func (s *solving) eachPlace(element int, f func(place int)) {
	p := &s.shell.panels[s.elements[element].panel]
	at := element - p.elem
	p.eachPatch(at%p.elemCols, at/p.elemCols, f)
}

// interpolate adds the elements' reflected light to the patches, bilinearly
// between the middles of elements.
func (s *solving) interpolate(reflected *mat.Dense, drives []int) {
	for i := range s.shell.panels {
		p := &s.shell.panels[i]
		for row := range p.Rows {
			r0, r1, y := neighbours(row, p.Rows, p.elemRows)
			for col := range p.Cols {
				place := p.First + row*p.Cols + col
				if s.t.Places[place].Area == 0 {
					continue
				}
				c0, c1, x := neighbours(col, p.Cols, p.elemCols)
				corners := [4]int{r0*p.elemCols + c0, r0*p.elemCols + c1, r1*p.elemCols + c0, r1*p.elemCols + c1}
				weights := [4]float64{(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y}
				s.blend(place, p.elem, corners, weights, reflected, drives)
			}
		}
	}
}

// blend adds a weighted mean of four elements; those that are wholly under
// something do not count.
func (s *solving) blend(place, first int, corners [4]int, weights [4]float64, reflected *mat.Dense, drives []int) {
	sum := 0.0
	for k, c := range corners {
		if s.elements[first+c].area == 0 {
			weights[k] = 0
		}
		sum += weights[k]
	}
	if sum == 0 {
		return
	}
	total := s.t.Total[place]
	for k, c := range corners {
		if weights[k] == 0 {
			continue
		}
		row := reflected.RawRowView(first + c)
		for j, d := range drives {
			total[d] += float32(weights[k] / sum * max(0, row[j]))
		}
	}
}

// neighbours returns the two coarse cells whose middles lie around the middle
// of fine cell i, and how far it is from the first to the second.
func neighbours(i, fine, coarse int) (a, b int, share float64) {
	return nearTo((float64(i)+.5)/float64(fine), coarse)
}

// reflectedAtPoints adds the reflected light at eyes and paths, gathered from
// the patches themselves: a seat is near its wall, and a performer near the
// drapes.
func (s *solving) reflectedAtPoints(ctx context.Context) {
	t := s.t
	first := s.shell.patches
	spread(ctx, len(s.receivers)-first, func(i int) {
		factors := s.patchFactors(&s.receivers[first+i])
		sums := make([]float64, len(t.Light))
		for place, f := range factors {
			if f == 0 {
				continue
			}
			means := t.means[t.Panels[t.Places[place].Panel].finish]
			for d, v := range t.Total[place] {
				sums[d] += f * means[t.Light[d]] * float64(v)
			}
		}
		for d, v := range sums {
			t.Total[first+i][d] += float32(v)
		}
	})
}

// patchFactors are the view factors from a point to all patches; as the room
// is closed they are scaled to sum to 1.
func (s *solving) patchFactors(rec *receiver) []float64 {
	out := make([]float64, s.shell.patches)
	sum := 0.0
	for i := range out {
		patch := &s.receivers[i]
		bare := s.t.Places[i].Area
		if bare == 0 || rec.at.minus(patch.at).dot(patch.n) <= 0 {
			continue
		}
		edges := patch.patch.corners()
		f := pointFactor(rec.at, rec.n, &edges)
		if f == 0 {
			continue
		}
		out[i] = f * bare / patch.patch.area() * s.open(rec.at, &patch.patch)
		sum += out[i]
	}
	if sum > 0 {
		for i := range out {
			out[i] /= sum
		}
	}
	return out
}

// open is the share of a patch that p sees, of four points on it.
func (s *solving) open(p vec, patch *sheet) float64 {
	seen := 0
	for k := range 4 {
		if s.shell.block.clear(p, patch.at(gauss[2].at[k&1], gauss[2].at[k>>1])) {
			seen++
		}
	}
	return float64(seen) / 4
}

// reflections fills in how each finish looks in each light.
func (t *Transport) reflections() {
	t.reflects, t.means = make([][]seen, len(t.finishes)), make([][]float64, len(t.finishes))
	for f := range t.finishes {
		t.reflects[f], t.means[f] = make([]seen, len(t.Lights)), make([]float64, len(t.Lights))
		for k := range t.Lights {
			s := t.Lights[k].Spectrum
			s.Multiply(&t.finishes[f].reflectance)
			t.reflects[f][k] = seenOf(&s)
			t.means[f][k] = float64(s.Power())
		}
	}
}
