package draft

import (
	"fmt"
	"math"
	"strconv"

	"lampblack/score"
	"lampblack/source"
)

// number gives the drafted cues numbers that keep the order of time among the numbers
// that a person gave: fives where there is room, else point cues. Drafted cues between
// the same two numbers are numbered as a group, so that the gap is shared out evenly.
func (d *drafting) number() {
	cues := d.result.Cues
	for i := 0; i < len(cues); {
		low, high := d.between(&cues[i])
		j := i
		for j < len(cues) {
			if l, h := d.between(&cues[j]); l != low || h != high {
				break
			}
			j++
		}
		for k := i; k < j; k++ {
			cues[k].Number = source.Ref{Name: nth(low, high, k-i+1, j-i)}
		}
		i = j
	}
}

// between returns the numbers of the cues of persons before and after c; high
// is infinite when there is none.
func (d *drafting) between(c *score.Cue) (low, high float64) {
	high = math.Inf(1)
	for i := range d.plan.score.Cues {
		o := &d.plan.score.Cues[i]
		n, err := strconv.ParseFloat(o.Number.Name, 64)
		if err != nil {
			continue
		}
		if d.placed(o).Moment <= when(c) {
			low = max(low, n)
		} else {
			high = min(high, n)
		}
	}
	if high <= low { // their numbers do not follow time
		for i := range d.plan.score.Cues {
			if n, err := strconv.ParseFloat(d.plan.score.Cues[i].Number.Name, 64); err == nil {
				low = max(low, n)
			}
		}
		high = math.Inf(1)
	}
	return low, high
}

// nth is the k-th of n numbers between two. The largest step that fits is taken: fives
// leave room for what a person puts in between, thousandths are the finest that a cue
// number may have.
func nth(low, high float64, k, n int) string {
	if math.IsInf(high, 1) {
		return strconv.FormatFloat(math.Floor(low/5)*5+5*float64(k), 'f', -1, 64)
	}
	for _, step := range []float64{5, 1, .1, .01, .001} {
		first := math.Floor(low/step+1e-9)*step + step
		if first+step*float64(n-1) < high-step/1000 {
			return trim(first + step*float64(k-1))
		}
	}
	return trim(low + (high-low)*float64(k)/float64(n+1))
}

// trim writes a number in at most three decimals. Three decimals are what score.Read
// takes; below that numbers may repeat, which the reader then tells.
func trim(x float64) string {
	s, _ := strconv.ParseFloat(fmt.Sprintf("%.3f", x), 64)
	return strconv.FormatFloat(s, 'f', -1, 64)
}
