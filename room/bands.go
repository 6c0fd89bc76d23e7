package room

import (
	"slices"

	"lampblack/light"
)

// Walls change the colour of light, and by how much depends on the wavelength alone. So light is carried
// through the room at a few wavelengths, the nodes, and what lies between two of them is mixed
// of what they do:
//
//	what arrives(λ) = S(λ) · Σ φb(λ) · T(b),   φb 1 at node b, 0 at all others; of the two beside λ the sum is 1
//
// T(b) is the transport with the reflectances at node b, S the spectrum of the emitter, and S·φb its
// band b. In how equal steps the mix goes from one node to the next is fitted to the finishes of the room: where all that is coloured rises
// late between two nodes, so does it. Where the room is grey one node does; every colour in it asks for nodes where its
// reflectance bends or is steep.

// nodes are the wavelengths that light is carried at, as points of the grid, and where among them each point lies:
// 2.25 is a quarter of the way from node 2 to node 3.
type nodes struct {
	at    []int
	among [light.N]float64
}

// between is the node at or before a point of the grid, and how far on the way to the next it lies.
func (n *nodes) between(i int) (b int, share float64) {
	b = min(int(n.among[i]), len(n.at)-1)
	return b, n.among[i] - float64(b)
}

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
func bandsOf(s *light.Spectrum, n *nodes) banded {
	from, to := 0, len(n.at)
	all := n.cut(s, from, to)
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
	out := banded{from: from, part: n.cut(s, from, to)}
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

// cut is S·φ for some of the nodes; outside them the nearest has it all.
func (n *nodes) cut(s *light.Spectrum, from, to int) []light.Spectrum {
	out := make([]light.Spectrum, to-from)
	for i, v := range s {
		b, share := n.between(i)
		switch {
		case b < from:
			b, share = from, 0
		case b >= to-1:
			b, share = to-1, 0
		}
		out[b-from][i] += v * (1 - share)
		if share > 0 {
			out[b-from+1][i] += v * share
		}
	}
	return out
}

// How nodes are chosen: until no colour that any light takes on a finish is off by more than a share,
// in steps of the grid, and up to a number.
const (
	offColour = .012
	mostBands = 28
	bin       = 5 // nm
	bins      = light.N / bin
)

// evenNodes are so many nodes from end to end of the grid.
func evenNodes(n int) *nodes {
	n = min(n, light.N)
	out := &nodes{}
	for i := range n {
		out.at = append(out.at, (2*i+1)*light.N/(2*n))
	}
	for b := range n - 1 {
		for i := out.at[b]; i < out.at[b+1]; i++ {
			out.among[i] = float64(b) + float64(i-out.at[b])/float64(out.at[b+1]-out.at[b])
		}
	}
	for i := out.at[n-1]; i < light.N; i++ {
		out.among[i] = float64(n - 1)
	}
	return out
}

// timesSeen is after how many reflections from one finish the nodes are still right.
const timesSeen = 3

// colouring is the choice of nodes. A patch that sees only one finish gets, of light once there
// that has gone round the room, about
//
//	h(λ) = ρ(λ) / (1 - ρm(λ)),  ρm the mean reflectance of the room by areas,
//
// one that sees only what this lights of the same finish h·ρ, and in a slot of one finish it goes on as h·ρ²; the
// nodes are those between which a mix keeps all three, by what eyes and meters take of each light.
type colouring struct {
	h     [][bins]float64 // of each finish, seen once, twice and three times
	mean  [bins]float64   // of the room
	taken [][bins]float64 // by light and kind of receiver: how much it takes in each bin
	floor []float64       // by the same: what of it is next to nothing
}

// nodesFor chooses nodes for lights of one watt, and finishes with their areas.
func nodesFor(lights []light.Spectrum, finishes []finish, areas []float64) *nodes {
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
	return c.spread(c.spared(nodes))
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
		h := c.mean
		for b := range bins {
			h[b] = 1 / (1 - h[b])
		}
		for range timesSeen {
			for b := range bins {
				h[b] *= binned[f][b]
			}
			c.h = append(c.h, h)
		}
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

// worst is by how much, as a share, a mix between nodes is off for a light on a finish,
// and the point of the grid where it is most.
func (c *colouring) worst(nodes []int) (off float64, at int) {
	among := c.among(nodes)
	for _, h := range c.h {
		var wrong [bins]float64
		for b := range bins {
			k := min(int(among[b]), len(nodes)-1)
			mixed := h[nodes[k]/bin]
			if share := among[b] - float64(k); share > 0 {
				mixed += share * (h[nodes[k+1]/bin] - mixed)
			}
			wrong[b] = max(h[b]-mixed, mixed-h[b])
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

// among is where each bin lies among nodes, which are middles of bins.
func (c *colouring) among(nodes []int) (out [bins]float64) {
	last := len(nodes) - 1
	for k := range last {
		a, z := nodes[k]/bin, nodes[k+1]/bin
		out[a] = float64(k)
		for b := a + 1; b < z; b++ {
			out[b] = float64(k) + c.share(a, b, z)
		}
	}
	for b := nodes[last] / bin; b < bins; b++ {
		out[b] = float64(last)
	}
	return out
}

// evenly is how much the straight line between two nodes counts beside the finishes, as a share of their squares.
const evenly = .01

// share is how much of node z and how little of a a mix has at b: that of the least squares of what it is off
// for all that the room reflects, each against its own size.
func (c *colouring) share(a, b, z int) float64 {
	rise, over := evenly*float64(b-a)/float64(z-a), evenly
	for i := range c.h {
		h := &c.h[i]
		size := h[a] + h[b] + h[z]
		if size <= 0 {
			continue
		}
		whole := (h[z] - h[a]) / size
		rise += (h[b] - h[a]) / size * whole
		over += whole * whole
	}
	return min(max(rise/over, 0), 1)
}

// spread makes nodes of the middles of bins: from middle to middle all goes in straight lines.
func (c *colouring) spread(at []int) *nodes {
	out := &nodes{at: at}
	bins := c.among(at)
	for i := range out.among {
		k, step := (i-bin/2)/bin, (i-bin/2)%bin
		switch {
		case i < bin/2:
			out.among[i] = bins[0]
		case k+1 >= len(bins):
			out.among[i] = bins[len(bins)-1]
		default:
			out.among[i] = bins[k] + float64(step)/bin*(bins[k+1]-bins[k])
		}
	}
	return out
}
