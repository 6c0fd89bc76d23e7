package desk

import "math"

// Faders that are marked in per cent are set in whole ones: 101 values of the
// 256. A desk makes p per cent the slot value 2.55·p, and it is not known which
// way it rounds, so both neighbours must mean what the wanted value means: "78 %"
// of a shutter that may flash from 200 on and must never stand below is 198 or
// 199, and runs a program.

// ofPercent is the slot value of so many per cent, exactly.
func ofPercent(p float64) float64 { return 255 * p / 100 }

// settable returns the universe that faders in per cent can be set to, nearest to the
// one that is wanted. The fine half of a pair is rounded by itself: whatever its coarse
// half's per cent leaves over is lost either way.
func (d *decoder) settable(page []byte) []byte {
	out := append([]byte(nil), page...)
	for i := range d.units {
		u := &d.units[i]
		for j := range u.parts {
			p := &u.parts[j]
			at := u.address + p.Coarse - 1
			out[at] = p.nearest(page[at])
			if p.Fine > 0 {
				at = u.address + p.Fine - 1
				out[at] = byte(math.Round(ofPercent(math.Round(float64(page[at]) * 100 / 255))))
			}
		}
	}
	return out
}

// nearest returns the value of the whole per cent that is nearest to v and means
// the same by the slot's ranges, however it is rounded. Where there is none it is
// a value that means something else: what comes of that is then weighed as of any
// other value, and a unit that must not have it gets no slot.
func (p *slotDecoder) nearest(v byte) byte {
	wanted := p.At(int(v))
	var sure, unsure byte
	least, leastUnsure := math.Inf(1), math.Inf(1)
	for percent := range 101 {
		exact := ofPercent(float64(percent))
		low, high := math.Floor(exact), math.Ceil(exact)
		off := math.Abs(exact - float64(v))
		switch {
		case p.At(int(low)) != wanted:
			if off < leastUnsure {
				unsure, leastUnsure = byte(low), off
			}
		case p.At(int(high)) != wanted:
			if off < leastUnsure {
				unsure, leastUnsure = byte(high), off
			}
		case off < least:
			sure, least = byte(math.Round(exact)), off
		}
	}
	if math.IsInf(least, 1) {
		return unsure
	}
	return sure
}
