package desk

import (
	"math"
	"slices"
	"strings"
)

// block is units of one type and mode that share an address of the desk.
type block struct {
	units  []*unitDecoder
	leader *unitDecoder // whose values all of them get
}

// class is the units of one type and mode, with the best way to serve them by
// any number of addresses.
type class struct {
	units  []*unitDecoder
	choice []choice // by number of addresses, from none
}

// wholeUnits serves whole units: each keeps the order of its slots, and units of
// one type and mode may share an address and then do the same. A desk with a
// fixed patch needs the units addressed anew, unless it reaches all of them as
// they are; another is patched so. How many addresses each type gets is a
// knapsack problem, solved by dynamic programming over the slots.
//
// best[room] is the least harm of the classes so far in at most so many slots;
// took[i][room] how many addresses class i then gets, each of its footprint. The table
// is walked back from the last class.
func (s *sharing) wholeUnits() error {
	if s.within() {
		return nil
	}
	classes := s.classes()
	slots := min(s.Desk.Slots, 513-s.first()) // a line ends at slot 512 (ANSI E1.11)
	best := make([]float64, slots+1)
	took := make([][]int, len(classes))
	for i, c := range classes {
		next := make([]float64, slots+1)
		took[i] = make([]int, slots+1)
		size := c.units[0].footprint
		for room := range next {
			next[room] = math.Inf(1)
			for n := 0; n < len(c.choice) && n*size <= room; n++ {
				if v := best[room-n*size] + c.choice[n].total; v < next[room] {
					next[room], took[i][room] = v, n
				}
			}
		}
		best = next
	}
	if math.IsInf(best[slots], 1) {
		return s.tooFew()
	}
	var blocks []block
	room := slots
	for i := len(classes) - 1; i >= 0; i-- {
		n := took[i][room]
		room -= n * classes[i].units[0].footprint
		blocks = append(classes[i].blocks(n), blocks...)
	}
	s.lay(blocks)
	return nil
}

// first is the address from 1 of the desk's first slot, on a line that the desk
// feeds straight; a desk with a patch is taken to reach all addresses.
func (s *sharing) first() int {
	if s.Desk.Patch == PatchAny {
		return 1
	}
	return max(s.Desk.First, 1)
}

// within keeps the addresses as they are when the desk reaches all of them. It is asked
// first since nothing is lost then: no unit is moved, and no slot shared.
func (s *sharing) within() bool {
	first := s.first() - 1
	for i := range s.units {
		u := &s.units[i]
		if u.address < first || u.address+u.footprint > first+s.Desk.Slots {
			return false
		}
	}
	for n := range s.Desk.Slots {
		s.Slots = append(s.Slots, Slot{Number: n + 1})
		if text := s.describe(first + n + 1); text != "nothing" {
			s.Slots[n].Addresses, s.Slots[n].Feeds = []int{first + n + 1}, text
		}
	}
	for i := range s.Scenes {
		s.Scenes[i].Values = make([]byte, s.Desk.Slots)
		copy(s.Scenes[i].Values, s.pages[i][first:])
	}
	return true
}

// classes groups units of one type and mode in the order of the rig; only those can do
// the same with the same slots.
func (s *sharing) classes() []class {
	var out []class
	for i := range s.units {
		u := &s.units[i]
		unit := &s.rig.Units[u.unit]
		at := slices.IndexFunc(out, func(c class) bool {
			first := &s.rig.Units[c.units[0].unit]
			return first.Type == unit.Type && first.Mode == unit.Mode
		})
		if at < 0 {
			at = len(out)
			out = append(out, class{})
		}
		out[at].units = append(out[at].units, u)
	}
	for i := range out {
		s.options(&out[i])
	}
	return out
}

// options solves a class for every number of addresses. The last candidate is to leave
// a unit without address, dark. Candidates are the units themselves, each as the one
// whose values the others of its group get: a p-median. The cost of its own values is
// 0. For most classes it is small, so it is solved for every number of addresses at
// once.
func (s *sharing) options(c *class) {
	n := len(c.units)
	free := make([]bool, n+1)
	free[n] = true
	var cost [][]float64
	for _, u := range c.units {
		row := make([]float64, n+1)
		for j, leader := range c.units {
			if leader != u {
				row[j] = s.harm(u, func(scene int) []byte { return s.pages[scene][leader.address:] })
			}
		}
		row[n] = s.unserved(u)
		cost = append(cost, row)
	}
	for k := range n + 1 {
		c.choice = append(c.choice, (&median{cost: cost, k: k, free: free}).solve())
	}
}

// unserved is the harm when a unit is left out: where it can be reached by no
// slot it is switched off; where the desk has a patch, its slots stay at zero.
func (s *sharing) unserved(u *unitDecoder) float64 {
	if s.Desk.Patch == PatchAny {
		zeros := make([]byte, u.footprint)
		return s.harm(u, func(int) []byte { return zeros })
	}
	total := 0.0
	for i := range s.Scenes {
		levels := slices.Clone(s.Scenes[i].levels)
		clear(levels[u.first:u.last])
		mean, _ := s.eye.difference(s.wanted[i], s.eye.see(levels))
		total += mean * s.weights[i]
	}
	return total
}

// blocks are the groups that n addresses make; units served by the last candidate are
// in none, and dark.
func (c *class) blocks(n int) []block {
	pick := c.choice[n]
	var out []block
	for _, j := range pick.chosen {
		if j == len(c.units) {
			continue
		}
		b := block{leader: c.units[j]}
		for i, of := range pick.of {
			if of == j {
				b.units = append(b.units, c.units[i])
			}
		}
		if len(b.units) > 0 {
			out = append(out, b)
		}
	}
	return out
}

// lay gives the blocks their slots, one after another, and with a fixed patch their
// units the addresses there. Units without a block are switched off. A fixed patch
// takes all units away from where they stood first, so that one without a block is at
// no address.
func (s *sharing) lay(blocks []block) {
	fixed := s.Desk.Patch != PatchAny
	for i := range s.units {
		if fixed {
			s.stand[s.units[i].unit] = 0
		}
	}
	at := 0
	for i := range s.Scenes {
		s.Scenes[i].Values = make([]byte, s.Desk.Slots)
	}
	for _, b := range blocks {
		names := s.names(b.units)
		for _, u := range b.units {
			if to := s.first() + at; fixed {
				s.stand[u.unit] = to
				if to != u.address+1 {
					s.Readdressed = append(s.Readdressed, Readdress{s.rig.Units[u.unit].Name.Name, u.address + 1, to})
				}
			}
		}
		for n := range b.leader.footprint {
			slot := Slot{Number: at + 1, Feeds: names + " " + s.leaderSlot(b.leader, n)}
			if fixed {
				slot.Addresses = []int{s.first() + at}
			} else {
				for _, u := range b.units {
					slot.Addresses = append(slot.Addresses, u.address+n+1)
				}
			}
			s.Slots = append(s.Slots, slot)
			for i := range s.Scenes {
				s.Scenes[i].Values[at] = s.pages[i][b.leader.address+n]
			}
			at++
		}
	}
	for ; at < s.Desk.Slots; at++ {
		s.Slots = append(s.Slots, Slot{Number: at + 1})
	}
}

func (s *sharing) names(units []*unitDecoder) string {
	var out []string
	for _, u := range units {
		out = append(out, s.rig.Units[u.unit].Name.Name)
	}
	return strings.Join(out, ", ")
}

func (s *sharing) leaderSlot(u *unitDecoder, n int) string {
	text := s.describe(u.address + n + 1)
	return strings.TrimPrefix(text, s.rig.Units[u.unit].Name.Name+" ")
}

// Readdress is a unit that gets another address for this desk.
type Readdress struct {
	Unit     string
	From, To int
}
