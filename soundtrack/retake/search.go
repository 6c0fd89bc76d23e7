package retake

import (
	"math"
	"math/bits"
	"runtime"
	"slices"
	"sync"
)

// An index finds the frames that have a code. codes and frame lie side by side, sorted; first
// tells for each value of a code's upper 18 bits where such codes begin, one entry more than
// there are values, so that first[v] to first[v+1] are those of v.
type index struct {
	codes []uint32 // sorted
	frame []int32  // of each
	first []int32  // of each value of the top bits
}

const (
	topBits = 18
	// crowd is the number of frames with one code past which it tells nothing.
	crowd = 40
)

// newIndex sorts the frames that are not quiet by code, and notes where each value of the
// top bits begins: a look-up goes through a handful of codes.
func newIndex(p *Print) *index {
	type entry struct {
		code  uint32
		frame int32
	}
	var all []entry
	for i, c := range p.codes {
		if p.level[i] > 0 {
			all = append(all, entry{c, int32(i)})
		}
	}
	slices.SortFunc(all, func(a, b entry) int {
		if a.code != b.code {
			return int(int64(a.code) - int64(b.code))
		}
		return int(a.frame - b.frame)
	})
	x := &index{first: make([]int32, 1<<topBits+1)}
	for _, e := range all {
		x.codes = append(x.codes, e.code)
		x.frame = append(x.frame, e.frame)
		x.first[e.code>>(32-topBits)+1]++
	}
	for i := range 1 << topBits {
		x.first[i+1] += x.first[i]
	}
	return x
}

// find appends the frames that have exactly this code, unless they are a crowd.
func (x *index) find(dst []int32, code uint32) []int32 {
	top := code >> (32 - topBits)
	lo, hi := x.first[top], x.first[top+1]
	for lo < hi && x.codes[lo] < code {
		lo++
	}
	end := lo
	for end < hi && x.codes[end] == code {
		end++
	}
	if end-lo > crowd {
		return dst
	}
	return append(dst, x.frame[lo:end]...)
}

// near appends the frames whose code differs in one bit at most. In a good copy one bit
// in ten differs, so that of 80 frames some ten are found by this, few by equality.
func (x *index) near(dst []int32, code uint32) []int32 {
	dst = x.find(dst, code)
	for b := range codeBits {
		dst = x.find(dst, code^1<<b)
	}
	return dst
}

// A match is a block of the new track that is like a piece of the old.
type match struct {
	at    int     // middle of the block, frames of the new track
	old   float64 // where that is in the old track, frames
	slope float64 // old frames a new frame
	shift float64 // factor of frequency, one of shifts
	wrong float64 // share of code bits that differ
}

const (
	blockFrames = 80 // 2 s
	blockStep   = 20
	// alike is the share of wrong bits below which a block is a match: Haitsma and
	// Kalker use 0.35 for blocks of 3 s.
	alike = 0.33
	// surely is a share that no other place will beat.
	surely = 0.2
	// votes are the equal codes in one place that make it worth a look.
	votes = 3
	// perBlock is how many places of a block are kept.
	perBlock = 4
)

// matches finds for each block of the new track its places in the old.
func matches(p *Print, t *take) []match {
	x := newIndex(p)
	blocks := max(len(t.level)-blockFrames/2, 0) / blockStep
	found := make([][]match, blocks)
	parallel(blocks, func(i int) {
		from := i * blockStep
		found[i] = block(p, t, x, from, min(from+blockFrames, len(t.level)))
	})
	return slices.Concat(found...)
}

// block finds the places of one block, at all shifts unless one at the old speed
// is beyond doubt.
func block(p *Print, t *take, x *index, from, to int) []match {
	var found []match
	for s, shift := range shifts {
		found = append(found, blockMatches(p, t, x, from, to, s, shift)...)
		if s == 0 && best(found) < surely {
			break
		}
	}
	slices.SortStableFunc(found, func(a, b match) int { return compare(a.wrong, b.wrong) })
	return distinct(found)
}

// parallel calls do for 0 to n-1 on all cores, a piece of the range on each.
func parallel(n int, do func(i int)) {
	w := min(runtime.GOMAXPROCS(0), n)
	var wg sync.WaitGroup
	for k := range w {
		wg.Go(func() {
			for i := n * k / w; i < n*(k+1)/w; i++ {
				do(i)
			}
		})
	}
	wg.Wait()
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// best is the least share of wrong bits, 1 without any match.
func best(found []match) float64 {
	low := 1.0
	for _, m := range found {
		low = min(low, m.wrong)
	}
	return low
}

// distinct keeps the best match of each place, of the places that are not much
// worse than the best.
func distinct(sorted []match) (kept []match) {
	for _, m := range sorted {
		if len(kept) == perBlock || m.wrong > sorted[0].wrong+0.08 {
			break
		}
		if !slices.ContainsFunc(kept, func(k match) bool { return math.Abs(k.old-m.old) < 8 }) {
			kept = append(kept, m)
		}
	}
	return kept
}

// blockMatches looks one block up at one shift of the bands. Frames that belong together
// have the same offset, old less new; chance spreads offsets over the whole track.
func blockMatches(p *Print, t *take, x *index, from, to, s int, shift float64) (found []match) {
	var offsets []int32
	var frames []int32
	for i := from; i < to; i++ {
		if t.level[i] == 0 {
			continue
		}
		frames = x.near(frames[:0], t.codes[s][i])
		for _, j := range frames {
			offsets = append(offsets, j-int32(i))
		}
	}
	for _, d := range clusters(offsets) {
		if m, ok := verify(p, t, from, to, s, shift, d); ok {
			found = append(found, m)
		}
	}
	return found
}

// clusterWidth is how far offsets spread within a block at 3 % of speed, frames.
const clusterWidth = 6

// clusters returns the places where offsets are dense, the densest first: a window of
// clusterWidth slides over the sorted offsets, and of windows that overlap the fullest stays.
func clusters(offsets []int32) (places []int32) {
	slices.Sort(offsets)
	type cluster struct {
		n  int
		at int32
	}
	var all []cluster
	lo := 0
	for hi := range offsets {
		for offsets[hi]-offsets[lo] > clusterWidth {
			lo++
		}
		n := hi - lo + 1
		if n < votes {
			continue
		}
		c := cluster{n, offsets[(lo+hi)/2]}
		if k := len(all) - 1; k >= 0 && c.at-all[k].at <= clusterWidth {
			if n > all[k].n {
				all[k] = c
			}
			continue
		}
		all = append(all, c)
	}
	slices.SortStableFunc(all, func(a, b cluster) int { return b.n - a.n })
	for _, c := range all[:min(len(all), 2*perBlock)] {
		places = append(places, c.at)
	}
	return places
}

// slopes are the speeds tried at a shift: pitch and speed together as on a tape,
// and each without the other.
func slopes(shift float64) []float64 {
	if shift == 1 {
		return []float64{1, 0.97, 0.98, 0.99, 1.01, 1.02, 1.03}
	}
	return []float64{shift, shift - 0.005, shift + 0.005, 1}
}

// verify counts wrong bits about a place, over all slopes and some frames to both
// sides. A place where fewer than a quarter of the frames can be compared
// does not count.
func verify(p *Print, t *take, from, to, s int, shift float64, offset int32) (match, bool) {
	mid := (from + to) / 2
	m := match{at: mid, shift: shift, wrong: 1}
	for _, slope := range slopes(shift) {
		for e := -5; e <= 5; e++ {
			old := float64(mid) + float64(offset) + float64(e)
			w, n := wrongBits(p, t, from, to, s, mid, old, slope)
			if n < blockFrames/4 {
				continue
			}
			if w < m.wrong-1e-9 {
				m.wrong, m.old, m.slope = w, old, slope
			}
		}
		// Nothing can be much better: the other speeds need not be tried.
		if m.wrong < 0.1 {
			break
		}
	}
	return m, m.wrong < alike
}

// wrongBits returns the share of differing bits between new frames from to and
// the old frames on the line through (mid, old), and how many frames counted.
func wrongBits(p *Print, t *take, from, to, s, mid int, old, slope float64) (share float64, n int) {
	wrong := 0
	for i := from; i < to; i++ {
		j := int(math.Floor(old + slope*float64(i-mid) + 0.5))
		if j < 0 || j >= len(p.codes) || t.level[i] == 0 || p.level[j] == 0 {
			continue
		}
		wrong += bits.OnesCount32(t.codes[s][i] ^ p.codes[j])
		n++
	}
	if n == 0 {
		return 1, 0
	}
	return float64(wrong) / float64(n*codeBits), n
}
