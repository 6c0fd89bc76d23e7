package soundtrack

// Edges of the three ranges that flux and overview are kept for: bands below
// 200 Hz, below 2 kHz, above.
var (
	lowBands = bandsBelow(200)
	midBands = bandsBelow(2000)
)

func bandsBelow(hz float64) int {
	n := 0
	for n < bandCount && bandCentres[n] < hz {
		n++
	}
	return n
}

const (
	octave = 256 // one power octave in units of level
	// depth is how far below the loudest band of the neighbourhood a band may
	// lie and still count: 60 dB.
	depth = 60 * octave * 100 / 301
	// release is how fast the neighbourhood's loudest level falls, per frame:
	// 6 dB a second forwards in time, 60 dB a second backwards.
	releaseAfter  = 2 * octave / blockRate
	releaseBefore = 20 * octave / blockRate
	lowestFloor   = -90 * octave * 100 / 301 // -90 dB re full-scale sine
)

// work finds what can be found in the frames that have come in, up to but not
// including frame to, and forgets those that no later frame needs.
func (e *ear) work(to int) {
	if to <= e.done {
		return
	}
	floors := e.floors(to)
	for i := e.done; i < to; i++ {
		e.flux(i, floors[i-e.done])
	}
	e.done = to
	e.spectra.drop(to - overhang)
}

// floors returns the level below which bands do not count, for frames
// e.done..to-1: depth under the loudest band around, ahead included.
func (e *ear) floors(to int) []int32 {
	held := e.next - e.spectra.start
	top := make([]int32, held)
	for i := range top {
		m := int16(-32768)
		for _, v := range e.spectra.at(e.spectra.start + i) {
			m = max(m, v)
		}
		top[i] = int32(m)
	}
	for i := held - 2; i >= 0; i-- {
		top[i] = max(top[i], top[i+1]-releaseBefore)
	}
	if e.done == e.spectra.start {
		e.loudest = top[0]
	}
	out := make([]int32, to-e.done)
	for i := range out {
		e.loudest = max(e.loudest-releaseAfter, top[e.done+i-e.spectra.start])
		out[i] = max(e.loudest-depth, lowestFloor)
	}
	return out
}

// flux sums how far each band rises above the loudest of the three around it
// one frame before: a voice that only slides to a neighbour does not count.
func (e *ear) flux(i int, floor int32) {
	h := e.heard
	now := e.spectra.at(i)
	before := now
	if i > e.spectra.start {
		before = e.spectra.at(i - 1)
	}
	edges := [4]int{0, lowBands, midBands, bandCount}
	for r := range 3 {
		sum := rise(now, before, edges[r], edges[r+1], floor)
		h.Flux[r] = append(h.Flux[r], float32(sum)/float32(octave*(edges[r+1]-edges[r])))
	}
	if i%2 == 0 {
		for r := range 3 {
			h.Level[r] = append(h.Level[r], uint8(loudestOf(now[edges[r]:edges[r+1]], lowestFloor)))
		}
	}
}

func rise(now, before []int16, from, to int, floor int32) int32 {
	var sum int32
	a := max(int32(before[max(from-1, 0)]), floor)
	b := max(int32(before[from]), floor)
	now, before = now[:len(before)], before[:len(before)]
	for k := from; k < to; k++ {
		c := floor
		if k+1 < len(before) {
			c = max(int32(before[k+1]), floor)
		}
		d := int32(now[k]) - max(a, b, c)
		sum += d &^ (d >> 31)
		a, b = b, c
	}
	return sum
}

// loudestOf returns the loudest level over base in thirds of a decibel, 0..255.
func loudestOf(levels []int16, base int32) int32 {
	m := int16(-32768)
	for _, v := range levels {
		m = max(m, v)
	}
	return min(max((int32(m)-base)*255/-base, 0), 255)
}
