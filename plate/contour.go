package plate

// grid holds values at the crossings of a grid, row after row.
type grid struct {
	cols, rows int
	values     []float64
}

func (g *grid) at(c, r int) float64 { return g.values[r*g.cols+c] }

// contour returns the line of one value through the grid as short pieces
// joined where they meet, in grid coordinates (marching squares, linear along
// the sides; at a saddle the middle decides).
func (g *grid) contour(level float64) [][][2]float64 {
	var pieces [][2][2]float64
	for r := range g.rows - 1 {
		for c := range g.cols - 1 {
			pieces = append(pieces, g.cell(c, r, level)...)
		}
	}
	return joined(pieces)
}

// cell returns the pieces inside one square. The line cuts those sides whose ends lie on
// different sides of the level: two of them, or all four at a saddle, where two corners
// that face each other are above it and two below. There the mean of the corners stands
// for the middle, and a piece goes round each of the two corners that differ from it. A
// corner exactly at the level counts as above, so that no cut is met twice or missed.
func (g *grid) cell(c, r int, level float64) [][2][2]float64 {
	corners := [4][2]int{{c, r}, {c + 1, r}, {c + 1, r + 1}, {c, r + 1}}
	var cuts [][2]float64
	sum := 0.0
	for i, p := range corners {
		q := corners[(i+1)%4]
		a, b := g.at(p[0], p[1]), g.at(q[0], q[1])
		sum += a
		// Both ends on one side: no cut.
		if a >= level == (b >= level) {
			continue
		}
		t := (level - a) / (b - a)
		cuts = append(cuts, [2]float64{float64(p[0]) + t*float64(q[0]-p[0]), float64(p[1]) + t*float64(q[1]-p[1])})
	}
	switch len(cuts) {
	case 2:
		return [][2][2]float64{{cuts[0], cuts[1]}}
	case 4:
		if sum/4 >= level == (g.at(c, r) >= level) {
			return [][2][2]float64{{cuts[0], cuts[1]}, {cuts[2], cuts[3]}}
		}
		return [][2][2]float64{{cuts[3], cuts[0]}, {cuts[1], cuts[2]}}
	}
	return nil
}

// joined strings pieces together by their ends. From its first piece a line grows
// forward until it closes or leaves the grid, then backward. Ends are looked up as
// they are: where rounding parts two neighbours, the line comes in two, which
// looks the same.
func joined(pieces [][2][2]float64) [][][2]float64 {
	ends := map[[2]float64][]int{}
	for i, p := range pieces {
		ends[p[0]] = append(ends[p[0]], i)
		ends[p[1]] = append(ends[p[1]], i)
	}
	// next returns the other end of a piece that begins or ends at p, and uses it up.
	used := make([]bool, len(pieces))
	next := func(p [2]float64) (q [2]float64, ok bool) {
		for _, i := range ends[p] {
			if !used[i] {
				used[i] = true
				if pieces[i][0] == p {
					return pieces[i][1], true
				}
				return pieces[i][0], true
			}
		}
		return q, false
	}
	var out [][][2]float64
	for i := range pieces {
		if used[i] {
			continue
		}
		used[i] = true
		line := [][2]float64{pieces[i][0], pieces[i][1]}
		for q, ok := next(line[len(line)-1]); ok; q, ok = next(q) {
			line = append(line, q)
		}
		var before [][2]float64
		for q, ok := next(line[0]); ok; q, ok = next(q) {
			before = append(before, q)
		}
		for k, j := 0, len(before)-1; k < j; k, j = k+1, j-1 {
			before[k], before[j] = before[j], before[k]
		}
		out = append(out, append(before, line...))
	}
	return out
}
