package living

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"

	"lampblack/check/flash"
)

// frames is the rate that natural light is sampled at here, per second.
const frames = 40

// hours is one unit of natural light, sampled from an instant of the night on.
func hours(n Natural, seed uint64, from time.Duration, h float64) ([]time.Duration, []float32) {
	times := make([]time.Duration, int(h*3600*frames))
	levels := make([]float32, len(times))
	for i := range times {
		times[i] = from + time.Duration(i)*time.Second/frames
		levels[i] = n.Level(seed, times[i])
	}
	return times, levels
}

// ofNature is what is claimed of each: the law of its spectrum and where it holds, Hz; mean
// and standard deviation.
var ofNature = map[Natural]struct {
	law      func(f float64) float64
	from, to float64
	mean, sd float64
}{
	Candle: {func(f float64) float64 { return knee(f, .25) + 2*knee(10.6, .25)*hump(f, 10.6, .2) }, .05, 13, .87, .04},
	Hearth: {func(f float64) float64 { return (knee(f, .2) + 3*knee(1.5, .2)*hump(f, 1.5, .25)) * average(f, 2) }, .05, 6, .54, .14},
	Water: {func(f float64) float64 {
		return math.Exp(-5./4*math.Pow(.625/f, 4)) / f / (1 + math.Pow(f/1.02, 4))
	}, .5, 2.8, .31, .13},
	Leaves:   {func(f float64) float64 { return (knee(f, .03) + 6*knee(.6, .03)*hump(f, .6, .3)) * average(f, 2) }, .01, 3, .46, .24},
	StormSky: {func(f float64) float64 { return knee(f, .03) }, .01, 1.5, .23, .15},
}

// knee is flat below f0 and falls with f^-5/3 above (Kolmogorov 1941).
func knee(f, f0 float64) float64 { return math.Pow(1+(f/f0)*(f/f0), -5./6) }

func hump(f, f0, width float64) float64 {
	d := math.Log(f/f0) / width
	return math.Exp(-d * d / 2)
}

func average(f, f0 float64) float64 { return 1 / (1 + (f/f0)*(f/f0)) }

// The spectrum of each is that of its source, half octave by half octave, to within 3.5 dB;
// no line stands above it: of some 70 averaged windows a bin of a continuum reaches at most 2.2 times
// its neighbours (χ² of 140 degrees, 8000 bins: 1.6; the steepest slopes add the rest).
func TestNaturalSpectra(t *testing.T) {
	const n = 1 << 14
	const width = frames / float64(n)
	for nature, want := range ofNature {
		_, levels := hours(nature, 7, 3*time.Hour, 4)
		psd := welch(levels, frames, n)
		var off []float64
		for f := want.from; f < want.to; f *= math.Sqrt2 {
			got := mean(psd, width, f/1.1, f*1.1)
			off = append(off, 10*math.Log10(got/want.law(f)))
		}
		middle := stat.Mean(off, nil)
		for i := range off {
			if d := off[i] - middle; math.Abs(d) > 3.5 {
				t.Errorf("%s at %.3f Hz: %.1f dB off its source", nature, want.from*math.Pow(2, float64(i)/2), d)
			}
		}
		if ratio, at := tallest(psd, width); ratio > 2.2 {
			t.Errorf("%s: a line of %.1f times its surroundings at %.3f Hz", nature, ratio, at)
		}
	}
}

// The law of moving air, f^-5/3, where nothing else lies on top, and where flames puff:
// f = 1.5/√D Hz (Cetegen and Ahmed 1993), D 20 mm and 1 m.
func TestNaturalLaws(t *testing.T) {
	const n = 1 << 13
	const width = frames / float64(n)
	for _, c := range []struct {
		nature   Natural
		from, to float64
	}{{Candle, .8, 6.4}, {StormSky, .1, 1}} {
		_, levels := hours(c.nature, 11, 0, 4)
		if got := slope(welch(levels, frames, n), width, c.from, c.to); math.Abs(got+5./3) > .25 {
			t.Errorf("%s falls with f^%.2f, not with f^-1.67", c.nature, got)
		}
	}
	for nature, across := range map[Natural]float64{Candle: .02, Hearth: 1} {
		far := math.Inf(1) // where the whole of the flame averages
		if nature == Hearth {
			far = 2
		}
		_, levels := hours(nature, 11, 0, 4)
		psd, want := welch(levels, frames, n), 1.5/math.Sqrt(across)
		best, at := 0.0, 0.0
		for f := want / 2; f < 1.6*want; f *= 1.05 {
			// The puffing stands out of a fall: its height over that of moving air.
			if v := mean(psd, width, f/1.05, f*1.05) * math.Pow(f, 5./3) / average(f, far); v > best {
				best, at = v, f
			}
		}
		if math.Abs(at/want-1) > .15 {
			t.Errorf("%s puffs at %.2f Hz, not at %.2f", nature, at, want)
		}
	}
}

func TestNaturalRange(t *testing.T) {
	for nature, want := range ofNature {
		var all []float64
		for seed := range uint64(4) {
			_, levels := hours(nature, seed, time.Hour, 2)
			for _, v := range levels {
				all = append(all, float64(v))
			}
		}
		mean, sd := stat.MeanStdDev(all, nil)
		if math.Abs(mean-want.mean) > .02 || math.Abs(sd/want.sd-1) > .1 {
			t.Errorf("%s: mean %.3f, standard deviation %.3f; said are %.2f and %.3f", nature, mean, sd, want.mean, want.sd)
		}
		if low, high := slices.Min(all), slices.Max(all); low < 0 || high > 1 {
			t.Errorf("%s leaves 0 to 1: %g to %g", nature, low, high)
		}
	}
}

// Two units have nothing in common, nor have two hours of one: the correlation of slow light
// over an hour is within four times what chance allows (1/√ of the independent spans).
func TestNaturalUnitsAreTheirOwn(t *testing.T) {
	for nature := range ofNature {
		_, a := hours(nature, 0, 0, 2)
		for name, b := range map[string]struct {
			seed uint64
			from time.Duration
		}{"the next unit": {1, 0}, "a unit far off": {1 << 40, 0}, "later": {0, 2 * time.Hour}, "the next night": {0, 24 * time.Hour}} {
			_, other := hours(nature, b.seed, b.from, 2)
			if r := correlation(a, other); math.Abs(r) > .16 {
				t.Errorf("%s: correlation with %s %.2f", nature, name, r)
			}
		}
	}
}

// Nor have two natures of one seed.
func TestNaturesAreTheirOwn(t *testing.T) {
	all := Natural("").Choices()
	for i, a := range all {
		_, x := hours(Natural(a), 4, 0, 1)
		for _, b := range all[:i] {
			_, y := hours(Natural(b), 4, 0, 1)
			if r := correlation(x, y); math.Abs(r) > .16 {
				t.Errorf("%s and %s: correlation %.2f", a, b, r)
			}
		}
	}
}

func correlation(a, b []float32) float64 {
	x, y := make([]float64, len(a)), make([]float64, len(a))
	for i := range a {
		x[i], y[i] = float64(a[i]), float64(b[i])
	}
	return stat.Correlation(x, y, nil)
}

// At full depth on a white of 200 cd/m2 no second holds more than the three flashes of
// WCAG 2.2 SC 2.3.1, as package flash counts them.
func TestNaturalLightDoesNotFlash(t *testing.T) {
	nights := 1
	if os.Getenv("LAMPBLACK_LONG") != "" {
		nights = 24
	}
	for nature := range ofNature {
		for seed := range uint64(nights) {
			times, levels := hours(nature, seed, 0, 3)
			for i := range levels {
				levels[i] *= 200
			}
			var at []time.Duration
			for _, f := range flash.General(&flash.WCAG, times, levels) {
				if f.Up {
					at = append(at, f.At)
				}
			}
			for i := flash.WCAG.Most; i < len(at); i++ {
				if at[i]-at[i-flash.WCAG.Most] < time.Second {
					t.Errorf("%s, unit %d: four flashes in the second from %v", nature, seed, at[i-flash.WCAG.Most])
				}
			}
		}
	}
}

// A level depends on seed and instant alone, moves without a jump, and without a corner: over
// a millisecond neither it nor its slope changes by more than its fastest lobe can make.
func TestNaturalAtAnyInstant(t *testing.T) {
	random := rand.New(rand.NewPCG(15, 1))
	for nature := range ofNature {
		want := map[time.Duration]float32{}
		for range 300 {
			at := time.Duration(random.Int64N(int64(12*time.Hour))) - time.Hour
			want[at] = nature.Level(5, at)
		}
		for at, v := range want { // in any order
			if got := nature.Level(5, at); got != v {
				t.Fatalf("%s at %v: %v, and %v when asked again", nature, at, v, got)
			}
			const ms = time.Millisecond
			before, after := nature.Level(5, at-ms), nature.Level(5, at+ms)
			if d := math.Abs(float64(after - v)); d > .008 {
				t.Errorf("%s jumps by %.4f within 1 ms at %v", nature, d, at)
			}
			if d := math.Abs(float64(after - 2*v + before)); d > 3e-4 {
				t.Errorf("%s has a corner at %v: %.5f", nature, at, d)
			}
		}
	}
	if v := Natural("moon").Level(1, time.Second); v != 1 {
		t.Errorf("a word that is none stands at %v", v)
	}
}

// A lobe's edges lie where its cells meet: there value and slope go on.
func TestLobeHasNoSeams(t *testing.T) {
	l := lobe{rate: 2, size: 1, dent: 9}
	for cell := range 2000 {
		x := float64(cell) / l.rate
		const h = 1e-5
		if d := math.Abs(l.at(3, x+h) - 2*l.at(3, x) + l.at(3, x-h)); d > 1e-6 {
			t.Errorf("a seam at %v s: %g", x, d)
		}
	}
}

// Mean and variance of a lobe are the same wherever in its cell one looks: nothing of it keeps
// step with anything. They are those of the formulas in its comment.
func TestLobeKeepsNoStep(t *testing.T) {
	l := lobe{rate: 1, size: 1, dent: 9}
	const cells = 100_000
	for _, place := range []float64{0, .25, .5, .75} {
		var x []float64
		for c := range cells {
			x = append(x, l.at(9, float64(c)+place))
		}
		mean, v := stat.MeanVariance(x, nil)
		// ∫k² is 0.5135 for dent 9 (by Simpson's rule), a third of it the variance.
		if math.Abs(mean) > .006 || math.Abs(v/.17116-1) > .025 {
			t.Errorf("at %.2f of a cell: mean %.4f, variance %.4f", place, mean, v)
		}
	}
}

func TestLevelAllocatesNothing(t *testing.T) {
	for nature := range ofNature {
		if n := testing.AllocsPerRun(100, func() { nature.Level(3, time.Minute) }); n > 0 {
			t.Errorf("%s: %v allocations", nature, n)
		}
	}
}

// A light's cost, and as a multiple of that of one sine, which is what a light that
// repeats would take.
func BenchmarkNatural(b *testing.B) {
	for _, w := range Natural("").Choices() {
		b.Run(w, func(b *testing.B) {
			n, i := Natural(w), 0
			var sum float32
			for b.Loop() {
				sum += n.Level(uint64(i&63), time.Duration(i)*22*time.Millisecond)
				i++
			}
			took := b.Elapsed()
			begin := time.Now()
			x := 0.0
			for k := range i {
				x += math.Sin(float64(k))
			}
			b.ReportMetric(float64(took)/float64(time.Since(begin)), "sines")
			if sum == 0 && x == 0 {
				b.Fatal("dark")
			}
		})
	}
}

// Sheets are those of all cells, of which only two need to be asked; they come and go slowly.
func TestSheets(t *testing.T) {
	tops, last := 0, 0.0
	for s := -100.0; s < 20_000; s += .05 {
		sum := 0.0
		cell := math.Floor(s / sheetCell)
		for d := -3.0; d <= 3; d++ {
			sum += oneSheet(5, cell+d, s/sheetCell-cell-d)
		}
		got := sheet(5, s)
		if math.Abs(got-sheetHighest*sum) > 1e-9 {
			t.Fatalf("at %.2f s: %v, not %v", s, got, sheetHighest*sum)
		}
		// (1-u²)² is steepest at u = 1/√3, by 1.54 in the time of the rise.
		if d := math.Abs(got - last); d > 1.55*sheetHighest*.05/sheetRise {
			t.Fatalf("at %.2f s: by %.3f in 50 ms", s, d)
		}
		if last == 0 && got > 0 {
			tops++
		}
		last = got
	}
	// Cells that have one follow one another at any distance; some two meet.
	if want := 20_100 / sheetCell * sheetOften; math.Abs(float64(tops)/want-1) > .15 {
		t.Errorf("%d sheets in 20100 s, and some %.0f were to come", tops, want)
	}
}
