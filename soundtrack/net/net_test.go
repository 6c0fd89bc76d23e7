package net

import (
	"bytes"
	"math"
	"math/rand/v2"
	"testing"
)

func squared(want float32) func(d, out []float32) float32 {
	return func(d, out []float32) float32 {
		d[0] = out[0] - want
		return 0.5 * d[0] * d[0]
	}
}

// The gradient is checked against differences of the loss itself.
func TestGradient(t *testing.T) {
	n := New(3, 5, 4, 3, 1)
	x := []float32{0.3, 0, -1.2, 0.7, 2}
	e := Example{x, squared(0.5)}
	g := &gradient{sum: blank(n.Sizes), work: n.NewWork(), back: n.NewWork()}
	g.add(n, e)
	loss := func() float64 {
		d := []float32{0}
		return float64(e.Slope(d, n.Outputs(n.NewWork(), x)))
	}
	for l := range n.weights {
		for i := range n.weights[l] {
			const h = 1e-2
			w := n.weights[l][i]
			n.weights[l][i] = w + h
			up := loss()
			n.weights[l][i] = w - h
			down := loss()
			n.weights[l][i] = w
			want, got := (up-down)/(2*h), float64(g.sum.weights[l][i])
			if math.Abs(want-got) > 0.02+0.02*math.Abs(want) {
				t.Errorf("layer %d weight %d: gradient %g, difference quotient %g", l, i, got, want)
			}
		}
	}
}

func TestLearnsAndRepeats(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	var examples []Example
	for range 2000 {
		x := []float32{r.Float32(), r.Float32()}
		examples = append(examples, Example{x, squared(float32(math.Sin(3*float64(x[0]))) * x[1])})
	}
	teach := func() (*Net, float64) {
		n, last := New(1, 2, 16, 8, 1), 0.0
		n.Learn(examples, Lesson{Seed: 1, Epochs: 30, Batch: 32, Rate: 0.01, Report: func(_ int, l float64) { last = l }})
		return n, last
	}
	n, loss := teach()
	if loss > 0.002 {
		t.Errorf("mean loss after 30 epochs is %g", loss)
	}
	m, _ := teach()
	if !bytes.Equal(n.Append(nil), m.Append(nil)) {
		t.Error("the same lesson gave other weights")
	}
}

func TestReadWhatAppendWrote(t *testing.T) {
	n := New(7, 4, 3, 2)
	b := n.Append(nil)
	m, err := Read(b)
	if err != nil || !bytes.Equal(m.Append(nil), b) {
		t.Fatalf("read back: %v", err)
	}
	for _, bad := range [][]byte{nil, b[:7], b[:len(b)-1], append(b[:len(b):len(b)], 0), {2, 0, 0, 0, 255, 255, 255, 255, 1, 0, 0, 0}} {
		if _, err := Read(bad); err == nil {
			t.Errorf("%d bytes were read as a net", len(bad))
		}
	}
}

// What comes out, against sums over all inputs made one by one, some of them
// zero: weights lie by input, then output; hidden units are rectified.
func TestOutputs(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 3))
	for range 200 {
		sizes := []int{1 + r.IntN(9), 1 + r.IntN(6), 1 + r.IntN(6), 1 + r.IntN(3)}
		n := New(r.Uint64(), sizes...)
		x := make([]float32, sizes[0])
		for i := range x {
			x[i] = float32(r.NormFloat64()) * float32(r.IntN(2))
		}
		for l := range n.biases {
			for o := range n.biases[l] {
				n.biases[l][o] = float32(r.NormFloat64())
			}
		}
		in := make([]float64, len(x))
		for i, v := range x {
			in[i] = float64(v)
		}
		for l := range n.weights {
			out := make([]float64, sizes[l+1])
			for o := range out {
				out[o] = float64(n.biases[l][o])
				for i, v := range in {
					out[o] += v * float64(n.weights[l][i*len(out)+o])
				}
				if l+1 < len(n.weights) {
					out[o] = max(out[o], 0)
				}
			}
			in = out
		}
		got := n.Outputs(n.NewWork(), x)
		if len(got) != len(in) {
			t.Fatalf("%d outputs of %d", len(got), len(in))
		}
		for o, want := range in {
			if math.Abs(float64(got[o])-want) > 1e-4*(1+math.Abs(want)) {
				t.Fatalf("sizes %v, input %v: output %d is %v, want %v", sizes, x, o, got[o], want)
			}
		}
	}
}
