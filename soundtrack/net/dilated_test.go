package net

import (
	"bytes"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

func noise(r *rand.Rand, rows, steps int) [][]float32 {
	out := make([][]float32, rows)
	for i := range out {
		for range steps {
			out[i] = append(out[i], float32(r.NormFloat64()))
		}
	}
	return out
}

// plainRun is the formula of the documentation, value by value.
func plainRun(n *Dilated, in [][]float32) [][]float64 {
	x := make([][]float64, len(in))
	for i, row := range in {
		for _, v := range row {
			x[i] = append(x[i], float64(v))
		}
	}
	for i, l := range n.layers {
		next := make([][]float64, l.out)
		for o := range next {
			for t := range in[0] {
				v := float64(l.b[o])
				for c := range l.in {
					for k := range l.taps {
						if at := t + (k-l.taps/2)*l.span; at >= 0 && at < len(in[0]) {
							v += float64(l.w[(o*l.in+c)*l.taps+k]) * x[c][at]
						}
					}
				}
				if i < len(n.layers)-1 {
					v = max(v, 0)
				}
				if i > 0 && i < len(n.layers)-1 {
					v += x[o][t]
				}
				next[o] = append(next[o], v)
			}
		}
		x = next
	}
	return x
}

// What Run gives, against the formula, also where a sound is longer than one run.
func TestRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		n := NewDilated(r.Uint64(), 1+r.IntN(4), 1+r.IntN(4), 1+r.IntN(2), []int{1, 2, 5}[:1+r.IntN(3)]...)
		in := noise(r, n.Inputs, 1+r.IntN(60))
		if r.IntN(20) == 0 {
			in = noise(r, n.Inputs, longestRun+r.IntN(30))
		}
		want, got := plainRun(n, in), n.Run(in)
		for o := range want {
			for i := range want[o] {
				if math.Abs(want[o][i]-float64(got[o][i])) > 1e-3 {
					t.Fatalf("output %d step %d of %d: %v, want %v", o, i, len(in[0]), got[o][i], want[o][i])
				}
			}
		}
	})
}

// The gradient against differences of the loss itself.
func TestDilatedGradient(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	n := NewDilated(5, 3, 4, 2, 1, 2, 4)
	for _, l := range n.layers {
		for i := range l.b {
			l.b[i] = float32(0.2 * r.NormFloat64())
		}
	}
	in, want := noise(r, 3, 24), noise(r, 2, 24)
	slopeOf := func(d, out [][]float32) (loss float64) {
		for o := range out {
			for i, v := range out[o] {
				d[o][i] = v - want[o][i]
				loss += 0.5 * float64(d[o][i]*d[o][i])
			}
		}
		return loss
	}
	g := &slope{sum: blankDilated(3, 4, 2, n.Spans)}
	g.add(n, Passage{in, slopeOf})
	loss := func() (sum float64) {
		for o, row := range plainRun(n, in) {
			for i, v := range row {
				d := v - float64(want[o][i])
				sum += 0.5 * d * d
			}
		}
		return sum
	}
	for l := range n.layers {
		for part, w := range [][]float32{n.layers[l].w, n.layers[l].b} {
			for i := range w {
				const h = 1e-4
				v := w[i]
				w[i] = v + h
				up, over := loss(), float64(w[i])
				w[i] = v - h
				down, under := loss(), float64(w[i])
				w[i] = v
				want := (up - down) / (over - under)
				got := float64([][]float32{g.sum.layers[l].w, g.sum.layers[l].b}[part][i])
				if math.Abs(want-got) > 0.01+0.01*math.Abs(want) {
					t.Errorf("layer %d part %d number %d: gradient %g, difference quotient %g", l, part, i, got, want)
				}
			}
		}
	}
}

// It learns what needs both sides and a reach of several steps, and the same lesson gives the
// same weights.
func TestDilatedLearnsAndRepeats(t *testing.T) {
	draw := func(r *rand.Rand) Passage {
		in := noise(r, 1, 40)
		return Passage{in, func(d, out [][]float32) (loss float64) {
			for i, v := range out[0] {
				want := float32(0)
				if i >= 4 && i+2 < len(in[0]) {
					want = max(in[0][i-4], in[0][i+2])
				}
				d[0][i] = (v - want) / 40
				loss += 0.5 * float64((v-want)*(v-want)) / 40
			}
			return loss
		}}
	}
	teach := func() (*Dilated, float64) {
		n, last := NewDilated(1, 1, 6, 1, 1, 2, 4), 0.0
		n.Learn(draw, 150, Lesson{Seed: 1, Epochs: 8, Batch: 8, Rate: 0.01, Report: func(_ int, l float64) { last = l }})
		return n, last
	}
	n, loss := teach()
	if loss > 0.05 {
		t.Errorf("mean loss is %g, that of a constant about 0.34", loss)
	}
	m, _ := teach()
	if !bytes.Equal(n.Append(nil), m.Append(nil)) {
		t.Error("the same lesson gave other weights")
	}
}

func TestReadDilated(t *testing.T) {
	n := NewDilated(7, 4, 3, 2, 1, 8)
	b := n.Append(nil)
	m, err := ReadDilated(b)
	if err != nil || !bytes.Equal(m.Append(nil), b) {
		t.Fatalf("read back: %v", err)
	}
	for _, bad := range [][]byte{nil, b[:15], b[:len(b)-1], append(b[:len(b):len(b)], 0), {1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 255, 255, 255, 255}} {
		if _, err := ReadDilated(bad); err == nil {
			t.Errorf("%d bytes were read as a stack", len(bad))
		}
	}
}

// The two loops over rows, bit for bit against sums in the same order made one by one.
func TestRows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		x := noise(r, 4, r.IntN(40))
		want := append([]float32{}, x[0]...)
		for i := range want {
			want[i] = want[i] + float32(0.5*x[1][i]) + float32(-2.25*x[2][i]) + float32(0.3*x[3][i])
		}
		var part [8]float32
		var sum float32
		for i, v := range x[2][:len(x[2])&^7] {
			part[i%8] += float32(v * x[3][i])
		}
		for _, v := range part {
			sum += v
		}
		for i := len(x[2]) &^ 7; i < len(x[2]); i++ {
			sum += float32(x[2][i] * x[3][i])
		}
		if got := dot(x[2], x[3]); got != sum {
			t.Fatalf("dot of %d: %v, want %v", len(x[2]), got, sum)
		}
		add3(x[0], x[1], x[2], x[3], 0.5, -2.25, 0.3)
		for i := range want {
			if x[0][i] != want[i] {
				t.Fatalf("value %d of %d: %v, want %v", i, len(want), x[0][i], want[i])
			}
		}
	})
}

// One minute through a stack of the size that hears beats.
func BenchmarkRun(b *testing.B) {
	n := NewDilated(1, 18, 16, 2, 1, 2, 4, 8, 16, 32, 64, 128, 256)
	in := noise(rand.New(rand.NewPCG(1, 1)), 18, 3000)
	b.ReportAllocs()
	for b.Loop() {
		n.Run(in)
	}
	b.ReportMetric(float64(n.Multiplications()), "products/step")
}
