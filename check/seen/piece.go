package seen

import (
	"math"
	"slices"

	"lampblack/check/flash"
	"lampblack/light"
	"lampblack/room"
)

// piece is a patch, or a few neighbouring ones. Neighbours that are merged are
// merged for good: find and all that follows see one piece.
type piece struct {
	places  []int
	at      [3]float64
	row     []light.XYZ // for each drive at full, the upper end of its output
	general []flash.Flash
	wcag    []flash.Flash
	red     []flash.Flash
	blinks  []blink // by kind of train
	pattern [3]int  // by kind of flash: index in Scene.patterns, or -1
	set     [3]int  // by kind of flash: index in Scene.sets
}

// blink says that the piece flashes when one train does.
type blink struct{ general, red bool }

// Least luminance at which a piece is looked at: red flashes below it do not
// pass the veil of package flash, general ones need 20 cd/m2.
const leastSeen = 3.0

// mostPieces bounds the pieces; beyond it neighbouring patches are merged.
const mostPieces = 1200

// pieces lists the blocks that are ever bright enough. Bright enough is at the highest
// level of each drive at once, an upper bound, so nothing that could flash is left out.
// Blocks are the same for any light, so that who counts while light goes out sees what
// they see who count when it is over.
func (e *Eyes) pieces(top []float32) []piece {
	var out []piece
	for i := range e.blocks {
		b := &e.blocks[i]
		sum := 0.0
		for d := range b.row {
			sum += b.row[d].Y * float64(top[d])
		}
		if sum >= leastSeen {
			out = append(out, *b)
		}
	}
	return out
}

// seenBySome tells whether any eye sees a place. Solid is by eye, then place; an eye
// may have fewer places than there are.
func seenBySome(tr *room.Transport, place int) bool {
	for i := range tr.Solid {
		if place < len(tr.Solid[i]) && tr.Solid[i][place] > 0 {
			return true
		}
	}
	return false
}

// merge joins blocks of neighbouring patches until there are few enough. side is the
// edge of a block in patches: 1 while there are at most mostPieces. Rows are averaged
// by area, as luminance adds up so. Merging blurs: where a small bright patch alone
// would flash, its block may not; at 1200 pieces a block is still small beside a
// quarter of the field.
func merge(tr *room.Transport, places []int, rows [][]light.XYZ) []piece {
	side := int(math.Ceil(math.Sqrt(float64(len(places)) / mostPieces)))
	type block struct{ panel, col, row int }
	index := map[block]int{}
	var out []piece
	for _, p := range places {
		panel := tr.Places[p].Panel
		k := p - tr.Panels[panel].First
		b := block{panel, k % tr.Panels[panel].Cols / max(side, 1), k / tr.Panels[panel].Cols / max(side, 1)}
		i, ok := index[b]
		if !ok {
			i = len(out)
			index[b] = i
			out = append(out, piece{row: make([]light.XYZ, len(rows[p]))})
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

// find counts what the piece does over the show. Red is looked for only where it can be
// at all: colours cost three sums at each corner instead of one.
func (p *piece) find(l *Light, s *Scene) {
	active := activeDrives(p.row)
	luminance := make([]float32, len(l.Times))
	for v, levels := range l.Levels {
		luminance[v] = p.luminance(active, levels)
	}
	p.general = flash.General(&flash.BT, l.Times, luminance)
	p.wcag = flash.General(&flash.WCAG, l.Times, luminance)
	if p.mayRedden(active) {
		colours := make([]flash.Colour, len(l.Times))
		for v := range l.Times {
			colours[v] = p.colour(active, l.Levels[v])
		}
		p.red = flash.RedFlashes(&flash.Red, l.Times, colours)
	}
	p.findBlinks(active, l, s)
}

// findBlinks asks what each kind of train does to the piece.
func (p *piece) findBlinks(active []int, l *Light, s *Scene) {
	p.blinks = make([]blink, len(s.kinds))
	for k, train := range s.kinds {
		p.blinks[k] = p.blink(active, l, &s.trains[train])
	}
}

// activeDrives leaves out drives that give the piece next to nothing at full (1e-4
// cd/m² over the three values).
func activeDrives(row []light.XYZ) []int {
	var out []int
	for d := range row {
		if row[d].X+row[d].Y+row[d].Z > 1e-4 {
			out = append(out, d)
		}
	}
	return out
}

func (p *piece) colour(active []int, levels []float32) flash.Colour {
	var x, y, z float64
	for _, d := range active {
		level := float64(levels[d])
		if level == 0 {
			continue
		}
		c := &p.row[d]
		x += level * c.X
		y += level * c.Y
		z += level * c.Z
	}
	return flash.Colour{X: float32(x), Y: float32(y), Z: float32(z)}
}

func (p *piece) luminance(active []int, levels []float32) float32 {
	y := 0.0
	for _, d := range active {
		y += float64(levels[d]) * p.row[d].Y
	}
	return float32(y)
}

// mayRedden tells whether any drive alone makes a saturated red; a mix is never redder
// than its reddest part. Mixing adds tristimulus values, and R/(R+G+B) of a sum lies
// between those of its parts. The veil is left out, as it lies over the mix once and
// not over each part.
func (p *piece) mayRedden(active []int) bool {
	bare := flash.Red
	bare.Veil = 0
	return slices.ContainsFunc(active, func(d int) bool {
		c := p.row[d]
		return bare.Saturated(flash.Colour{X: float32(c.X), Y: float32(c.Y), Z: float32(c.Z)})
	})
}

// blink tells whether the piece flashes when the train's units go out and come back, at
// a few instants of the train. Five instants of the span are asked, at its first and
// last corner and between: while the light of the others fades, the same lamp may flash
// or be drowned. One that flashes at any of them flashes for the whole span, which is
// the cautious side.
func (p *piece) blink(active []int, l *Light, k *train) (b blink) {
	own := k.own(active)
	if len(own) == 0 {
		return b
	}
	step := max((k.last-k.first)/4, 1)
	for v := k.first; v <= k.last; v += step {
		with, part := p.colour(active, l.Levels[v]), p.colour(own, l.Levels[v])
		without := flash.Colour{X: max(0, with.X-part.X), Y: max(0, with.Y-part.Y), Z: max(0, with.Z-part.Z)}
		b.general = b.general || flash.BT.Counts(float64(without.Y), float64(with.Y))
		b.red = b.red || flash.Red.Reddens(without, with)
	}
	return b
}
