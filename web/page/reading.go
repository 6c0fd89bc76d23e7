package page

import (
	"time"

	"lampblack/room"
)

// Reading is the light on a surface or an object, as the mean over it, or at an eye.
type Reading struct {
	Name      string  `json:"name"`
	Kind      string  `json:"kind"`
	Lux       float64 `json:"lux"`
	Luminance float64 `json:"luminance"` // cd/m²; 0 at an eye
	Glow      float64 `json:"glow"`      // of that by fluorescence, cd/m²; 0 at an eye
	UV        float64 `json:"uv"`        // UV-A, W/m²
}

// Readings are those at t: surfaces and objects that are there, in the order of the room's shape,
// then seats and performers. A thing of several panels has one, over their fronts.
func (b *Book) Readings(t time.Duration) []Reading {
	out := []Reading{}
	tr := b.show.Seen(t)
	if tr == nil {
		return out
	}
	levels, absent := levelsAt(b.show, t), b.show.Absent(t)
	at, areas := map[string]int{}, []float64{}
	for k := range tr.Panels {
		p := &tr.Panels[k]
		if p.Back || p.Kind != room.KindSurface && p.Kind != room.KindObject || absent != nil && absent[k] {
			continue
		}
		for i := p.First; i < p.First+p.Cols*p.Rows; i++ {
			area := tr.Places[i].Area
			if area == 0 {
				continue // its outline does not fill it
			}
			n, ok := at[p.Name]
			if !ok {
				n = len(out)
				at[p.Name], out, areas = n, append(out, Reading{Name: p.Name, Kind: string(p.Kind)}), append(areas, 0)
			}
			r := &out[n]
			r.Lux += area * tr.Reading(i, room.Photopic, levels)
			r.UV += area * tr.Reading(i, room.UVA, levels)
			r.Luminance += area * tr.Luminance(i, levels).Y
			r.Glow += area * tr.GlowOnly(i, levels).Y
			areas[n] += area
		}
	}
	for n, area := range areas {
		r := &out[n]
		r.Lux, r.UV, r.Luminance, r.Glow = finite(r.Lux/area), finite(r.UV/area), finite(r.Luminance/area), finite(r.Glow/area)
	}
	for i := range tr.Places {
		if p := &tr.Places[i]; p.Panel < 0 && (p.Kind == room.KindSeat || p.Kind == room.KindPerson) {
			out = append(out, Reading{Name: p.Name, Kind: string(p.Kind), Lux: finite(tr.Reading(i, room.Photopic, levels)), UV: finite(tr.Reading(i, room.UVA, levels))})
		}
	}
	return out
}
