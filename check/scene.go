package check

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"time"

	"lampblack/check/flash"
	"lampblack/light"
	"lampblack/room"
)

// scene is what all eyes see of the show, as far as it may flash: pieces of
// surfaces and lenses, with the flashes of each. A matt piece looks the same
// from everywhere, so its flashes are found once for all eyes.
type scene struct {
	pieces []scenePiece
	lenses []lens // by unit
	trains []train
	kinds  []int // trains of which each stands for all that are like it

	patterns []pattern
	sets     [][]int   // kinds of train that some item flashes by
	top      []float32 // by drive: its highest level of the show
}

// scenePiece is a patch, or a few neighbouring ones.
type scenePiece struct {
	places  []int
	at      [3]float64
	row     []light.XYZ // for each drive at full, the upper end of its output
	general []flash.Flash
	wcag    []flash.Flash
	red     []flash.Flash
	blinks  []blink // by kind of train
	pattern [3]int  // by kind of flash: index in scene.patterns, or -1
	set     [3]int  // by kind of flash: index in scene.sets
}

// blink says that the piece flashes when one train does.
type blink struct{ general, red bool }

// lens is a unit as a lamp to look into.
type lens struct {
	flashes []flash.Flash
	output  []float32 // by corner, of its full output
	pattern [3]int    // as of a piece
	set     [3]int
}

// train is one unit, or all at once, that flash by themselves for a while at
// one rate.
type train struct {
	flash.Train
	units       []int
	spans       [][2]int // of the units' drives, ascending
	first, last int      // corners of the trace
	joint       bool
	kind        int // index in scene.kinds
}

// Least luminance at which a piece is looked at: red flashes below it do not
// pass the veil of package flash, general ones need 20 cd/m2.
const leastSeen = 3.0

// mostPieces bounds the pieces; beyond it neighbouring patches are merged.
const mostPieces = 1200

// sceneOf finds all flashes of the show.
func (r *report) sceneOf() *scene {
	t := r.trace()
	s := &scene{lenses: r.lensFlashes(t), trains: t.trains()}
	for i := range s.trains {
		for _, u := range s.trains[i].units {
			from, to := r.show.Rig.UnitDrives(u)
			s.trains[i].spans = append(s.trains[i].spans, [2]int{from, to})
		}
	}
	s.sort(t)
	s.pieces = r.pieces(t)
	s.top = t.most(len(r.show.Rig.Drives))
	parallel(len(s.pieces), func(i int) { s.pieces[i].find(t, s) })
	s.findPatterns()
	s.findSets()
	return s
}

// sort puts trains of the same units over the same light into one kind: a look
// that comes back flashes what it flashed before.
func (s *scene) sort(t *trace) {
	seen := map[string]int{}
	for i := range s.trains {
		k := &s.trains[i]
		key := fmt.Sprint(k.units, t.levels[k.first], t.levels[k.last])
		kind, known := seen[key]
		if !known {
			kind = len(s.kinds)
			seen[key] = kind
			s.kinds = append(s.kinds, i)
		}
		k.kind = kind
	}
}

// parallel runs f for 0 to n-1 on all cores.
func parallel(n int, f func(i int)) {
	var wait sync.WaitGroup
	next := make(chan int, n)
	for i := range n {
		next <- i
	}
	close(next)
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() {
			for i := range next {
				f(i)
			}
		})
	}
	wait.Wait()
}

// most returns the highest level of each drive in the show.
func (t *trace) most(drives int) []float32 {
	out := make([]float32, drives)
	for _, levels := range t.levels {
		for d, v := range levels {
			out[d] = max(out[d], v)
		}
	}
	return out
}

// pieces lists the patches that are ever bright enough and that some eye sees.
func (r *report) pieces(t *trace) []scenePiece {
	tr := r.show.Transport
	top := t.most(len(r.show.Rig.Drives))
	var bright []int
	rows := map[int][]light.XYZ{}
	for p := range tr.Places {
		if tr.Places[p].Panel < 0 || tr.Places[p].Area <= 0 || !seenBySome(tr, p) {
			continue
		}
		row := tr.ColourRow(p)
		sum := 0.0
		for d := range row {
			row[d] = row[d].Times(tr.Spread[d].High)
			sum += row[d].Y * float64(top[d])
		}
		if sum >= leastSeen {
			bright = append(bright, p)
			rows[p] = row
		}
	}
	return merge(tr, bright, rows)
}

func seenBySome(tr *room.Transport, place int) bool {
	for i := range tr.Solid {
		if place < len(tr.Solid[i]) && tr.Solid[i][place] > 0 {
			return true
		}
	}
	return false
}

// merge joins blocks of neighbouring patches until there are few enough.
func merge(tr *room.Transport, places []int, rows map[int][]light.XYZ) []scenePiece {
	side := int(math.Ceil(math.Sqrt(float64(len(places)) / mostPieces)))
	type block struct{ panel, col, row int }
	index := map[block]int{}
	var out []scenePiece
	for _, p := range places {
		panel := tr.Places[p].Panel
		k := p - tr.Panels[panel].First
		b := block{panel, k % tr.Panels[panel].Cols / max(side, 1), k / tr.Panels[panel].Cols / max(side, 1)}
		i, ok := index[b]
		if !ok {
			i = len(out)
			index[b] = i
			out = append(out, scenePiece{row: make([]light.XYZ, len(rows[p]))})
		}
		out[i].places = append(out[i].places, p)
	}
	for i := range out {
		area := 0.0
		for _, p := range out[i].places {
			area += tr.Places[p].Area
		}
		for _, p := range out[i].places {
			share := tr.Places[p].Area / area
			for d, c := range rows[p] {
				out[i].row[d] = out[i].row[d].Plus(c, share)
			}
			for k := range out[i].at {
				out[i].at[k] += share * float64(tr.Places[p].At[k])
			}
		}
	}
	return out
}

// find counts what the piece does over the show.
func (p *scenePiece) find(t *trace, s *scene) {
	active := activeDrives(p.row)
	luminance := make([]float32, len(t.times))
	for v, levels := range t.levels {
		luminance[v] = p.luminance(active, levels)
	}
	p.general = flash.General(&flash.BT, t.times, luminance)
	p.wcag = flash.General(&flash.WCAG, t.times, luminance)
	if p.mayRedden(active) {
		colours := make([]flash.Colour, len(t.times))
		for v := range t.times {
			colours[v] = p.colour(active, t.levels[v])
		}
		p.red = flash.RedFlashes(&flash.Red, t.times, colours)
	}
	p.blinks = make([]blink, len(s.kinds))
	for k, train := range s.kinds {
		p.blinks[k] = p.blink(active, t, &s.trains[train])
	}
}

func activeDrives(row []light.XYZ) []int {
	var out []int
	for d := range row {
		if row[d].X+row[d].Y+row[d].Z > 1e-4 {
			out = append(out, d)
		}
	}
	return out
}

func (p *scenePiece) colour(active []int, levels []float32) flash.Colour {
	var x, y, z float64
	for _, d := range active {
		l := float64(levels[d])
		if l == 0 {
			continue
		}
		c := &p.row[d]
		x += l * c.X
		y += l * c.Y
		z += l * c.Z
	}
	return flash.Colour{X: float32(x), Y: float32(y), Z: float32(z)}
}

func (p *scenePiece) luminance(active []int, levels []float32) float32 {
	y := 0.0
	for _, d := range active {
		y += float64(levels[d]) * p.row[d].Y
	}
	return float32(y)
}

// mayRedden tells whether any drive alone makes a saturated red; a mix is
// never redder than its reddest part.
func (p *scenePiece) mayRedden(active []int) bool {
	bare := flash.Red
	bare.Veil = 0
	return slices.ContainsFunc(active, func(d int) bool {
		c := p.row[d]
		return bare.Saturated(flash.Colour{X: float32(c.X), Y: float32(c.Y), Z: float32(c.Z)})
	})
}

// blink tells whether the piece flashes when the train's units go out and
// come back, at a few instants of the train.
func (p *scenePiece) blink(active []int, t *trace, k *train) (b blink) {
	own := k.own(active)
	if len(own) == 0 {
		return b
	}
	step := max((k.last-k.first)/4, 1)
	for v := k.first; v <= k.last; v += step {
		with, part := p.colour(active, t.levels[v]), p.colour(own, t.levels[v])
		without := flash.Colour{X: max(0, with.X-part.X), Y: max(0, with.Y-part.Y), Z: max(0, with.Z-part.Z)}
		b.general = b.general || flash.BT.Counts(float64(without.Y), float64(with.Y))
		b.red = b.red || flash.Red.Reddens(without, with)
	}
	return b
}

// own picks the drives of the train's units out of an ascending list.
func (k *train) own(active []int) []int {
	var out []int
	for _, s := range k.spans {
		from, _ := slices.BinarySearch(active, s[0])
		to, _ := slices.BinarySearch(active, s[1])
		out = append(out, active[from:to]...)
	}
	return out
}

// trains lists the spans in which units flash by themselves. For each span
// and unit there is a train; where several flash at once there is a joint one
// as well, for pieces that none alone makes flash.
func (t *trace) trains() []train {
	var out []train
	for first := 0; first < len(t.times); {
		last := first
		for last+1 < len(t.times) && slices.Equal(t.rates[last+1], t.rates[first]) {
			last++
		}
		end := last
		if last+1 < len(t.times) {
			end = last + 1
		}
		out = append(out, t.spanTrains(first, last, t.times[first], t.times[end])...)
		first = last + 1
	}
	return out
}

func (t *trace) spanTrains(first, last int, from, to time.Duration) []train {
	var out []train
	var units []int
	fastest := float32(0)
	for u, rate := range t.rates[first] {
		if rate > 0 {
			units = append(units, u)
			fastest = max(fastest, rate)
			out = append(out, train{Train: flash.Train{From: from, To: to, Rate: float64(rate), Source: u}, units: []int{u}, first: first, last: last})
		}
	}
	if len(units) > 1 {
		out = append(out, train{Train: flash.Train{From: from, To: to, Rate: float64(fastest), Source: -1}, units: units, first: first, last: last, joint: true})
	}
	return out
}

// lensFlashes finds the flashes of each unit by itself, on the scale of its own
// full output: changes of a tenth, as WCAG has them for relative luminance.
func (r *report) lensFlashes(t *trace) []lens {
	out := make([]lens, len(r.show.Rig.Units))
	parallel(len(out), func(u int) {
		from, to := r.show.Rig.UnitDrives(u)
		watts := make([]float64, to-from)
		whole := 0.0
		for d := from; d < to; d++ {
			drive := &r.show.Rig.Drives[d]
			cells := float64(r.show.Rig.Units[u].Type.CellCount())
			watts[d-from] = r.show.Rig.Emitter(d).Light.Watts * float64(len(drive.Cells)) / cells
			whole += watts[d-from]
		}
		output := make([]float32, len(t.times))
		if whole > 0 {
			for v := range t.times {
				sum := 0.0
				for d := from; d < to; d++ {
					sum += watts[d-from] * float64(t.levels[v][d])
				}
				output[v] = float32(sum / whole)
			}
		}
		out[u] = lens{flashes: flash.General(&relative, t.times, output), output: output}
	})
	return out
}

// relative is WCAG's rule on a scale of 0 to 1.
var relative = flash.Rule{Source: "WCAG 2.2 SC 2.3.1", Step: .1, Bright: .8, Most: 3}

// trainUnits returns the units of some trains, each once.
func trainUnits(trains []train) []int {
	var out []int
	for _, k := range trains {
		out = append(out, k.units...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
