package soundtrack

// A patch is what the judging network sees of a peak: levels and rises of the
// spectrum around it, fine levels of the sound, and how it stands among its
// neighbours. All inputs lie between 0 and about 1 and do not change with the
// volume of the track.
const (
	patchFine   = 24 // steps of 2.5 ms, half before, half after
	patchExtras = 6
	patchAfter  = 12 // frames ahead that a patch needs
	patchBefore = 12
	patchInputs = (len(levelFrames)+riseFrames)*groupCount + patchFine + patchExtras
	riseFrames  = 8 // from 3 before to 4 after
)

// levelFrames are the frames, relative to the peak, whose levels are seen.
var levelFrames = [9]int{-6, -4, -2, -1, 0, 1, 2, 4, 6}

// patch fills dst with the inputs for a peak at frame i. The frames around
// must be held, patchBefore before and patchAfter after.
func (s *spectra) patch(dst []float32, i int) []float32 {
	dst = dst[:0]
	floor := s.floor(i)
	for _, k := range levelFrames {
		dst = appendLevels(dst, s.at(i+k), floor)
	}
	for k := -3; k < riseFrames-3; k++ {
		for _, v := range s.risesAt(i + k) {
			dst = append(dst, squash[min(max(v, 0)>>4, 1279)])
		}
	}
	dst = s.appendFine(dst, i)
	return s.appendExtras(dst, i)
}

// appendLevels appends, for each group, how far its loudest band lies over the floor, as a
// share of depth.
func appendLevels(dst []float32, levels []int16, floor int32) []float32 {
	for g := range groupCount {
		b := levels[g*groupSize:][:groupSize]
		d := int32(max(b[0], b[1], b[2], b[3])) - floor
		dst = append(dst, float32(max(d, 0))*(1.0/depth))
	}
	return dst
}

// appendFine appends fine levels down to 40 dB under the highest of them.
func (s *spectra) appendFine(dst []float32, i int) []float32 {
	const span = 40 * octave * 100 / 301
	f := s.fine[(i-s.start)*finePerFrame-patchFine/2:][:patchFine]
	top := f[0]
	for _, v := range f {
		top = max(top, v)
	}
	for _, v := range f {
		dst = append(dst, max(0, 1+float32(int32(v)-int32(top))*(1.0/span)))
	}
	return dst
}

// appendExtras appends the rise of the peak itself, the mean before and after,
// and the largest nearby.
func (s *spectra) appendExtras(dst []float32, i int) []float32 {
	t := s.total[i-s.start-patchBefore:][:patchBefore+1+patchAfter]
	at := t[patchBefore:]
	mean := func(x []float32) (sum float32) {
		for _, v := range x {
			sum += v
		}
		return sum / float32(len(x))
	}
	top := func(x []float32) (m float32) {
		for _, v := range x {
			if v > m {
				m = v
			}
		}
		return m
	}
	for _, v := range [patchExtras]float32{at[0], mean(t[:patchBefore-2]), mean(at[4:]),
		top(t[:patchBefore-3]), top(at[4:]), top(t[patchBefore-3 : patchBefore+4])} {
		dst = append(dst, v/(v+0.5))
	}
	return dst
}

// squash maps a rise of a group, in steps of 16, to 0..1: r/(r+1) of the mean
// rise r in octaves.
var squash = func() (t [1280]float32) {
	for i := range t {
		r := float32(i*16) / (groupSize * octave)
		t[i] = r / (r + 1)
	}
	return t
}()
