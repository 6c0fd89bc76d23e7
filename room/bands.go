package room

import (
	"slices"

	"lampblack/light"
)

// Walls change the colour of light, and by how much depends on the wavelength alone. So light is carried
// through the room at a few wavelengths, the nodes, and what lies between two of them goes in
// straight lines between what they do:
//
//	what arrives(λ) = S(λ) · Σ φb(λ) · T(b),   φb 1 at node b, 0 at all others, straight between
//
// T(b) is the transport with the reflectances at node b, S the spectrum of the emitter, and S·φb its
// band b. Where the room is grey one node does; every colour in it asks for nodes where its
// reflectance bends or is steep.

// banded is a light cut into its bands.
type banded struct {
	from   int               // its first band
	part   []light.Spectrum  // S·φ, by band from there
	weight [senses][]float64 // what a sense takes of each
}

// faint is the share of what any sense takes of a light below which a band at the end of its
// spectrum is joined to the next.
const faint = 5e-3

// bandsOf cuts a spectrum at the nodes that it needs.
func bandsOf(s *light.Spectrum, nodes []int) banded {
	from, to := 0, len(nodes)
	all := cutAt(s, nodes)
	whole := sensed(s)
	weak := func(b int) bool {
		w := sensed(&all[b])
		for i := range w {
			if w[i] > faint*whole[i] {
				return false
			}
		}
		return true
	}
	for to-from > 1 && weak(from) {
		from++
	}
	for to-from > 1 && weak(to-1) {
		to--
	}
	out := banded{from: from, part: cutAt(s, nodes[from:to])}
	out.weight = weighed(out.part)
	return out
}

// weighed is what each sense takes of spectra.
func weighed(of []light.Spectrum) (out [senses][]float64) {
	for i := range of {
		for k, w := range sensed(&of[i]) {
			out[k] = append(out[k], w)
		}
	}
	return out
}

// sensed is what all senses take of a spectrum.
func sensed(s *light.Spectrum) (out [senses]float64) {
	for i := range senses {
		out[i] = i.Of(s)
	}
	return out
}

// cutAt is S·φ for every node; outside all nodes the nearest has it all.
func cutAt(s *light.Spectrum, nodes []int) []light.Spectrum {
	out := make([]light.Spectrum, len(nodes))
	for i, v := range s {
		b, share := between(nodes, i)
		out[b][i] += v * (1 - share)
		if share > 0 {
			out[b+1][i] += v * share
		}
	}
	return out
}

// between is the node at or before an index of the grid, and how far on the way to the next it lies.
func between(nodes []int, i int) (b int, share float64) {
	after, _ := slices.BinarySearch(nodes, i+1)
	switch {
	case after == 0:
		return 0, 0
	case after == len(nodes):
		return after - 1, 0
	}
	a, z := nodes[after-1], nodes[after]
	return after - 1, float64(i-a) / float64(z-a)
}

// How nodes are chosen: until no colour that any light takes on a finish is off by more than a share,
// in steps of the grid, and up to a number.
const (
	offColour = .015
	mostBands = 28
	bin       = 5 // nm
	bins      = light.N / bin
)

// evenNodes are so many nodes from end to end of the grid.
func evenNodes(n int) []int {
	n = min(n, light.N)
	out := make([]int, n)
	for i := range out {
		out[i] = (2*i + 1) * light.N / (2 * n)
	}
	return out
}

// colouring is the choice of nodes. A patch that sees only one finish gets, of light once there
// that has gone round the room, about
//
//	h(λ) = ρ(λ) / (1 - ρm(λ)),  ρm the mean reflectance of the room by areas,
//
// and one that sees only what this lights of the same finish h·ρ; the nodes are those between
// which straight lines keep both, by what eyes and meters take of each light.
type colouring struct {
	h     [][bins]float64 // of each finish, seen once and twice
	mean  [bins]float64   // of the room
	taken [][bins]float64 // by light and kind of receiver: how much it takes in each bin
	floor []float64       // by the same: what of it is next to nothing
}

// nodesFor chooses nodes for lights of one watt, and finishes with their areas.
func nodesFor(lights []light.Spectrum, finishes []finish, areas []float64) []int {
	var c colouring
	c.reflections(finishes, areas)
	for i := range lights {
		c.take(&lights[i])
	}
	nodes := []int{c.middle()}
	for len(nodes) < mostBands {
		off, at := c.worst(nodes)
		if off <= offColour || slices.Contains(nodes, at) {
			break
		}
		nodes = append(nodes, at)
		slices.Sort(nodes)
	}
	return c.spared(nodes)
}

// spared leaves out nodes that nothing is lost without, those that were chosen when there were fewer.
func (c *colouring) spared(nodes []int) []int {
	before, _ := c.worst(nodes)
	for i := 0; i < len(nodes) && len(nodes) > 1; i++ {
		fewer := slices.Delete(slices.Clone(nodes), i, i+1)
		if off, _ := c.worst(fewer); off <= max(offColour, before) {
			nodes = fewer
			i--
		}
	}
	return nodes
}

// reflections fills in h.
func (c *colouring) reflections(finishes []finish, areas []float64) {
	total := sum(areas)
	binned := make([][bins]float64, len(finishes))
	for f := range finishes {
		for b := range bins {
			for i := range bin {
				binned[f][b] += finishes[f].reflectance[b*bin+i] / bin
			}
			if total > 0 {
				c.mean[b] += binned[f][b] * areas[f] / total
			}
		}
	}
	for f := range finishes {
		if areas[f] == 0 {
			continue
		}
		twice := binned[f]
		for b := range bins {
			binned[f][b] /= 1 - c.mean[b]
			twice[b] *= binned[f][b]
		}
		c.h = append(c.h, binned[f], twice)
	}
	for b := range bins {
		c.mean[b] /= 1 - c.mean[b]
	}
}

// take adds what the three colours of an eye, UV-A and a meter of all light take of a light.
func (c *colouring) take(s *light.Spectrum) {
	var kinds [5][bins]float64
	var totals [5]float64
	for b := range bins {
		var part light.Spectrum
		copy(part[b*bin:(b+1)*bin], s[b*bin:])
		x := part.XYZ()
		for k, v := range [5]float64{x.X / light.Km, x.Y / light.Km, x.Z / light.Km, float64(part.UVA()), float64(part.Power())} {
			kinds[k][b] = v
			totals[k] += v
		}
	}
	for k, v := range kinds {
		least := nothing * totals[k]
		if k < 3 { // a colour is nothing beside the other two
			least = nothing * (totals[0] + totals[1] + totals[2])
		}
		if totals[k] > 1e-6*totals[4] {
			c.taken, c.floor = append(c.taken, v), append(c.floor, least)
		}
	}
}

// nothing is the reflected share of a light that is next to nothing.
const nothing = .005

// middle is the middle of all that is taken, a point of the grid.
func (c *colouring) middle() int {
	total, moment := 0.0, 0.0
	for _, t := range c.taken {
		for b, v := range t {
			total, moment = total+v, moment+v*float64(b)
		}
	}
	if total == 0 {
		return light.N / 2
	}
	return int(moment/total)*bin + bin/2
}

// worst is by how much, as a share, straight lines between nodes are off for a light on a finish,
// and the point of the grid where they are most.
func (c *colouring) worst(nodes []int) (off float64, at int) {
	for _, h := range c.h {
		var wrong [bins]float64
		for b := range bins {
			k, share := between(nodes, b*bin+bin/2)
			straight := h[nodes[k]/bin]
			if share > 0 {
				straight += share * (h[nodes[k+1]/bin] - straight)
			}
			wrong[b] = max(h[b]-straight, straight-h[b])
		}
		for k := range c.taken {
			error, all, most, where := 0.0, c.floor[k], 0.0, 0
			for b, v := range c.taken[k] {
				e := v * wrong[b]
				error, all = error+e, all+v*max(h[b], c.mean[b])
				if e > most {
					most, where = e, b
				}
			}
			if error > off*all {
				off, at = error/all, where*bin+bin/2
			}
		}
	}
	return off, at
}
