package flash

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// The naive counter: frame by frame at 1 ms, extremes found by pruning instead
// of by walking, unions and windows by trying everything. It shares no code
// with the package.

type naiveFlash struct{ at, end float64 } // ms

func naiveCounts(low, high, step, bright, contrast float64) float64 {
	if low < bright {
		return (high - low) / step
	}
	if contrast == 0 {
		return 0
	}
	return (high - low) / (high + low) / contrast
}

// naiveFrames samples straight lines between corners on whole milliseconds.
func naiveFrames(at []int, values []float64) []float64 {
	var frames []float64
	for i := 1; i < len(at); i++ {
		for ms := at[i-1]; ms < at[i]; ms++ {
			share := float64(ms-at[i-1]) / float64(at[i]-at[i-1])
			frames = append(frames, values[i-1]+share*(values[i]-values[i-1]))
		}
	}
	return append(frames, values[len(values)-1])
}

// naiveExtremes starts from all frames and removes the least neighbours' pair
// until every difference that is left counts.
func naiveExtremes(frames []float64, step, bright, contrast float64) []int {
	var list []int
	for i := range frames {
		for len(list) >= 2 && (frames[list[len(list)-1]]-frames[list[len(list)-2]])*(frames[i]-frames[list[len(list)-1]]) >= 0 {
			list = list[:len(list)-1]
		}
		if len(list) == 0 || frames[i] != frames[list[len(list)-1]] {
			list = append(list, i)
		}
	}
	for len(list) > 1 {
		worst, where := math.Inf(1), -1
		for i := 0; i+1 < len(list); i++ {
			a, b := frames[list[i]], frames[list[i+1]]
			if math.Abs(a-b) < worst && naiveCounts(math.Min(a, b), math.Max(a, b), step, bright, contrast) < 1 {
				worst, where = math.Abs(a-b), i
			}
		}
		if where < 0 {
			break
		}
		switch where {
		case 0:
			list = list[1:]
		case len(list) - 2:
			list = list[:len(list)-1]
		default:
			list = append(list[:where], list[where+2:]...)
		}
	}
	if len(list) < 2 {
		return nil
	}
	list = append(list, len(frames))
	for i := 0; i+1 < len(list); i++ { // of equal extremes the last
		for k := list[i]; k < list[i+1]; k++ {
			if frames[k] == frames[list[i]] {
				list[i] = k
			}
		}
	}
	return list[:len(list)-1]
}

func naiveFlashes(frames []float64, rising bool, step, bright, contrast float64) []naiveFlash {
	extremes := naiveExtremes(frames, step, bright, contrast)
	var changes []float64
	var up []bool
	for i := 0; i+1 < len(extremes); i++ {
		a, b := frames[extremes[i]], frames[extremes[i+1]]
		middle := (a + b) / 2
		at := float64(extremes[i])
		for k := extremes[i]; k < extremes[i+1]; k++ {
			if (frames[k]-middle)*(b-a) <= 0 {
				at = float64(k) + (middle-frames[k])/(frames[k+1]-frames[k])
			}
		}
		changes, up = append(changes, at), append(up, b > a)
	}
	var out []naiveFlash
	for i := 0; i+1 < len(changes); i++ {
		if up[i] == rising && changes[i+1]-changes[i] <= 1000 {
			out = append(out, naiveFlash{changes[i], changes[i+1]})
		}
	}
	return out
}

func naiveCount(spots [][]float64, areas []float64, step, bright, contrast float64) int {
	most := 0
	for _, rising := range []bool{true, false} {
		type lead struct {
			at   float64
			spot int
			used bool
		}
		var leads []lead
		for s, frames := range spots {
			for _, f := range naiveFlashes(frames, rising, step, bright, contrast) {
				leads = append(leads, lead{f.at, s, false})
			}
		}
		var events []float64
		for {
			first, found := math.Inf(1), false
			for i := range leads {
				if leads[i].used || leads[i].at >= first {
					continue
				}
				seen := map[int]bool{}
				sum := 0.0
				for j := range leads {
					if !leads[j].used && leads[j].at >= leads[i].at && leads[j].at <= leads[i].at+20 && !seen[leads[j].spot] {
						seen[leads[j].spot] = true
						sum += areas[leads[j].spot]
					}
				}
				if sum > .25 {
					first, found = leads[i].at, true
				}
			}
			if !found {
				break
			}
			events = append(events, first)
			for j := range leads {
				if leads[j].at <= first+20 {
					leads[j].used = true
				}
			}
		}
		for _, a := range events {
			n := 0
			for _, b := range events {
				if b >= a && b-a < 998 {
					n++
				}
			}
			most = max(most, n)
		}
	}
	return most
}

// randomShow is a few spots with jumps, ramps, plateaus, trains and ripples.
func randomShow(r *rand.Rand) (at [][]int, values [][]float64, areas []float64) {
	for range 1 + r.IntN(4) {
		t, v := []int{0}, []float64{float64(r.IntN(3)) * 60 * r.Float64()}
		top := []float64{25, 60, 120, 400}[r.IntN(4)]
		for t[len(t)-1] < 2500 {
			last, now := t[len(t)-1], v[len(v)-1]
			switch r.IntN(4) {
			case 0: // a jump and a plateau
				t = append(t, last+1, last+1+10+r.IntN(300))
				x := top * r.Float64()
				v = append(v, x, x)
			case 1: // a ramp
				t = append(t, last+20+r.IntN(400))
				v = append(v, top*r.Float64())
			case 2: // a train
				period := 60 + r.IntN(400)
				low, high := top*r.Float64()*.5, top*r.Float64()
				for range 1 + r.IntN(5) {
					last = t[len(t)-1]
					t = append(t, last+1, last+period/2, last+period/2+1, last+period)
					v = append(v, high, high, low, low)
				}
			case 3: // a ripple
				for range 1 + r.IntN(6) {
					t = append(t, t[len(t)-1]+7+r.IntN(30))
					v = append(v, math.Max(0, now+10*(r.Float64()-.5)))
				}
			}
		}
		at, values = append(at, t), append(values, v)
		areas = append(areas, []float64{.1, .15, .3, .9}[r.IntN(4)]+.01*r.Float64())
	}
	return at, values, areas
}

// The counter agrees with the naive one on 2,000 random shows.
func TestAgreesWithNaiveCounter(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 160))
	spread := map[int]int{}
	for show := range 2000 {
		at, values, areas := randomShow(r)
		rule := BT
		if show%2 == 0 {
			rule = WCAG
		}
		var spots []Spot
		var frames [][]float64
		for i := range at {
			var times []time.Duration
			var lum []float32
			single := make([]float64, len(values[i]))
			for k := range at[i] {
				times = append(times, time.Duration(at[i][k])*time.Millisecond)
				lum = append(lum, float32(values[i][k]))
				single[k] = float64(lum[k])
			}
			spots = append(spots, Spot{areas[i], General(&rule, times, lum)})
			frames = append(frames, naiveFrames(at[i], single))
		}
		got := Count(spots, nil, .25).Count
		want := naiveCount(frames, areas, rule.Step, rule.Bright, rule.Contrast)
		spread[want]++
		if got != want {
			t.Fatalf("show %d: %d flashes, the naive counter finds %d\n%v\n%v\n%v", show, got, want, at, values, areas)
		}
	}
	t.Logf("shows by their count: %v", spread)
	if len(spread) < 8 {
		t.Error("the random shows do not spread over enough counts to show anything")
	}
}
