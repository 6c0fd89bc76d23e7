package retake

import (
	"fmt"
	"math"
	"regexp"
	"testing"

	"lampblack/plate/drawing"
)

// A parabola through three counts has its highest point where algebra has it:
// counts of c - a(x - x0)² peak at x0.
func TestPeak(t *testing.T) {
	const reach = 8
	for _, x0 := range []float64{-5.25, -1.5, -.25, 0, .25, 3.75, 7} {
		var counts []int
		for lag := -reach; lag <= reach; lag++ {
			counts = append(counts, int(1e6-1600*(float64(lag)-x0)*(float64(lag)-x0)))
		}
		lag, height := peak(counts, reach)
		if math.Abs(lag-x0) > 1e-9 || height > 1e6 || height < 1e6-1600*.25 {
			t.Errorf("a peak at %v is found at %v, %v high", x0, lag, height)
		}
	}
	// At an end, and on a plateau, there is no parabola.
	for want, counts := range map[float64][]int{-1: {5, 4, 3}, 1: {3, 4, 5}} {
		if lag, height := peak(counts, 1); lag != want || height != 5 {
			t.Errorf("%v: %v, %v high", counts, lag, height)
		}
	}
}

// The speeds to try: what the codes say and half a hundredth to both sides, and
// the old speed before all where they say it to six thousandths.
func TestTapes(t *testing.T) {
	for slope, first := range map[float64]float64{1: 1, 1.0059: 1, .9941: 1, 1.0061: 1.0061, .9939: .9939, 1.03: 1.03} {
		all := (&run{slope: slope}).tapes()
		if all[0] != first {
			t.Errorf("at %v the first is %v", slope, all[0])
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, s := range all[len(all)-11:] {
			low, high = min(low, s), max(high, s)
		}
		if math.Abs(low-slope+.005) > 1e-9 || math.Abs(high-slope-.005) > 1e-9 {
			t.Errorf("at %v they reach from %v to %v", slope, low, high)
		}
	}
}

// Blocks on one line are one chain, over pauses of up to 15 s (600 frames); others
// are chains of their own. Few blocks keep the slope that the first was found at.
func TestChains(t *testing.T) {
	on := func(at int, old float64) match { return match{at: at, old: old, slope: 1, shift: 1} }
	for name, c := range map[string]struct {
		all  []match
		want []int // blocks of the chains, in the order of their first
	}{
		"one line":         {[]match{on(40, 140), on(60, 160), on(80, 180)}, []int{3}},
		"a long pause":     {[]match{on(40, 140), on(640, 740)}, []int{2}},
		"too long a pause": {[]match{on(40, 140), on(641, 741)}, []int{1, 1}},
		"two lines":        {[]match{on(40, 140), on(60, 500), on(80, 180), on(100, 540)}, []int{2, 2}},
		"nearly on it":     {[]match{on(40, 140), on(60, 163)}, []int{2}},
		"not on it":        {[]match{on(40, 140), on(60, 164)}, []int{1, 1}},
		"another pitch":    {[]match{on(40, 140), {at: 60, old: 160, slope: 1, shift: 1.03}}, []int{1, 1}},
		"the next pitch":   {[]match{on(40, 140), {at: 60, old: 160, slope: 1, shift: 1.02}}, []int{2}},
		"the nearer line":  {[]match{on(40, 140), on(40, 142), on(60, 160)}, []int{2, 1}},
	} {
		first := map[float64]int{}
		for _, ch := range chains(c.all) {
			first[ch.blocks[0].old] = len(ch.blocks)
		}
		var got []int
		for _, m := range c.all {
			if n, ok := first[m.old]; ok {
				got = append(got, n)
			}
		}
		if fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("%s: chains of %v blocks, want %v", name, got, c.want)
		}
	}
	few := chain{[]match{{at: 100, old: 200, slope: 1.01}, {at: 120, old: 220.5, slope: .98}}}
	if r := few.run(); r.slope != 1.01 || r.from != 100*hop || r.to != 120*hop || math.Abs(r.place(110*hop)-210.25*hop) > 1e-6 {
		t.Errorf("a run of two blocks: %+v", r)
	}
	var many chain
	for k := range 8 {
		many.blocks = append(many.blocks, match{at: 100 + 20*k, old: 50 + 20.2*float64(k), slope: 1, wrong: .1})
	}
	if r := many.run(); math.Abs(r.slope-1.01) > 1e-9 || math.Abs(r.wrong-.1) > 1e-9 || math.Abs(r.when(r.place(12345))-12345) > 1e-6 {
		t.Errorf("a run of eight blocks: %+v", r)
	}
}

// Runs that all but reach the ends of the take, to 25 ms, do reach them, as far as
// the old track goes.
func TestSnapToTheEnds(t *testing.T) {
	const n = 10 * rate
	a := &aligner{p: &Print{signs: signs{n: n}}, t: &take{signal: make([]float32, n)}}
	for name, c := range map[string]struct {
		from, to, old float64 // new time of the run, and how much later it is in the old track
		first, last   float64
	}{
		"near both ends":         {.02, 9.98, 0, 0, 10},
		"far from both":          {.03, 9.97, 0, .03, 9.97},
		"the old begins later":   {.02, 9.5, -.01, .01, 9.5},
		"the old ends before":    {.5, 9.98, .01, .5, 9.99},
		"the old ends far ahead": {.5, 9.98, .03, .5, 9.98},
		"of the middle":          {3, 4, 0, 3, 4},
	} {
		r := &run{from: c.from * rate, to: c.to * rate, slope: 1, old: c.old * rate}
		a.snap([]*run{r})
		if math.Abs(r.from/rate-c.first) > 1e-9 || math.Abs(r.to/rate-c.last) > 1e-9 {
			t.Errorf("%s: from %v s to %v s", name, r.from/rate, r.to/rate)
		}
	}
	a.snap(nil)
}

// A gap hides the old sound where the take is as loud as that was, and at its
// inside, 0.2 s off its ends, so soft that noise covers it.
func TestHidden(t *testing.T) {
	const frames = 200
	fill := func(level uint8) []uint8 {
		out := make([]uint8, frames)
		for i := range out {
			out[i] = level
		}
		return out
	}
	gap := span{50 * hop, 100 * hop}
	reach := leak / hop // frames that hear the sound beside the gap
	for name, c := range map[string]struct {
		change func(old, new []uint8)
		want   bool
	}{
		"as soft as noise":            {func(old, new []uint8) {}, true},
		"louder than it was":          {func(old, new []uint8) { new[75] = 80 }, false},
		"as loud as it was":           {func(old, new []uint8) { old[75], new[75] = 80, 80 }, false},
		"as loud, at the beginning":   {func(old, new []uint8) { old[51], new[51] = 80, 80 }, true},
		"as loud, just inside":        {func(old, new []uint8) { old[51+reach], new[51+reach] = 80, 80 }, false},
		"as loud, at the end":         {func(old, new []uint8) { old[99], new[99] = 80, 80 }, true},
		"as loud, just before":        {func(old, new []uint8) { old[99-reach], new[99-reach] = 80, 80 }, false},
		"louder, at the end":          {func(old, new []uint8) { new[99] = 80 }, false},
		"loud in the gap's neighbour": {func(old, new []uint8) { new[101] = 80 }, true},
	} {
		old, new := fill(20), fill(22)
		c.change(old, new)
		a := &aligner{p: &Print{level: old}, t: &take{level: new}, floor: 20}
		if got := a.hidden(&run{slope: 1}, gap); got != c.want {
			t.Errorf("%s: hidden %v", name, got)
		}
	}
}

// What is doubtful is pale; of the rest the old speed is green, another blue.
func TestSpanColour(t *testing.T) {
	pale, blue, green := drawing.Hex(0xd9d2b0), drawing.Hex(0x7fa8d8), drawing.Hex(0x8cc08c)
	for _, c := range []struct {
		s    Span
		want any
	}{
		{Span{Confidence: .49, Speed: 1}, pale}, {Span{Confidence: .51, Speed: 1}, green}, {Span{Confidence: .5, Speed: 1.001}, blue},
		{Span{Confidence: 1, Speed: .999}, blue}, {Span{Confidence: 1, Speed: 1.00001}, green}, {Span{Confidence: 0, Speed: 1.1}, pale},
	} {
		if got := spanColour(c.s); got != c.want {
			t.Errorf("sureness %v, speed %v: %v", c.s.Confidence, c.s.Speed, got)
		}
	}
}

// Hatching covers the whole of a bar: no place of it is farther from a line than
// two lines are from each other.
func TestHatched(t *testing.T) {
	d := drawing.New(400, 100, "")
	hatched(d, 60, 40, 100)
	svg, err := d.SVG()
	if err != nil {
		t.Fatal(err)
	}
	var starts []float64
	for _, m := range regexp.MustCompile(`<path d="M([0-9.]+) 40L([0-9.]+) 66"`).FindAllSubmatch(svg, -1) {
		var a, b float64
		fmt.Sscan(string(m[1]), &a)
		fmt.Sscan(string(m[2]), &b)
		if math.Abs(a-b-26) > .02 {
			t.Errorf("a line falls from %v to %v", a, b)
		}
		starts = append(starts, a)
	}
	for x := 60.0; x <= 160; x++ {
		for y := 0.0; y <= 26; y++ {
			nearest := math.Inf(1)
			for _, s := range starts {
				nearest = min(nearest, math.Abs(s-(x+y)))
			}
			if nearest > 8.5 {
				t.Fatalf("no line within 8.5 pixels of %v, %v", x, 40+y)
			}
		}
	}
}
