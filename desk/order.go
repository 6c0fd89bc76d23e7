package desk

import "math"

// order finds the order to program the scenes in: from all faders down, the tour that
// moves the fewest faders, one at a time counted. It is the path form of the travelling
// salesman problem, solved exactly up to exactTour scenes and by exchanges beyond. The
// number of faders that differ between two scenes is a metric, and the same both ways.
func (p *Plan) order() {
	n := len(p.Scenes)
	move := make([][]int, n+1) // the last is all faders down
	down := make([]byte, p.Desk.Slots)
	values := func(i int) []byte {
		if i == n {
			return down
		}
		return p.Scenes[i].Values
	}
	for i := range move {
		move[i] = make([]int, n+1)
		for j := range move[i] {
			for k, v := range values(i) {
				if values(j)[k] != v {
					move[i][j]++
				}
			}
		}
	}
	p.Order = tour(move)
	p.Moves = length(p.Order, move)
}

// exactTour is the most places for which every order is covered by dynamic
// programming over sets (Held and Karp 1962): 12·2^12·12 steps.
const exactTour = 12

// tour returns an order of the places 0 to n-1 that begins at place n and does
// not return.
func tour(move [][]int) []int {
	if len(move)-1 <= exactTour {
		return heldKarp(move)
	}
	best := nearest(move)
	improve(best, move)
	return best
}

func length(order []int, move [][]int) int {
	at, sum := len(move)-1, 0
	for _, next := range order {
		sum += move[at][next]
		at = next
	}
	return sum
}

// heldKarp tries all orders by the set of places seen and the last of them.
// best[s][last] is the fewest moves from all faders down through the places of the set
// s (as bits), ending at last; sets are taken in the order of their numbers, so each
// set comes after all its subsets.
func heldKarp(move [][]int) []int {
	n := len(move) - 1
	if n == 0 {
		return nil
	}
	sets := 1 << n
	best := make([][]int, sets)
	from := make([][]int, sets)
	for s := range sets {
		best[s], from[s] = make([]int, n), make([]int, n)
		for last := range n {
			best[s][last] = math.MaxInt
			switch {
			case s>>last&1 == 0:
			case s == 1<<last:
				best[s][last] = move[n][last]
			default:
				rest := s &^ (1 << last)
				for before := range n {
					if rest>>before&1 == 1 && best[rest][before]+move[before][last] < best[s][last] {
						best[s][last], from[s][last] = best[rest][before]+move[before][last], before
					}
				}
			}
		}
	}
	set, last := sets-1, 0
	for i := range n {
		if best[set][i] < best[set][last] {
			last = i
		}
	}
	order := make([]int, n)
	for i := n - 1; i >= 0; i-- {
		order[i] = last
		set, last = set&^(1<<last), from[set][last]
	}
	return order
}

// nearest always goes to the place that is least far.
func nearest(move [][]int) []int {
	n := len(move) - 1
	seen := make([]bool, n)
	var order []int
	for at := n; len(order) < n; {
		next := -1
		for j := range n {
			if !seen[j] && (next < 0 || move[at][j] < move[at][next]) {
				next = j
			}
		}
		seen[next] = true
		order = append(order, next)
		at = next
	}
	return order
}

// improve turns stretches round and moves short ones elsewhere (2-opt and Or-opt) while
// that shortens the tour. Each change shortens the tour by at least one move, so it
// ends.
func improve(order []int, move [][]int) {
	for better := true; better; {
		better = turn(order, move) || shift(order, move)
	}
}

// step is the distance between two positions of an order; before the first is
// the beginning, after the last there is nothing to go to.
func step(order []int, move [][]int, i, j int) int {
	if j >= len(order) {
		return 0
	}
	if i < 0 {
		return move[len(move)-1][order[j]]
	}
	return move[order[i]][order[j]]
}

// turn reverses one stretch if that shortens the tour: only its two ends change, as
// moving is the same both ways.
func turn(order []int, move [][]int) bool {
	for i := range order {
		for j := i + 1; j < len(order); j++ {
			old := step(order, move, i-1, i) + step(order, move, j, j+1)
			now := step(order, move, i-1, j)
			if j+1 < len(order) {
				now += move[order[i]][order[j+1]]
			}
			if now < old {
				for a, b := i, j; a < b; a, b = a+1, b-1 {
					order[a], order[b] = order[b], order[a]
				}
				return true
			}
		}
	}
	return false
}

// shift moves up to three places elsewhere if that shortens the tour. It measures the
// whole tour each time, which is fast enough for some hundred scenes.
func shift(order []int, move [][]int) bool {
	now := length(order, move)
	try := make([]int, len(order))
	for size := 1; size <= 3; size++ {
		for i := 0; i+size <= len(order); i++ {
			for to := 0; to <= len(order)-size; to++ {
				moved(try, order, i, size, to)
				if length(try, move) < now {
					copy(order, try)
					return true
				}
			}
		}
	}
	return false
}

// moved writes order with size places from i taken out and put in again at to.
func moved(dst, order []int, i, size, to int) {
	rest := append(append([]int{}, order[:i]...), order[i+size:]...)
	n := copy(dst, rest[:to])
	n += copy(dst[n:], order[i:i+size])
	copy(dst[n:], rest[to:])
}
