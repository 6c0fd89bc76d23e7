package living

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"
)

// Drift reaches from near 0 to near 1, never moves faster than it says, and takes some
// time of its own from turn to turn.
func TestDrift(t *testing.T) {
	const every, dt = 4 * time.Second, 20 * time.Millisecond
	low, high, turns, last, way := 1.0, 0.0, 0, 0.0, 0.0
	var all []float64
	for at := time.Duration(0); at < 4*time.Hour; at += dt {
		v := float64(Drift(3, every, at))
		if at > 0 {
			d := v - last
			if math.Abs(d) > 2.7*dt.Seconds()/every.Seconds() {
				t.Fatalf("moves by %.4f in 20 ms at %v", d, at)
			}
			if d*way < 0 {
				turns++
			}
			if d != 0 {
				way = d
			}
		}
		last, low, high = v, min(low, v), max(high, v)
		all = append(all, v)
	}
	mean, sd := stat.MeanStdDev(all, nil)
	if low > .02 || high < .98 || low < 0 || high > 1 || math.Abs(mean-.5) > .03 || math.Abs(sd-.25) > .03 {
		t.Errorf("from %.3f to %.3f, mean %.3f, standard deviation %.3f", low, high, mean, sd)
	}
	// Values drawn by lot have two turns in three (a row of three numbers is one when the middle
	// is the largest or the smallest of them: Bienaymé 1874).
	if per := 4 * 3600 / float64(turns); per < every.Seconds()*1.35 || per > every.Seconds()*1.65 {
		t.Errorf("turns every %.1f s", per)
	}
}

// A walk does not keep step: how it stands within its step, an even time on, is anything.
func TestWanderKeepsNoStep(t *testing.T) {
	x, y := 0.0, 0.0
	const n = 5000
	last := -1e9
	for i := range n {
		step, place := wander(5, time.Second, time.Duration(i)*time.Second)
		now := float64(step) + place
		if now-last < .15 {
			t.Fatalf("after a second it has gone %.2f steps", now-last)
		}
		last = now
		x += math.Cos(2*math.Pi*place) / n
		y += math.Sin(2*math.Pi*place) / n
	}
	if r := math.Hypot(x, y); r > .3 {
		t.Errorf("%.2f of the walk keeps step", r)
	}
}

func TestAmong(t *testing.T) {
	const dt = 50 * time.Millisecond
	for n := 1; n <= MostPoints; n++ {
		const every = 2 * time.Second
		w, last := make([]float32, n), make([]float32, n)
		var order []int
		for at := time.Duration(0); at < time.Hour; at += dt {
			Among(8, n, every, at, w)
			sum, moved := 0.0, 0.0
			for k, v := range w {
				if v < 0 || v > 1 {
					t.Fatalf("%d points at %v: weight %v", n, at, v)
				}
				if v > .95 && (len(order) == 0 || order[len(order)-1] != k) {
					order = append(order, k)
				}
				sum += float64(v)
				moved = max(moved, math.Abs(float64(v-last[k])))
			}
			if math.Abs(sum-1) > 1e-6 {
				t.Fatalf("%d points at %v: weights %v add up to %v", n, at, w, sum)
			}
			if at > 0 && moved > 2.7*dt.Seconds()/every.Seconds() {
				t.Fatalf("%d points: a weight moves by %.3f in 50 ms at %v", n, moved, at)
			}
			copy(last, w)
		}
		if n == 1 {
			continue
		}
		if want := 1800; math.Abs(float64(len(order)-want)) > 5 {
			t.Errorf("%d points: %d visits in an hour of 2 s each", n, len(order))
		}
		count := make([]int, n)
		for _, k := range order {
			count[k]++
		}
		for k, c := range count {
			if math.Abs(float64(c)-1800/float64(n)) > 3 {
				t.Errorf("%d points: point %d is visited %d times of 1800", n, k, c)
			}
		}
	}
}

func TestWanderingAtAnyInstant(t *testing.T) {
	random := rand.New(rand.NewPCG(15, 2))
	a, b := make([]float32, 5), make([]float32, 5)
	for range 500 {
		at, every := time.Duration(random.Int64N(int64(24*time.Hour)))-time.Hour, time.Duration(random.Int64N(int64(time.Minute)))
		seed := random.Uint64()
		v := Drift(seed, every, at)
		Among(seed, 5, every, at, a)
		Drift(seed+1, every, at+time.Hour)
		Among(seed, 5, every, at, b)
		if v != Drift(seed, every, at) || [5]float32(a) != [5]float32(b) || !(v >= 0 && v <= 1) {
			t.Fatalf("%v of %v is not the same when asked again", at, every)
		}
	}
	if n := testing.AllocsPerRun(100, func() { Drift(1, time.Second, time.Minute); Among(1, 5, time.Second, time.Minute, a) }); n > 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkWandering(b *testing.B) {
	b.Run("drift", func(b *testing.B) {
		i := 0
		for b.Loop() {
			Drift(uint64(i&63), 5*time.Second, time.Duration(i)*22*time.Millisecond)
			i++
		}
	})
	b.Run("among six", func(b *testing.B) {
		var dst [6]float32
		i := 0
		for b.Loop() {
			Among(uint64(i&63), 6, 5*time.Second, time.Duration(i)*22*time.Millisecond, dst[:])
			i++
		}
	})
}
