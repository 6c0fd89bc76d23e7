package light

// Way is how a fade travels from one colour to another.
type Way int

const (
	// Straight adds light: drives move in proportion, as two lamps crossfade.
	Straight Way = iota
	// Even moves chromaticity along a straight line in u'v' and lightness L*
	// in proportion, at a pace of equal CIEDE2000.
	Even
)

// Fade is the path of a unit's drives between two mixes of the same emitters.
//
// Every colour between is α times the first plus β times the second, for both
// Ways: u'v' turns the line between two lights into a straight one. So no
// emitter comes into play that neither end uses, nothing leaves the gamut, and
// the drives are smooth.
type Fade struct {
	n        int
	from, to [MaxEmitters]float64
	dark     [MaxEmitters]bool // emitters that give nothing
	way      Way
	a, b     XYZ
	la, lb   float64
	pace     [paceKnots + 1]float64 // share of the difference at each knot
}

// paceKnots is fine enough that the twentieths of a fade stay within 1.6 times
// each other, even where a colour passes through grey or comes out of black.
const paceKnots = 128

// knot is where the k-th knot lies on the path: closer together at the ends,
// as colour turns fastest next to black.
func knot(k int) float64 {
	u := float64(k) / paceKnots
	return u * u * (3 - 2*u)
}

// NewFade plans a fade. The drives are those of m and are clamped to 0 to 1;
// lengths other than m's emitters panic.
func (m *Mixer) NewFade(from, to []float64, way Way) *Fade {
	if len(from) != m.n || len(to) != m.n {
		panic("light: fade between drives of another fixture type")
	}
	f := &Fade{n: m.n, way: way}
	for i := range m.n {
		f.from[i], f.to[i] = clamp(from[i]), clamp(to[i])
		f.dark[i] = m.full[i].Y == 0
	}
	f.a, f.b = m.Colour(f.from[:m.n]), m.Colour(f.to[:m.n])
	brighter := max(f.a.Y, f.b.Y)
	if way == Straight || brighter == 0 {
		f.way = Straight
		return f
	}
	f.la, f.lb = Lightness(f.a.Y/brighter), Lightness(f.b.Y/brighter)
	f.setPace(brighter)
	return f
}

// clamp holds a drive between 0 and 1; NaN is 0.
func clamp(v float64) float64 {
	if !(v > 0) {
		return 0
	}
	return min(1, v)
}

// setPace adds up the difference that is seen along the path, knot by knot, as shares of
// the whole. A fade between two equal colours has none, and goes evenly.
func (f *Fade) setPace(brighter float64) {
	white := WhiteD65.XYZ(brighter)
	before := f.a.Lab(white)
	for k := 1; k <= paceKnots; k++ {
		alpha, beta := f.shares(knot(k))
		here := f.a.Times(alpha).Plus(f.b, beta).Lab(white)
		f.pace[k] = f.pace[k-1] + DeltaE2000(before, here)
		before = here
	}
	whole := f.pace[paceKnots]
	for k := range f.pace {
		if whole == 0 {
			f.pace[k] = knot(k)
		} else {
			f.pace[k] /= whole
		}
	}
}

// shares returns α and β of an Even fade at a place along its path, 0 to 1.
func (f *Fade) shares(at float64) (alpha, beta float64) {
	brighter := max(f.a.Y, f.b.Y)
	y := brighter * max(0, FromLightness(f.la+at*(f.lb-f.la)))
	switch {
	case f.a.Y == 0:
		return 0, y / f.b.Y
	case f.b.Y == 0:
		return y / f.a.Y, 0
	}
	// In u'v' a mixture lies between its parts by their X+15Y+3Z.
	alpha = (1 - at) / (f.a.X + 15*f.a.Y + 3*f.a.Z)
	beta = at / (f.b.X + 15*f.b.Y + 3*f.b.Z)
	scale := y / (alpha*f.a.Y + beta*f.b.Y)
	alpha, beta = alpha*scale, beta*scale
	// A dark saturated end may be asked for more than its drives can give:
	// then the colour is kept and light given up.
	top := 0.0
	for i := range f.n {
		top = max(top, alpha*f.from[i]+beta*f.to[i])
	}
	if top > 1 {
		alpha, beta = alpha/top, beta/top
	}
	return alpha, beta
}

// At writes the drives at a share of the fade's time, 0 to 1, into dst and
// returns it. It does not allocate.
func (f *Fade) At(dst []float64, share float64) []float64 {
	share = clamp(share)
	alpha, beta := 1-share, share
	if f.way == Even {
		alpha, beta = f.shares(f.along(share))
	}
	for i := range f.n {
		dst[i] = clamp(alpha*f.from[i] + beta*f.to[i])
	}
	return dst
}

// along inverts the pace: the place on the path at which share of the whole
// difference has passed.
func (f *Fade) along(share float64) float64 {
	low, high := 0, paceKnots
	for high-low > 1 {
		if mid := (low + high) / 2; f.pace[mid] <= share {
			low = mid
		} else {
			high = mid
		}
	}
	part := 0.0
	if step := f.pace[high] - f.pace[low]; step > 0 {
		part = (share - f.pace[low]) / step
	}
	return knot(low) + min(1, part)*(knot(high)-knot(low))
}

// Colour returns the colour at a share of the fade's time.
func (f *Fade) Colour(share float64) XYZ {
	share = clamp(share)
	if f.way == Straight {
		return f.a.Times(1-share).Plus(f.b, share)
	}
	alpha, beta := f.shares(f.along(share))
	return f.a.Times(alpha).Plus(f.b, beta)
}

// Knots returns count drive vectors, evenly spread over the fade's time, for
// those who store a path; count is 2 or more. No drive turns back on its way:
// where an Even path would have it, the drive takes the nearest course that
// does not, and the colour gives way a little. An emitter that gives nothing
// goes straight.
func (f *Fade) Knots(count int) [][]float64 {
	knots := make([][]float64, max(2, count))
	for k := range knots {
		knots[k] = f.At(make([]float64, f.n), float64(k)/float64(len(knots)-1))
	}
	course := make([]float64, len(knots))
	for i := range f.n {
		a, b := f.from[i], f.to[i]
		for k := range knots {
			course[k] = min(max(knots[k][i], min(a, b)), max(a, b))
			if f.dark[i] {
				course[k] = a + float64(k)/float64(len(knots)-1)*(b-a)
			}
		}
		course[0], course[len(course)-1] = a, b
		settle(course, b < a)
		for k := range knots {
			knots[k][i] = course[k]
		}
	}
	return knots
}

// settle makes values ascend, or descend, with the least sum of squared
// changes: neighbours out of order share their mean (pool adjacent violators;
// Ayer et al., Ann. Math. Stat. 26, 641, 1955).
func settle(values []float64, descend bool) {
	sign := 1.0
	if descend {
		sign = -1
	}
	type block struct {
		mean  float64
		count int
	}
	var blocks []block
	for _, v := range values {
		blocks = append(blocks, block{v, 1})
		for n := len(blocks); n > 1 && sign*blocks[n-2].mean > sign*blocks[n-1].mean; n = len(blocks) {
			a, b := blocks[n-2], blocks[n-1]
			count := a.count + b.count
			blocks = append(blocks[:n-2], block{(a.mean*float64(a.count) + b.mean*float64(b.count)) / float64(count), count})
		}
	}
	k := 0
	for _, b := range blocks {
		for range b.count {
			values[k] = b.mean
			k++
		}
	}
}

// Length is the whole CIEDE2000 that the fade passes through, where white is
// as bright as its brighter end.
func (f *Fade) Length() float64 {
	brighter := max(f.a.Y, f.b.Y)
	if brighter == 0 {
		return 0
	}
	white := WhiteD65.XYZ(brighter)
	total, before := 0.0, f.a.Lab(white)
	for k := 1; k <= paceKnots; k++ {
		here := f.Colour(float64(k) / paceKnots).Lab(white)
		total += DeltaE2000(before, here)
		before = here
	}
	return total
}
