package soundtrack

import (
	"cmp"
	_ "embed"
	"slices"

	"lampblack/soundtrack/net"
)

// The judging network's weights, written by
//
//	go run ./soundtrack/train
//
//go:embed hit.net
var builtInBytes []byte

var builtIn = func() *net.Net {
	n, err := net.Read(builtInBytes)
	if err != nil {
		panic("soundtrack: " + err.Error())
	}
	return n
}()

const (
	// enoughScore makes a peak a hit; it is where precision and recall balance
	// on the training material.
	enoughScore = 0.4
	// closest is how near two hits may be; of nearer ones the surer stays.
	closest = 0.030 // s
)

// chosen returns the peaks that are hits, by time. The surest are taken first, and keep
// others away within closest.
func chosen(peaks []peak, enough float64) []peak {
	order := make([]int, 0, len(peaks))
	for i, p := range peaks {
		if p.Score >= enough {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(peaks[b].Score, peaks[a].Score) })
	keep := make([]bool, len(peaks))
	for _, i := range order {
		keep[i] = !crowded(peaks, keep, i)
	}
	var out []peak
	for i, p := range peaks {
		if keep[i] {
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b peak) int { return cmp.Compare(a.Time, b.Time) })
	return out
}

// crowded says whether a kept peak lies closest or nearer to peak i. Peaks are
// in order of frame, and their times within a few frames of it.
func crowded(peaks []peak, keep []bool, i int) bool {
	const reach = 12 // frames
	// The network may move a peak's time by a few frames either way, hence the wider reach.
	near := func(k int) bool {
		return keep[k] && max(peaks[k].Time-peaks[i].Time, peaks[i].Time-peaks[k].Time) < closest
	}
	for k := i - 1; k >= 0 && peaks[i].Frame-peaks[k].Frame < reach; k-- {
		if near(k) {
			return true
		}
	}
	for k := i + 1; k < len(peaks) && peaks[k].Frame-peaks[i].Frame < reach; k++ {
		if near(k) {
			return true
		}
	}
	return false
}
