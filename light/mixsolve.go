package light

import (
	"math"
	"slices"
)

// recipe is the convex problem behind every mix, over drives d in 0 to 1:
//
//	minimise  Σ pᵢdᵢ + ε/2 Σ dᵢ² + 1/2μ |Σ aᵢdᵢ - t|²
//
// It is strictly convex, so d is unique and moves continuously with t (its
// pieces are linear, and their slopes do not depend on ε). μ is so small that
// a reachable t is met to rounding.
//
// Only three numbers are unknown in its dual, the prices λ of the three
// tristimulus values: dᵢ(λ) = clamp((aᵢ·λ - pᵢ)/ε), and λ solves
// Σ aᵢdᵢ(λ) + μλ = t, the gradient of a convex function that is quadratic in
// pieces. Newton steps with an exact line search end on it.
type recipe struct {
	n       int
	columns [MaxEmitters][3]float64 // of length about 1
	prices  [MaxEmitters]float64    // of size about 1
	target  [3]float64

	evenness float64 // ε
}

// thrifty costs 0.4 % more power than the least on average, smooth 4 %; on 200
// random paths the steepest drive of smooth recipes turned at a third of the
// speed.
const (
	thrifty = .2
	smooth  = 1.
)

const (
	softness  = 1e-10 // μ
	newtonMax = 60
)

// solve finds λ from 0 on. Each Newton step is exact within a piece of the dual, so few are
// needed; a step of 0 means that rounding is all that is left.
func (r *recipe) solve(dst []float64) {
	var lambda, gradient [3]float64
	for range newtonMax {
		h := r.slope(&lambda, &gradient)
		if math.Abs(gradient[0])+math.Abs(gradient[1])+math.Abs(gradient[2]) < 1e-13 {
			break
		}
		direction := solve3(h, gradient)
		for k := range direction {
			direction[k] = -direction[k]
		}
		step := r.search(&lambda, &direction)
		if step == 0 {
			break
		}
		for k := range lambda {
			lambda[k] += step * direction[k]
		}
	}
	for i := range r.n {
		dst[i] = min(1, max(0, r.drive(i, &lambda)))
	}
}

// drive is dᵢ before it is clamped.
func (r *recipe) drive(i int, lambda *[3]float64) float64 {
	return (dot(&r.columns[i], lambda) - r.prices[i]) / r.evenness
}

// slope fills the dual's gradient and returns its second derivative.
func (r *recipe) slope(lambda, gradient *[3]float64) (h [3][3]float64) {
	for k := range 3 {
		gradient[k] = softness*lambda[k] - r.target[k]
		h[k][k] = softness
	}
	for i := range r.n {
		d, a := r.drive(i, lambda), &r.columns[i]
		for k := range 3 {
			gradient[k] += a[k] * min(1, max(0, d))
		}
		if d <= 0 || d >= 1 {
			continue
		}
		for k := range 3 {
			for l := range 3 {
				h[k][l] += a[k] * a[l] / r.evenness
			}
		}
	}
	return h
}

// search returns the step along direction at which the dual is least: the
// zero of a rising function that is linear between the places where a drive
// meets 0 or 1.
func (r *recipe) search(lambda, direction *[3]float64) float64 {
	var bends [2 * MaxEmitters]float64
	count := 0
	for i := range r.n {
		rate := dot(&r.columns[i], direction) / r.evenness
		if rate == 0 {
			continue
		}
		d := r.drive(i, lambda)
		for _, end := range [2]float64{0, 1} {
			if step := (end - d) / rate; step > 0 {
				bends[count] = step
				count++
			}
		}
	}
	slices.Sort(bends[:count])
	last, before := 0.0, r.rise(lambda, direction, 0)
	if before >= 0 {
		return 0
	}
	for _, step := range bends[:count] {
		rise := r.rise(lambda, direction, step)
		if rise >= 0 {
			return last - before*(step-last)/(rise-before)
		}
		last, before = step, rise
	}
	// Past the last bend only the softness rises.
	rate := softness * dot(direction, direction)
	return last - before/rate
}

// rise is the derivative of the dual along direction.
func (r *recipe) rise(lambda, direction *[3]float64, step float64) float64 {
	var at [3]float64
	for k := range at {
		at[k] = lambda[k] + step*direction[k]
	}
	sum := softness*dot(&at, direction) - dot(&r.target, direction)
	for i := range r.n {
		sum += min(1, max(0, r.drive(i, &at))) * dot(&r.columns[i], direction)
	}
	return sum
}

func dot(a, b *[3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func cross(a, b *[3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// solve3 solves h x = g for a symmetric positive definite h, by Cholesky.
func solve3(h [3][3]float64, g [3]float64) [3]float64 {
	for k := range 3 {
		for l := range k {
			h[k][k] -= h[k][l] * h[k][l]
		}
		h[k][k] = math.Sqrt(max(h[k][k], softness))
		for i := k + 1; i < 3; i++ {
			for l := range k {
				h[i][k] -= h[i][l] * h[k][l]
			}
			h[i][k] /= h[k][k]
		}
	}
	for k := range 3 {
		for l := range k {
			g[k] -= h[k][l] * g[l]
		}
		g[k] /= h[k][k]
	}
	for k := 2; k >= 0; k-- {
		for l := k + 1; l < 3; l++ {
			g[k] -= h[l][k] * g[l]
		}
		g[k] /= h[k][k]
	}
	return g
}
