package soundtrack

// finePerFrame is the number of fine steps in a frame: 2.5 ms each, to place
// an attack more finely than a window of 46 ms can.
const finePerFrame = 4

// fineLevels appends the levels of the fine steps of spectral frame i. The
// difference of neighbouring samples is taken first: it favours the high
// frequencies, where attacks stand out.
func (e *ear) fineLevels(i int) {
	rate := int64(e.heard.Rate)
	edge := func(step int64) int {
		return int((step*rate+blockRate*finePerFrame/2)/(blockRate*finePerFrame) - e.start)
	}
	a := edge(int64(i) * finePerFrame)
	for k := range int64(finePerFrame) {
		b := min(edge(int64(i)*finePerFrame+k+1), len(e.mono))
		e.spectra.fine = append(e.spectra.fine, octaves(roughness(e.mono[a-1:b])+faintest))
		a = b
	}
}

// roughness is the mean square of differences of neighbours.
func roughness(x []float32) float32 {
	if len(x) < 2 {
		return 0
	}
	last, sum := x[0], float32(0)
	for _, v := range x[1:] {
		d := v - last
		sum += d * d
		last = v
	}
	return sum / float32(len(x)-1)
}
