package page

import (
	"fmt"

	"lampblack/show"
)

// Lamp is how a unit shines: what a hand finds there before it sets it.
type Lamp struct {
	Unit   string  `json:"unit"`
	Colour string  `json:"colour"` // as a screen shows it, as bright as that can; "" in darkness
	Level  float64 `json:"level"`  // of the strongest of its emitters that are seen
	Dark   float64 `json:"dark"`   // of its black light
	Seen   bool    `json:"seen"`   // it has light to be seen
	Black  bool    `json:"black"`  // it has black light
}

// Lamps tells how the units shine at levels, by drive.
func (b *Book) Lamps(levels []float32) []Lamp {
	r := b.show.Rig
	out := make([]Lamp, len(r.Units))
	for u := range r.Units {
		l := &out[u]
		l.Unit = r.Units[u].Name.Name
		from, to := r.UnitDrives(u)
		for d := from; d < to; d++ {
			v := 0.0
			if d < len(levels) {
				v = float64(levels[d])
			}
			if r.Emitter(d).Light.BlackLight() {
				l.Black, l.Dark = true, max(l.Dark, v)
			} else {
				l.Seen, l.Level = true, max(l.Level, v)
			}
		}
		if l.Level > 0 && len(levels) == len(r.Drives) {
			m := mix(r, []int{u}, false, nil)
			c, _ := m.at(&show.Frame{Levels: levels})
			l.Colour = fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B)
		}
	}
	return out
}
