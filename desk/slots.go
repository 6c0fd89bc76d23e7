package desk

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lampblack/rig"
)

// Slot is one of a desk's slots: what it feeds.
type Slot struct {
	Number    int
	Addresses []int // of the universe, from 1; none when the slot is spare
	Feeds     string
}

// shareSlots fits the scenes' values into the slots that the desk has, and works out
// what the audience then sees. What is compared with is the scene as wanted; what the
// faders can be set to, in per cent, is already less.
func (p *Plan) shareSlots() error {
	sh := sharing{Plan: p, decoder: newDecoder(p.Show.Rig, p.Desk.universe())}
	p.stand = make([]int, len(p.Show.Rig.Units))
	for i := range sh.units {
		p.stand[sh.units[i].unit] = sh.units[i].address + 1
	}
	for i := range p.Scenes {
		page := p.Scenes[i].page[:]
		if p.Desk.Faders == ScalePercent {
			page = sh.settable(page)
		}
		sh.pages = append(sh.pages, page)
		sh.wanted = append(sh.wanted, p.eye.see(p.Scenes[i].levels))
	}
	sh.weigh()
	share := sh.sortPatch
	if p.way.whole {
		share = sh.wholeUnits
	}
	if err := share(); err != nil {
		return err
	}
	sh.switchOff()
	return sh.look()
}

// sharing is the work of fitting slots.
type sharing struct {
	*Plan
	*decoder
	pages   [][]byte  // by scene: the universe as wanted, and as the faders can be set
	weights []float64 // by scene: seconds on stage
	wanted  []sight   // by scene
}

// weigh gives each scene the time that its states stand. A step, or lights up, for
// which no state stands, weighs as one recall does, so that it is not shared away for
// nothing.
func (s *sharing) weigh() {
	s.weights = make([]float64, len(s.Scenes))
	for i := range s.need.states {
		s.weights[s.of[i]] += s.need.states[i].weight()
	}
	for i := range s.weights {
		s.weights[i] = max(s.weights[i], perAsk.Seconds())
	}
}

// harm is that of giving one unit other values than it should have, over all scenes:
// infinite when a value must not be. values gives the unit's slots in a scene. One unit
// is changed at a time, the others as they should be; sums over units are therefore an
// estimate, since differences do not just add up. look measures the whole afterwards.
func (s *sharing) harm(u *unitDecoder, values func(scene int) []byte) float64 {
	total := 0.0
	for i := range s.Scenes {
		levels := slices.Clone(s.Scenes[i].levels)
		if !u.light(levels, values(i), s.asked(u, i)) {
			return math.Inf(1)
		}
		if slices.Equal(levels, s.Scenes[i].levels) {
			continue
		}
		// Differences too small to see count too: many of them add up.
		mean, _ := s.eye.difference(s.wanted[i], s.eye.see(levels))
		total += mean * s.weights[i]
	}
	return total
}

// asked tells whether the show wants the unit to flash in a scene.
func (s *sharing) asked(u *unitDecoder, scene int) bool { return s.Scenes[scene].flash[u.unit] > 0 }

// column is one address that some unit listens to.
type column struct {
	address int // from 0
	unit    *unitDecoder
	values  string // by scene
}

func (s *sharing) columns() []column {
	var out []column
	for i := range s.units {
		u := &s.units[i]
		for n := range u.footprint {
			c := column{address: u.address + n, unit: u}
			var b strings.Builder
			for _, page := range s.pages {
				b.WriteByte(page[c.address])
			}
			c.values = b.String()
			out = append(out, c)
		}
	}
	return out
}

// sortPatch groups addresses so that each group shares a slot of the desk. An
// address that no slot is sent to stays at zero, which costs no slot.
//
// Clients are the addresses, candidates the distinct ways in which an address moves
// through the scenes; those that move alike share a slot at no cost. A candidate that
// would drive a unit where it must not be has infinite cost, and a total that is
// infinite means that the slots cannot do it at all.
func (s *sharing) sortPatch() error {
	columns := s.columns()
	var kinds []column // one for each way of moving through the scenes
	for _, c := range columns {
		if !slices.ContainsFunc(kinds, func(k column) bool { return k.values == c.values }) {
			kinds = append(kinds, c)
		}
	}
	zero := strings.Repeat("\x00", len(s.Scenes))
	m := median{k: s.Desk.Slots, free: make([]bool, len(kinds)+1)}
	m.free[len(kinds)] = true
	for _, c := range columns {
		row := make([]float64, len(kinds)+1)
		for j, k := range kinds {
			row[j] = s.replace(c, k.values)
		}
		row[len(kinds)] = s.replace(c, zero)
		m.cost = append(m.cost, row)
	}
	best := m.solve()
	if math.IsInf(best.total, 1) {
		return s.tooFew()
	}
	slot := map[int]int{}
	for i, j := range best.of {
		if j == len(kinds) {
			continue
		}
		if _, known := slot[j]; !known {
			slot[j] = len(s.Slots)
			s.Slots = append(s.Slots, Slot{Number: len(s.Slots) + 1})
		}
		to := &s.Slots[slot[j]]
		to.Addresses = append(to.Addresses, columns[i].address+1)
	}
	for i := range s.Scenes {
		values := make([]byte, s.Desk.Slots)
		for j, n := range slot {
			values[n] = s.pages[i][kinds[j].address]
		}
		s.Scenes[i].Values = values
	}
	s.name()
	return nil
}

func (s *sharing) tooFew() error {
	return fmt.Errorf("%d slots are too few: some units must have values held that keep them from flashing or running programs", s.Desk.Slots)
}

// replace is the harm when a column moves through the scenes as another does.
func (s *sharing) replace(c column, values string) float64 {
	if c.values == values {
		return 0
	}
	own := make([]byte, c.unit.footprint)
	return s.harm(c.unit, func(scene int) []byte {
		copy(own, s.pages[scene][c.unit.address:])
		own[c.address-c.unit.address] = values[scene]
		return own
	})
}

// name says in words what each slot feeds, and adds the spare slots.
func (s *sharing) name() {
	for i := range s.Slots {
		var names []string
		for _, a := range s.Slots[i].Addresses {
			names = append(names, s.describe(a))
		}
		s.Slots[i].Feeds = strings.Join(names, ", ")
	}
	for n := len(s.Slots); n < s.Desk.Slots; n++ {
		s.Slots = append(s.Slots, Slot{Number: n + 1})
	}
}

// describe names the unit and the slot that listen at an address from 1.
func (s *sharing) describe(address int) string {
	for i := range s.units {
		u := &s.units[i]
		n := address - u.address
		if n < 1 || n > u.footprint {
			continue
		}
		name := s.rig.Units[u.unit].Name.Name
		for j := range u.parts {
			if p := &u.parts[j]; p.Coarse == n || p.Fine == n {
				return name + " " + p.what(n)
			}
		}
		return fmt.Sprintf("%s slot %d", name, n)
	}
	return "nothing"
}

// shutter tells a slot that lets light through or not from one that only has to
// be held somewhere.
func (p *slotDecoder) shutter() bool {
	return slices.ContainsFunc(p.Ranges, func(r rig.Range) bool {
		return slices.Contains([]rig.Action{rig.Open, rig.Closed, rig.Flash, rig.FlashRandom}, r.Does)
	})
}

func (p *slotDecoder) what(n int) string {
	text := "dimmer"
	switch {
	case p.Drives != "":
		text = p.Drives
		if p.Cell > 0 {
			text = fmt.Sprintf("%s cell %d", text, p.Cell)
		}
	case len(p.Dims) == 0 && p.shutter():
		text = "shutter"
	case len(p.Dims) == 0:
		text = fmt.Sprintf("slot %d", p.Coarse)
	}
	if p.Fine == n {
		text += " fine"
	}
	return text
}
