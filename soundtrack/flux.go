package soundtrack

// Bands are looked at in groups of four (groupCount of them); the edges of the
// three ranges that flux and overview are kept for fall between groups: below
// 200 Hz, below 2 kHz, above.
const (
	groupSize  = 4
	groupCount = bandCount / groupSize
	lowGroups  = 2
	midGroups  = 17
)

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
	e.findFloors(to)
	for i := e.done; i < to; i++ {
		e.flux(i)
	}
	e.done = to
	e.judge(to - patchAfter)
	e.spectra.drop(to - overhang)
}

// findFloors sets the level below which bands do not count, for frames
// e.done..to-1: depth under the loudest band around, ahead included.
func (e *ear) findFloors(to int) {
	s := &e.spectra
	top := make([]int32, s.frames())
	for i := range top {
		m := int16(-32768)
		for _, v := range s.at(s.start + i) {
			m = max(m, v)
		}
		top[i] = int32(m)
	}
	for i := len(top) - 2; i >= 0; i-- {
		top[i] = max(top[i], top[i+1]-releaseBefore)
	}
	if e.done == -leadIn {
		e.loudest = top[0]
	}
	for i := e.done; i < to; i++ {
		e.loudest = max(e.loudest-releaseAfter, top[i-s.start])
		s.floors = append(s.floors, max(e.loudest-depth, lowestFloor))
	}
}

// flux sums, group by group, how far each band rises above the loudest of the
// three around it one frame before: a voice that only slides to a neighbour
// does not count.
func (e *ear) flux(i int) {
	s, h := &e.spectra, e.heard
	now, before, floor := s.at(i), s.at(i), s.floor(i)
	if i > s.start {
		before = s.at(i - 1)
	}
	rises := s.growRises()
	rise(rises, now, before, floor)
	sum := int32(0)
	for _, v := range rises {
		sum += int32(v)
	}
	s.total = append(s.total, float32(sum)/(octave*bandCount))
	if i < 0 {
		return
	}
	e.sketch.add(&h.Sketch, now, i)
	e.addRhythm(h, rises, i)
	if i%2 == 0 {
		edges := [4]int{0, lowGroups * groupSize, midGroups * groupSize, bandCount}
		for r := range 3 {
			h.Level[r] = append(h.Level[r], loudestOf(now[edges[r]:edges[r+1]]))
		}
		power, moment := rangePowers(now)
		for r, p := range power {
			h.Loud[r] = append(h.Loud[r], loudOf(p))
		}
		h.Centre = append(h.Centre, centreOf(power, moment))
	}
}

// rangeOf is the range, low, mid or high, that a group belongs to.
func rangeOf(group int) int {
	switch {
	case group < lowGroups:
		return 0
	case group < midGroups:
		return 1
	}
	return 2
}

// rise writes for each group the sum of its bands' rises. a, b and c are the levels one
// frame before of the band below, of the band itself and of the one above, none of them
// under the floor; d &^ (d >> 31) is max(d, 0) without a branch.
func rise(dst, now, before []int16, floor int32) {
	now, before, dst = now[:bandCount], before[:bandCount], dst[:groupCount]
	b := max(int32(before[0]), floor)
	a, k := b, 0
	for g := range dst {
		var sum int32
		for range groupSize {
			c := floor
			if k+1 < len(before) {
				c = max(int32(before[k+1]), floor)
			}
			d := int32(now[k]) - max(a, b, c)
			sum += d &^ (d >> 31)
			a, b = b, c
			k++
		}
		dst[g] = int16(min(sum, 32767))
	}
}

// loudestOf returns the loudest level over lowestFloor, 255 being full scale.
func loudestOf(levels []int16) uint8 {
	m := int16(-32768)
	for _, v := range levels {
		m = max(m, v)
	}
	return uint8(min(max((int32(m)-lowestFloor)*255/-lowestFloor, 0), 255))
}
