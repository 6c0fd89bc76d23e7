package retake

import (
	"cmp"
	"math"
	"slices"
)

// A run is a stretch of the new track that lies on one line of the old. Times are
// in samples at rate, as real numbers.
type run struct {
	from, to float64 // in the new track
	at       float64 // a place in the new track,
	old      float64 // where that is in the old,
	slope    float64 // and old samples a new sample
	agree    float64 // share of signs that agree
	wrong    float64 // share of code bits that differ
	exact    bool    // placed by signs, and not by codes alone
	gain     int     // by how much it is louder in the new track, half decibels
	nodes    []node  // where the line is not straight: places in order
	rivals   []span  // parts, in new time, that lie as well on another run
	weak     []span  // parts, in new time, where nothing was heard
}

type node struct{ at, old float64 }

type span struct{ from, to float64 }

// place returns where a new time is in the old track.
func (r *run) place(at float64) float64 {
	if len(r.nodes) < 2 {
		return r.old + r.slope*(at-r.at)
	}
	i, _ := slices.BinarySearchFunc(r.nodes, at, func(n node, at float64) int { return cmp.Compare(n.at, at) })
	i = min(max(i, 1), len(r.nodes)-1)
	a, b := r.nodes[i-1], r.nodes[i]
	return a.old + (at-a.at)*(b.old-a.old)/(b.at-a.at)
}

// when returns where an old time is in the new track.
func (r *run) when(old float64) float64 {
	if len(r.nodes) < 2 {
		return r.at + (old-r.old)/r.slope
	}
	i, _ := slices.BinarySearchFunc(r.nodes, old, func(n node, old float64) int { return cmp.Compare(n.old, old) })
	i = min(max(i, 1), len(r.nodes)-1)
	a, b := r.nodes[i-1], r.nodes[i]
	return a.at + (old-a.old)*(b.at-a.at)/(b.old-a.old)
}

// chain is a run that grows from block to block.
type chain struct {
	blocks []match
}

const (
	// chainGap is how far apart two blocks of a run may lie, frames: speech
	// pauses and noise lie between.
	chainGap = 600
	// chainSlack is how far off its line a block may lie, frames.
	chainSlack = 3
)

// chains links matches that lie on one line. Matches come in order of the new track; each
// joins the chain whose line it lies nearest to, or begins one. A chain that nothing has
// joined for chainGap is closed.
func chains(all []match) []*chain {
	var open, closed []*chain
	for _, m := range all {
		var home *chain
		nearest := math.Inf(1)
		open = slices.DeleteFunc(open, func(c *chain) bool {
			last := c.blocks[len(c.blocks)-1]
			gap := float64(m.at - last.at)
			if gap > chainGap {
				closed = append(closed, c)
				return true
			}
			// The slope of one block is known to a part in a hundred only.
			off := math.Abs(last.old + c.slope()*gap - m.old)
			if gap > 0 && off <= chainSlack+0.004*gap && off < nearest && math.Abs(last.shift-m.shift) < 0.021 {
				home, nearest = c, off
			}
			return false
		})
		if home != nil {
			home.blocks = append(home.blocks, m)
			continue
		}
		open = append(open, &chain{[]match{m}})
	}
	return append(closed, open...)
}

// slope is that of the line through the first and the last block, when they lie
// far enough apart to tell.
func (c *chain) slope() float64 {
	first, last := c.blocks[0], c.blocks[len(c.blocks)-1]
	if d := last.at - first.at; d >= 2*blockFrames {
		return (last.old - first.old) / float64(d)
	}
	return first.slope
}

// run makes a first run of a chain: a line by least squares.
func (c *chain) run() *run {
	r := &run{}
	var points []anchor
	for _, m := range c.blocks {
		points = append(points, anchor{at: float64(m.at * hop), old: m.old * hop})
		r.wrong += m.wrong / float64(len(c.blocks))
	}
	r.at, r.old, r.slope = leastSquares(points)
	if len(points) < 6 {
		r.slope = c.blocks[0].slope
	}
	r.from, r.to = points[0].at, points[len(points)-1].at
	return r
}

const (
	// leastLike is the shortest run that codes alone may make, in blocks, and
	// mostWrong the share of wrong bits that it may have.
	leastLike = 6
	mostWrong = 0.3
	// likeReach is how far a run reaches beyond the middle of its last block:
	// most of the block.
	likeReach = 0.7 * rate
)

// likeness makes a run of a chain that signs do not confirm: sound stretched or
// shifted by a program, or slowly drifting. Each place is the middle of nine
// blocks. It returns nil when the chain is too short or too unlike.
func (c *chain) likeness() *run {
	r := c.run()
	if len(c.blocks) < leastLike || r.wrong > mostWrong {
		return nil
	}
	for i := range c.blocks {
		var near []anchor
		for _, m := range c.blocks[max(i-4, 0):min(i+5, len(c.blocks))] {
			near = append(near, anchor{at: float64(m.at * hop), old: m.old * hop})
		}
		at, old, slope := leastSquares(near)
		n := node{at: float64(c.blocks[i].at * hop)}
		n.old = old + slope*(n.at-at)
		if k := len(r.nodes); k == 0 || n.old > r.nodes[k-1].old && n.at > r.nodes[k-1].at {
			r.nodes = append(r.nodes, n)
		}
	}
	if len(r.nodes) < 2 {
		return nil
	}
	r.from, r.to = math.Max(r.from-likeReach, 0), r.to+likeReach
	r.agree = 0.5 + 0.1*(mostWrong-r.wrong) // far below what signs would say
	return r
}
