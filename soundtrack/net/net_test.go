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
