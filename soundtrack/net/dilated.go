package net

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
)

// Dilated is a stack of convolutions over time, each of which looks twice as far as the one
// before (van den Oord et al. 2016; Bai, Kolter and Koltun 2018), here in both directions. With
// x(c, t) the value of channel c at step t, and d the layer's span:
//
//	first   x'(o, t) = max(0, b(o) + Σ w(o, c, k)·x(c, t + k)),            k = -2 to 2
//	inner   x'(o, t) = x(o, t) + max(0, b(o) + Σ w(o, c, k)·x(c, t + k·d)), k = -1 to 1
//	last    y(o, t)  = b(o) + Σ w(o, c)·x(c, t)
//
// What lies outside is 0. Reading it is safe from several goroutines.
type Dilated struct {
	Inputs, Width, Outputs int
	Spans                  []int // of the inner layers, steps
	layers                 []layer
}

// layer is one convolution; w is by output, then input, then tap.
type layer struct {
	in, out, taps, span int
	w, b                []float32
}

const (
	firstTaps = 5
	innerTaps = 3
)

// NewDilated returns a stack with random weights, scaled for rectified units.
func NewDilated(seed uint64, inputs, width, outputs int, spans ...int) *Dilated {
	n := blankDilated(inputs, width, outputs, spans)
	r := rand.New(rand.NewPCG(seed, 0xd11))
	for i, l := range n.layers {
		scale := math.Sqrt(2 / float64(l.in*l.taps))
		if i > 0 {
			scale /= 2 // what is added to a layer's input starts small
		}
		for k := range l.w {
			l.w[k] = float32(r.NormFloat64() * scale)
		}
	}
	return n
}

func blankDilated(inputs, width, outputs int, spans []int) *Dilated {
	n := &Dilated{Inputs: inputs, Width: width, Outputs: outputs, Spans: spans}
	add := func(in, out, taps, span int) {
		n.layers = append(n.layers, layer{in, out, taps, span, make([]float32, in*out*taps), make([]float32, out)})
	}
	add(inputs, width, firstTaps, 1)
	for _, s := range spans {
		add(width, width, innerTaps, s)
	}
	add(width, outputs, 1, 0)
	return n
}

// Reach is how many steps before and after a step decide its outputs.
func (n *Dilated) Reach() int {
	sum := firstTaps / 2
	for _, s := range n.Spans {
		sum += s
	}
	return sum
}

// Multiplications returns the number of products a step.
func (n *Dilated) Multiplications() (sum int) {
	for _, l := range n.layers {
		sum += len(l.w)
	}
	return sum
}

// margin is the number of zeros that planes have on either side.
func (n *Dilated) margin() int {
	m := firstTaps / 2
	for _, s := range n.Spans {
		m = max(m, s)
	}
	return m
}

// planes are rows of steps with a margin of zeros on either side.
type planes struct {
	rows   [][]float32
	margin int
	steps  int
}

func newPlanes(rows, margin, steps int) planes {
	p := planes{margin: margin, steps: steps}
	for range rows {
		p.rows = append(p.rows, make([]float32, steps+2*margin))
	}
	return p
}

// row is a row from step by on, as far as the sound is long; by may be negative.
func (p planes) row(i, by int) []float32 { return p.rows[i][p.margin+by:][:p.steps] }

// longestRun is the number of steps evaluated at a time: memory stays small for long sounds.
const longestRun = 8192

// Run evaluates the stack on rows of equal length, and returns a row for each output.
func (n *Dilated) Run(in [][]float32) [][]float32 {
	if len(in) != n.Inputs {
		panic("net: wrong number of inputs")
	}
	steps, reach := len(in[0]), n.Reach()
	out := make([][]float32, n.Outputs)
	for from := 0; from < steps; from += longestRun {
		a, to := max(from-reach, 0), min(from+longestRun, steps)
		b := min(to+reach, steps)
		part := n.stages(in, a, b-a)
		n.forward(part)
		for o := range out {
			out[o] = append(out[o], part[len(part)-1].row(o, 0)[from-a:to-a]...)
		}
	}
	return out
}

// stages makes room for the values of all layers on a stretch of the inputs; the inner ones that
// are not needed later share two sets of planes.
func (n *Dilated) stages(in [][]float32, from, steps int) []planes {
	m := n.margin()
	first := newPlanes(n.Inputs, m, steps)
	for i := range in {
		copy(first.row(i, 0), in[i][from:])
	}
	pair := [2]planes{newPlanes(n.Width, m, steps), newPlanes(n.Width, m, steps)}
	all := []planes{first}
	for i := range n.layers[1:] {
		all = append(all, pair[i%2])
	}
	return append(all, newPlanes(n.Outputs, m, steps))
}

// forward fills the planes behind each layer from those before it.
func (n *Dilated) forward(p []planes) {
	last := len(n.layers) - 1
	for i, l := range n.layers {
		for from := 0; from < p[i].steps; from += block {
			l.apply(p[i+1], p[i], from, min(from+block, p[i].steps), i > 0 && i < last, i < last)
		}
	}
}

// block is the number of steps that a layer works on at a time, to stay in the cache.
const block = 1024

// apply computes steps from to to of a layer's outputs; keep adds the inputs, cut rectifies.
func (l layer) apply(dst, src planes, from, to int, keep, cut bool) {
	half := l.taps / 2
	for o := range l.out {
		acc := dst.row(o, 0)[from:to]
		for t := range acc {
			acc[t] = l.b[o]
		}
		w := l.w[o*l.in*l.taps:]
		for i := range l.in {
			for k := 0; k < l.taps; {
				at := func(k int) []float32 { return src.row(i, (k-half)*l.span)[from:to] }
				if l.taps-k >= 3 {
					add3(acc, at(k), at(k+1), at(k+2), w[k], w[k+1], w[k+2])
					k += 3
					continue
				}
				add1(acc, at(k), w[k])
				k++
			}
			w = w[l.taps:]
		}
		if cut {
			rectify(acc)
		}
		if keep {
			add1(acc, src.row(o, 0)[from:to], 1)
		}
	}
}

// Append encodes n: inputs, width, outputs, the number of spans, the spans, then weights and
// biases of each layer, all little-endian, float32 as bits.
func (n *Dilated) Append(b []byte) []byte {
	for _, v := range append([]int{n.Inputs, n.Width, n.Outputs, len(n.Spans)}, n.Spans...) {
		b = binary.LittleEndian.AppendUint32(b, uint32(v))
	}
	for _, l := range n.layers {
		for _, part := range [][]float32{l.w, l.b} {
			for _, v := range part {
				b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
			}
		}
	}
	return b
}

// ReadDilated decodes what Append wrote. Sizes are held in bounds and against the length of b.
func ReadDilated(b []byte) (*Dilated, error) {
	if len(b) < 16 {
		return nil, errors.New("net: no stack of convolutions")
	}
	word := func(i int) int { return int(binary.LittleEndian.Uint32(b[4*i:])) }
	inputs, width, outputs, spans := word(0), word(1), word(2), word(3)
	if min(inputs, width, outputs, spans) < 1 || max(inputs, width, outputs) > 256 || spans > 16 || len(b) < 4*(4+spans) {
		return nil, fmt.Errorf("net: %d inputs, %d channels, %d outputs, %d layers", inputs, width, outputs, spans)
	}
	var all []int
	for i := range spans {
		s := word(4 + i)
		if s < 1 || s > 1<<12 {
			return nil, fmt.Errorf("net: layer %d looks %d steps far", i, s)
		}
		all = append(all, s)
	}
	n := blankDilated(inputs, width, outputs, all)
	b = b[4*(4+spans):]
	for _, l := range n.layers {
		for _, part := range [][]float32{l.w, l.b} {
			if len(b) < 4*len(part) {
				return nil, errors.New("net: weights are missing")
			}
			for i := range part {
				part[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*i:]))
			}
			b = b[4*len(part):]
		}
	}
	if len(b) > 0 {
		return nil, fmt.Errorf("net: %d bytes too many", len(b))
	}
	return n, nil
}
