package page

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/show"
)

// Ribbon is one system's light down the book: what its units give to be seen,
// or, when Dark, what its ultraviolet makes glow.
type Ribbon struct {
	Name  string `json:"name"`
	Dark  bool   `json:"dark"`
	Units []int  `json:"units"` // in Rig.Units
}

// mixture is a ribbon ready to be summed: per drive the colour that it adds
// and its share of the level.
type mixture struct {
	drives []int
	colour []light.XYZ
	amount []float64
	full   float64 // all drives at full: lm, or W of radiation when dark
}

// NoSystem names the ribbon of units that belong to no system.
const NoSystem = "no system"

// systemNames lists the rig's systems in the order in which its file first
// names them.
func systemNames(r *rig.Rig) []string {
	var names []string
	seen := map[string]bool{}
	loose := false
	for _, u := range r.Units {
		loose = loose || len(u.Systems) == 0
		for _, s := range u.Systems {
			if !seen[s] {
				seen[s] = true
				names = append(names, s)
			}
		}
	}
	switch {
	case loose && names == nil:
		names = []string{rig.All}
	case loose:
		names = append(names, NoSystem)
	}
	return names
}

// Systems lists the systems of the rig with their units, as ribbons name them.
func (b *Book) Systems() []Ribbon {
	var out []Ribbon
	for _, name := range systemNames(b.show.Rig) {
		out = append(out, Ribbon{Name: name, Units: unitsOf(b.show.Rig, name)})
	}
	return out
}

// unitsOf returns the units of a system, or those of none.
func unitsOf(r *rig.Rig, system string) []int {
	if system != NoSystem {
		return r.System(system)
	}
	var out []int
	for i, u := range r.Units {
		if len(u.Systems) == 0 {
			out = append(out, i)
		}
	}
	return out
}

// makeRibbons finds the ribbons: visible ones by system, then dark ones. What no look
// lights gets none, so that a rig of many-coloured units does not fill the page with
// black strips. A unit of two systems is in both ribbons.
func (b *Book) makeRibbons(glow []light.XYZ) {
	r := b.show.Rig
	b.contents.Ribbons = []Ribbon{}
	for _, dark := range []bool{false, true} {
		for _, name := range systemNames(r) {
			units := unitsOf(r, name)
			m := mix(r, units, dark, glow)
			if !b.used(&m) {
				continue
			}
			b.contents.Ribbons = append(b.contents.Ribbons, Ribbon{name, dark, units})
			b.ribbons = append(b.ribbons, m)
		}
	}
}

// ribbonsAt are the ribbons at t: black light has the colour of what glows of the things that are
// on stage then.
func (b *Book) ribbonsAt(t time.Duration) []mixture {
	absent := b.show.Absent(t)
	if absent == nil {
		return b.ribbons
	}
	key := make([]byte, len(absent))
	for i, away := range absent {
		if away {
			key[i] = 1
		}
	}
	b.staged.Lock()
	defer b.staged.Unlock()
	if known := b.staged.ribbons[string(key)]; known != nil {
		return known
	}
	out, glow := slices.Clone(b.ribbons), b.glowOf(absent)
	for i := range out {
		if r := &b.contents.Ribbons[i]; r.Dark {
			out[i] = mix(b.show.Rig, r.Units, true, glow)
		}
	}
	if b.staged.ribbons == nil {
		b.staged.ribbons = map[string][]mixture{}
	}
	b.staged.ribbons[string(key)] = out
	return out
}

// staged holds the ribbons by who is not on stage, as they are asked for.
type staged struct {
	sync.Mutex
	ribbons map[string][]mixture
}

// used tells whether some look gives the mixture light.
func (b *Book) used(m *mixture) bool {
	for i := range b.show.Looks {
		if _, level := m.at(&show.Frame{Levels: b.show.Looks[i].Levels}); level > 0 {
			return true
		}
	}
	return false
}

// mix puts the drives of some units together, those of black light or those of all
// else. A dark ribbon's colour is that of what glows, since the lamps themselves are
// not to be seen; where nothing glows in this room it is the lamp's own. Its amount is
// radiant power, as its lumens mean nothing.
func mix(r *rig.Rig, units []int, dark bool, glow []light.XYZ) mixture {
	var m mixture
	for _, u := range units {
		from, to := r.UnitDrives(u)
		for d := from; d < to; d++ {
			e := r.Emitter(d)
			if e.Light.BlackLight() != dark {
				continue
			}
			share := cellShare(r, d)
			colour, amount := e.Light.Colour.Times(share), e.Light.Colour.Y*share
			if dark {
				colour, amount = glow[d], e.Light.Watts*share
				if colour.Y == 0 {
					colour = e.Light.Colour.Times(share)
				}
			}
			m.drives = append(m.drives, d)
			m.colour = append(m.colour, colour)
			m.amount = append(m.amount, amount)
			m.full += amount
		}
	}
	return m
}

// cellShare is the part of its emitter's light that a drive commands: all
// cells give alike.
func cellShare(r *rig.Rig, d int) float64 {
	drive := r.Drives[d]
	if len(drive.Cells) == 0 {
		return 1
	}
	return float64(len(drive.Cells)) / float64(r.Units[drive.Unit].Type.CellCount())
}

// sum is the colour of all the mixture's light in a frame.
func (m *mixture) sum(f *show.Frame) light.XYZ {
	var c light.XYZ
	for i, d := range m.drives {
		c = c.Plus(m.colour[i], float64(f.Levels[d]))
	}
	return c
}

// at shows the mixture in a frame: the hue at full brightness, and the level
// as CIE 1976 lightness of the share of the system's full light.
//
// Colour and level are apart so that a dim ribbon still shows its hue: the page draws
// the hue and lets the level decide how wide. A level above 0 is at least 1 of 255,
// lest light that is there vanish.
func (m *mixture) at(f *show.Frame) (light.RGB, uint8) {
	c, amount := m.sum(f), 0.0
	for i, d := range m.drives {
		amount += float64(f.Levels[d]) * m.amount[i]
	}
	if amount <= 0 || m.full <= 0 {
		return light.RGB{}, 0
	}
	level := light.Lightness(min(1, amount/m.full)) / 100
	return c.Vivid(), uint8(max(1, math.Round(level*255)))
}

// mostSteps bounds one answer of Light: 20 minutes at 50 ms.
const mostSteps = 24000

// Light returns the ribbons at from, from+step, … before to: four bytes for each step
// and ribbon, steps outermost. The last step may begin less than a step before to.
// Light without slots is asked for, which is cheap.
func (b *Book) Light(from, to, step time.Duration) ([]byte, error) {
	if step < time.Millisecond || from < 0 || to < from {
		return nil, errors.New("light: want 0 <= from <= to, and a step of 1 ms or more")
	}
	n := int((to - from + step - 1) / step)
	if n > mostSteps {
		return nil, fmt.Errorf("light: %d steps in one answer, want at most %d", n, mostSteps)
	}
	out := make([]byte, 0, 4*n*len(b.ribbons))
	frame := b.show.NewFrame()
	for i := range n {
		t := from + time.Duration(i)*step
		b.show.Light(frame, t)
		ribbons := b.ribbonsAt(t)
		for r := range ribbons {
			c, level := ribbons[r].at(frame)
			out = append(out, c.R, c.G, c.B, level)
		}
	}
	return out, nil
}
