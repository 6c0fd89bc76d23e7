package light

import "math"

// nearest finds drives for a colour that cannot be reached. It starts from the
// chromaticity that misses least when as bright as it gets, and goes on by
// Gauss and Newton's method on the parts of CIEDE2000: each step is the convex
// recipe again, in the metric of the colour reached so far.
func (m *Mixer) nearest(dst []float64, target XYZ) Mixture {
	dimmed := func(c UV) XYZ { return c.XY().XYZ(min(target.Y, limit(m.faces, m.scaled(c.XY().XYZ(1))))) }
	start, _ := m.gamut.least(target.UV(), func(c UV) float64 { return difference(dimmed(c), target) })
	m.solve(dst, dimmed(start))
	best := difference(m.Colour(dst), target)
	var trial, step [MaxEmitters]float64
	for range 12 {
		m.step(step[:m.n], target, m.Colour(dst))
		// The step is right for the metric at the colour reached so far; where the metric bends
		// too much, half of it is tried, and half of that.
		improved := false
		for share := 1.0; share > .05 && !improved; share /= 2 {
			for i := range m.n {
				trial[i] = dst[i] + share*(step[i]-dst[i])
			}
			if d := difference(m.Colour(trial[:m.n]), target); d < best-1e-9 {
				copy(dst, trial[:m.n])
				best, improved = d, true
			}
		}
		if !improved {
			break
		}
	}
	return m.mixture(dst, m.Colour(dst), best)
}

// step solves the recipe for the target as seen from the colour at. CIEDE2000 is
// straightened there by differences: w(c) ≈ w(at) + slope·(c - at), whose length is wanted
// least over all c that the drives can give; the columns are the emitters in that metric.
func (m *Mixer) step(dst []float64, target, at XYZ) {
	white := WhiteD65.XYZ(target.Y)
	goal := target.Lab(white)
	here := whitened(at.Lab(white), goal)
	var slope [3][3]float64 // of the whitened difference by X, Y, Z
	for k := range 3 {
		h := 1e-4 * max(target.Y, at.Y)
		moved := at
		*[3]*float64{&moved.X, &moved.Y, &moved.Z}[k] += h
		there := whitened(moved.Lab(white), goal)
		for l := range 3 {
			slope[l][k] = (there[l] - here[l]) / h
		}
	}
	r := m.base
	for i := range m.n {
		a := [3]float64{m.full[i].X, m.full[i].Y, m.full[i].Z}
		for l := range 3 {
			r.columns[i][l] = dot(&slope[l], &a)
		}
	}
	x := [3]float64{at.X, at.Y, at.Z}
	for l := range 3 {
		r.target[l] = dot(&slope[l], &x) - here[l]
	}
	r.rescale()
	r.solve(dst)
}

// rescale brings the longest column to 1, as the recipe expects.
func (r *recipe) rescale() {
	longest := 0.0
	for i := range r.n {
		longest = max(longest, dot(&r.columns[i], &r.columns[i]))
	}
	if longest == 0 {
		return
	}
	scale := 1 / math.Sqrt(longest)
	for i := range r.n {
		for l := range 3 {
			r.columns[i][l] *= scale
		}
	}
	for l := range 3 {
		r.target[l] *= scale
	}
}

// whitened returns three numbers whose squares sum to that of CIEDE2000 from
// goal to c: the rotation term is folded into chroma and hue.
func whitened(c, goal Lab) [3]float64 {
	l, ch, h, rotation := deltaE2000Parts(goal, c)
	return [3]float64{l, ch + rotation/2*h, h * math.Sqrt(max(0, 1-rotation*rotation/4))}
}
