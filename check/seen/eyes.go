// Package seen knows flashes of light over time as eyes in a room see them: make [Eyes]
// of a room that is solved, give them [Light], and ask the [Scene] for its worst second.
// Package check/flash counts; this one knows the room.
//
// The model: surfaces are cut into pieces whose luminance is linear in the
// drives; each piece's flashes are found once, since a matt piece looks the same
// from everywhere. An eye may turn anywhere: for each field of 10° the areas of
// pieces and lenses that flash together are added, and the worst second is told.
// Units that flash by themselves are taken in the worst phase. Apart from all
// eyes, the flashes of all units together are counted.
//
// Lenses count straight and as images in glossy surfaces ([room.Transport.Images]): as large as the lens
// is at the end of the whole way of its light, and as bright as that by the share that Fresnel's equations
// give. The model is a flat, clean mirror and one mirroring. Its error: an image goes by the middle of a cell,
// so that one at the rim of a mirror counts whole or not at all; waves and brushes draw an image out, which
// here stays small and bright; and the second image, in two mirrors, is missing, which is a hundredth of
// the light for varnish and water, and six tenths of it for foil.
//
// It does not see: stripes and other patterns, haze, gauze, what shiny surfaces mirror of other surfaces
// (varnish adds 4 % to 10 % of what these change by, foil four fifths), people who stand in the way, phones and
// projections.
package seen

import (
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/room"
)

// Eyes are all that look at a room, and what each drive gives them to see. Nothing in
// them depends on time, so they serve any light, and several goroutines at once.
type Eyes struct {
	transport *room.Transport
	rig       *rig.Rig
	blocks    []piece // all surfaces that some eye sees and that could flash, with nothing found of them
}

// New makes the eyes of a room that is solved for a rig.
func New(tr *room.Transport, rg *rig.Rig) *Eyes {
	e := &Eyes{transport: tr, rig: rg}
	var patches []int
	for p := range tr.Places {
		if tr.Places[p].Panel >= 0 && tr.Places[p].Area > 0 && seenBySome(tr, p) {
			patches = append(patches, p)
		}
	}
	rows := make([][]light.XYZ, len(tr.Places)) // by place: for each drive at full, the upper end of its output
	each(len(patches), func(i int) {
		row := tr.ColourRow(patches[i])
		for d := range row {
			row[d] = row[d].Times(tr.Spread[d].High)
		}
		rows[patches[i]] = row
	})
	patches = slices.DeleteFunc(patches, func(p int) bool {
		sum := 0.0
		for _, c := range rows[p] {
			sum += c.Y
		}
		return sum < leastSeen
	})
	e.blocks = merge(tr, patches, rows)
	return e
}

// each runs f for 0 to n-1 on all cores and waits for it. What f writes must lie apart
// by i, as nothing is locked.
func each(n int, f func(i int)) {
	var wait sync.WaitGroup
	var next atomic.Int64
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(i)
			}
		})
	}
	wait.Wait()
}
