package meet

import (
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"lampblack/check/flash"
)

// nasty is a short line with corners as near as a millisecond: pulses, stairs, and
// ramps that bend.
func nasty(r *rand.Rand, length int) drawn {
	var d drawn
	rests := r.IntN(3)
	top := []float64{12, 15, 30, 80}[r.IntN(4)]
	d.add(0, top*r.Float64())
	at := 0
	for at < length {
		last := d.y[len(d.y)-1]
		if rests > 0 {
			at += rests * r.IntN(500)
			d.add(at, last)
		}
		switch r.IntN(4) {
		case 0: // pulses
			for range 1 + r.IntN(5) {
				wide := 1 + r.IntN(30)
				d.add(at+1, top)
				d.add(at+1+wide, top)
				d.add(at+2+wide, 0)
				at += 2 + wide + 1 + r.IntN(40)
				d.add(at, 0)
			}
		case 1: // stairs
			way := top / 4 * float64(1-2*r.IntN(2))
			for range 4 {
				last = max(last+way, 0)
				d.add(at+1, last)
				at += 2 + r.IntN(25)
				d.add(at, last)
			}
		case 2: // a ramp
			at += 10 + r.IntN(200)
			d.add(at, top*r.Float64())
		case 3: // a ripple
			for range 6 {
				at += 1 + r.IntN(12)
				d.add(at, max(0, last+top*(r.Float64()-.5)))
			}
		}
	}
	return d
}

// sumOf is the light of one alignment over a run of the first line and some, by corners;
// shift is in microseconds, and may lie between milliseconds.
func sumOf(a, b *drawn, shift int) (times []time.Duration, sum []float32) {
	na, nb := (a.at[len(a.at)-1]+1)*1000, (b.at[len(b.at)-1]+1)*1000
	end := na + 1500_000
	var list []int
	corners := func(d *drawn, n, by int) {
		for turn := -1; turn*n-by < end; turn++ {
			for _, ms := range d.at {
				if t := turn*n + ms*1000 - by; t >= 0 && t <= end {
					list = append(list, t)
				}
			}
		}
	}
	corners(a, na, 0)
	corners(b, nb, shift)
	slices.Sort(list)
	for _, t := range slices.Compact(list) {
		times = append(times, time.Duration(t)*time.Microsecond)
		sum = append(sum, float32(a.fine(t))+float32(b.fine(t+shift)))
	}
	return times, sum
}

// finely is the worst second of one alignment.
func finely(a, b *drawn, shift int) int {
	times, sum := sumOf(a, b, shift)
	return flash.Count([]flash.Spot{{Area: 1, Flashes: flash.General(&flash.BT, times, sum)}}, nil, .25).Count
}

func (d *drawn) fine(us int) float64 {
	n := (d.at[len(d.at)-1] + 1) * 1000
	us = ((us % n) + n) % n
	low, high := d.value(us/1000), d.value(us/1000+1)
	return low + float64(us%1000)/1000*(high-low)
}

// Of short lines that do all that is nasty no alignment exceeds the bound: all in steps of
// 1 ms under LAMPBLACK_LONG, and in any case many that lie between whole milliseconds.
func TestNoAlignmentIsWorse(t *testing.T) {
	n, draws := 24, 40
	if os.Getenv("LAMPBLACK_LONG") != "" {
		n, draws = 150, 300
	}
	spread, equal := map[int]int{}, 0
	for i := range n {
		r := rand.New(rand.NewPCG(99, uint64(i)))
		a, b := nasty(r, 600+r.IntN(2000)), nasty(r, 600+r.IntN(2000))
		bound := Most(eyeOf(a, b), Options{Area: .25, Work: []int{20e6, 1e6, 10e3}[i%3]})
		most := 0
		length := (b.at[len(b.at)-1] + 1) * 1000
		for range draws {
			most = max(most, finely(&a, &b, r.IntN(length)))
		}
		for shift := 0; shift < length && os.Getenv("LAMPBLACK_LONG") != ""; shift += 1000 {
			most = max(most, finely(&a, &b, shift))
		}
		if most > bound.Count {
			t.Errorf("pair %d: %d flashes, and the bound is %+v", i, most, bound)
		}
		if most == bound.Count {
			equal++
		}
		spread[most]++
	}
	t.Logf("%d pairs by their worst: %v; equal in %d", n, spread, equal)
}

// Every second of many alignments has no more flashes than each bound of the cell in
// which it begins: apart, the tubes of all pairs of widths, and the stairs.
func TestCellsAreBounded(t *testing.T) {
	n := 60
	if os.Getenv("LAMPBLACK_LONG") != "" {
		n = 1500
	}
	seen, tight := map[string]int{}, map[string]int{}
	for i := range n {
		r := rand.New(rand.NewPCG(55, uint64(i)))
		a, b := nasty(r, 600+r.IntN(2000)), nasty(r, 600+r.IntN(2000))
		if i%3 == 0 {
			a, b = draw(r, kindsDrawn[1+r.IntN(4)], 3000), draw(r, kindsDrawn[1+r.IntN(4)], 3000)
		}
		e := eyeOf(a, b)
		s := search{rule: &flash.BT}
		s.a = partOf(curveOf(&e.Lines[0], e.Spots[0].Light[0], luminance, tail), 20)
		s.b = partOf(curveOf(&e.Lines[1], e.Spots[0].Light[1], luminance, tail), 20)
		na, nb := s.a.starts*1000, s.b.starts*1000
		for range 4 {
			shift := r.IntN(nb)
			if r.IntN(2) == 0 {
				shift -= shift % 1000
			}
			times, sum := sumOf(&a, &b, shift)
			flashes := flash.General(&flash.BT, times, sum)
			for n, lead := range flashes {
				from := lead.At
				if n%2 == 1 { // the second that ends with it
					from -= flash.Second - flash.Grain - time.Microsecond
				}
				at := int(from / time.Microsecond)
				if at < 0 || at >= na {
					continue
				}
				count := 0
				for _, ev := range flash.Union([]flash.Spot{{Area: 1, Flashes: flashes}}, lead.Up, .25) {
					if d := ev.At - from; d >= 0 && d < flash.Second-flash.Grain {
						count++
					}
				}
				check := func(what string, bound int) {
					seen[what]++
					if count == bound {
						tight[what]++
					}
					if count > bound {
						t.Errorf("pair %d, shift %d us, at %d us: %d flashes, and the bound is %d (%s)", i, shift, at, count, bound, what)
					}
				}
				other := (at + shift) % nb
				in := func(l, us int) int { return us / 1000 / widths[l] }
				for l := range lastApart + 1 {
					check("apart", apart(&s.a.changes[l][in(l, at)], &s.b.changes[l][in(l, other)], 20))
				}
				la, lb := firstTube+r.IntN(len(widths)-firstTube), firstTube+r.IntN(len(widths)-firstTube)
				check("tube", s.tube(la, lb, in(la, at), in(lb, other)))
				check("tube of 2 ms", s.tube(lastLevel, lastLevel, in(lastLevel, at), in(lastLevel, other)))
				if r.IntN(4) == 0 {
					check("stairs", s.stairs(cell{a: int32(in(lastLevel, at)), b: int32(in(lastLevel, other))}))
				}
			}
		}
	}
	t.Logf("seconds looked at, by bound: %v; of which as many flashes as the bound: %v", seen, tight)
}
