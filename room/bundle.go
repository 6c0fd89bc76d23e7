package room

import (
	"slices"

	"lampblack/light"
	"lampblack/si"
)

// bundle is what leaves the same cells of a unit by the same beam: all drives that do, as the
// colours of one lamp, send their light the same ways, and only walls tell them apart. Its
// direct light is one number per place, its light in all one per place and band, of columns that
// lie side by side:
//
//	column of a band = first + band - from
type bundle struct {
	unit, beam  int
	cells       []int
	from, until int // bands that any of its lights has
	first       int // column
}

// gatherBundles lists the bundles of the rig's drives, and the columns of both.
func (s *solving) gatherBundles() {
	t := s.t
	for d := range s.rig.Drives {
		drive := &s.rig.Drives[d]
		l := &s.sources.lamps[drive.Unit]
		b := bundle{unit: drive.Unit, from: t.bandsOf(d).from, until: t.bandsOf(d).until()}
		if len(l.cells) > 0 {
			b.beam, b.cells = l.beamOf[drive.Emitter], drive.Cells
		}
		t.bundle = append(t.bundle, t.join(b))
	}
	for i := range t.bundles {
		b := &t.bundles[i]
		b.first = len(t.columns)
		for band := b.from; band < b.until; band++ {
			t.columns = append(t.columns, column{i, band})
		}
	}
	for d, i := range t.bundle {
		t.column = append(t.column, t.bundles[i].first+t.bandsOf(d).from-t.bundles[i].from)
	}
}

// join returns the index of a bundle that is of the same cells, widened to hold the bands of b.
func (t *Transport) join(b bundle) int {
	for i := len(t.bundles) - 1; i >= 0 && t.bundles[i].unit == b.unit; i-- {
		c := &t.bundles[i]
		if c.beam == b.beam && slices.Equal(c.cells, b.cells) {
			c.from, c.until = min(c.from, b.from), max(c.until, b.until)
			return i
		}
	}
	t.bundles = append(t.bundles, b)
	return len(t.bundles) - 1
}

// column is a bundle in one band.
type column struct{ bundle, band int }

// until is one past the last of a light's bands.
func (b *banded) until() int { return b.from + len(b.part) }

// bandsOf are the bands of a drive's light.
func (t *Transport) bandsOf(drive int) *banded { return &t.Lights[t.Light[drive]].bands }

// toBundles adds up the cells of each bundle, as shares of one watt of the whole unit, of which
// each of its cells has an even part.
func (s *solving) toBundles(dst []float32, columns []float64) {
	for i := range s.t.bundles {
		b := &s.t.bundles[i]
		l := &s.sources.lamps[b.unit]
		sum := 0.0
		for _, c := range b.cells {
			sum += columns[s.sources.first[b.unit]+c*len(l.beams)+b.beam]
		}
		if sum > 0 {
			dst[i] = float32(sum / float64(len(l.cells)))
		}
	}
}

// widen copies what is alike in all bands to the columns.
func (t *Transport) widen(dst, bundles []float32) {
	for c := range t.columns {
		dst[c] = bundles[t.columns[c].bundle]
	}
}

// carried adds up a drive's columns of a row, each times the weight of its band in the drive's
// light, for the drive at full.
func (t *Transport) carried(d int, row []float32, weights []float64) float64 {
	sum := 0.0
	for i, v := range row[t.column[d] : t.column[d]+len(weights)] {
		sum += weights[i] * float64(v)
	}
	return sum * t.watts[d]
}

// Straight is the irradiance of one drive at full at a place, straight from the lamp.
func (t *Transport) Straight(place, drive int) si.Irradiance {
	return si.Irradiance(t.watts[drive] * float64(t.direct[place][t.bundle[drive]]))
}

// Arrives is the light of one drive at full at a place, in W/m²/nm: straight from the lamp, and with all
// that surfaces reflect. Neither holds glow.
func (t *Transport) Arrives(place, drive int) (direct, total light.Spectrum) {
	direct = t.Lights[t.Light[drive]].Spectrum
	direct.Scale(t.watts[drive] * float64(t.direct[place][t.bundle[drive]]))
	b := t.bandsOf(drive)
	for i := range b.part {
		total.Add(&b.part[i], t.watts[drive]*float64(t.total[place][t.column[drive]+i]))
	}
	return direct, total
}

// Bands is into how many bands light is cut.
func (t *Transport) Bands() int { return len(t.nodes.at) }
