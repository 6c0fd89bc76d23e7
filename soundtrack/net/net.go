// Package net is a small feed-forward network: [Read] decodes one, [Net.Outputs] evaluates
// it, [Net.Learn] fits it to examples. Its layers are fully connected float32 with rectified
// hidden units and a linear output, made for inputs of which many are zero:
//
//	x(l+1) = max(0, W(l)·x(l) + b(l)),  without the max in the last layer
//
// It learns by Adam (Kingma and Ba 2015) on mini-batches in a fixed order, so that the same
// data and seed give the same weights. The judge of soundtrack has 20 544 weights; there
// is nothing here that larger networks need. [Dilated] is a stack of convolutions over time,
// for what can only be told from seconds of context; it learns in the same way.
package net

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
)

// Net maps Sizes[0] inputs to Sizes[len-1] outputs. Reading it is safe from
// several goroutines, each with a Work of its own.
type Net struct {
	Sizes   []int
	weights [][]float32 // per layer, by input, then output: outputs of one input lie together
	biases  [][]float32
}

// New returns a net with random weights, scaled for rectified units (He et al.
// 2015).
func New(seed uint64, sizes ...int) *Net {
	n := blank(sizes)
	r := rand.New(rand.NewPCG(seed, 0x6e65))
	for l, w := range n.weights {
		scale := math.Sqrt(2 / float64(sizes[l]))
		for i := range w {
			w[i] = float32(r.NormFloat64() * scale)
		}
	}
	return n
}

// blank is a net of zeros: to be filled, or to hold a sum for each weight of another.
func blank(sizes []int) *Net {
	n := &Net{Sizes: sizes}
	for l := range len(sizes) - 1 {
		n.weights = append(n.weights, make([]float32, sizes[l]*sizes[l+1]))
		n.biases = append(n.biases, make([]float32, sizes[l+1]))
	}
	return n
}

// Work is the space that one evaluation needs: the values of each layer's units, the
// inputs first.
type Work [][]float32

// NewWork returns work space for n.
func (n *Net) NewWork() Work {
	w := make(Work, len(n.Sizes))
	for i, s := range n.Sizes[1:] {
		w[i+1] = make([]float32, s)
	}
	return w
}

// Outputs evaluates the net at x; the result lies in w, and so does x until the next
// call.
func (n *Net) Outputs(w Work, x []float32) []float32 {
	if len(x) != n.Sizes[0] {
		panic("net: wrong number of inputs")
	}
	w[0] = x
	last := len(n.weights) - 1
	for l := range n.weights {
		out := w[l+1]
		copy(out, n.biases[l])
		accumulate(out, w[l], n.weights[l])
		if l < last {
			rectify(out)
		}
	}
	return w[last+1]
}

// accumulate adds weights·in to out, two inputs at a time, those that are zero
// left out.
func accumulate(out, in, weights []float32) {
	n := len(out)
	held := -1 // an input that waits for a second
	for i, v := range in {
		if v == 0 {
			continue
		}
		if held < 0 {
			held = i
			continue
		}
		u := in[held]
		a, b := weights[held*n:][:len(out)], weights[i*n:][:len(out)]
		for o, s := range out {
			out[o] = s + u*a[o] + v*b[o]
		}
		held = -1
	}
	if held >= 0 {
		u, a := in[held], weights[held*n:][:len(out)]
		for o := range out {
			out[o] += u * a[o]
		}
	}
}

// rectify puts what is negative to 0.
func rectify(x []float32) {
	for i, v := range x {
		if v < 0 {
			x[i] = 0
		}
	}
}

// Multiplications returns the number of products of one evaluation.
func (n *Net) Multiplications() int {
	sum := 0
	for _, w := range n.weights {
		sum += len(w)
	}
	return sum
}

// Append encodes n: the number of sizes, the sizes, then weights and biases of
// each layer, all little-endian, float32 as bits. The same net gives the same bytes, so
// that its file can be compared and hashed.
func (n *Net) Append(b []byte) []byte {
	b = binary.LittleEndian.AppendUint32(b, uint32(len(n.Sizes)))
	for _, s := range n.Sizes {
		b = binary.LittleEndian.AppendUint32(b, uint32(s))
	}
	for l := range n.weights {
		for _, part := range [][]float32{n.weights[l], n.biases[l]} {
			for _, v := range part {
				b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
			}
		}
	}
	return b
}

// Read decodes what Append wrote. The sizes are held in bounds and against the length
// of b before the weights are read. Weights that are no numbers are read as they are.
func Read(b []byte) (*Net, error) {
	word := func() (uint32, bool) {
		if len(b) < 4 {
			return 0, false
		}
		v := binary.LittleEndian.Uint32(b)
		b = b[4:]
		return v, true
	}
	count, ok := word()
	if !ok || count < 2 || count > 8 {
		return nil, errors.New("net: no network")
	}
	sizes := make([]int, count)
	for i := range sizes {
		s, ok := word()
		if !ok || s < 1 || s > 1<<16 {
			return nil, fmt.Errorf("net: layer %d of %d units", i, s)
		}
		sizes[i] = int(s)
	}
	n := blank(sizes)
	if len(b) != 4*n.numbers() {
		return nil, fmt.Errorf("net: %d bytes of weights, want %d", len(b), 4*n.numbers())
	}
	for l := range n.weights {
		for _, part := range [][]float32{n.weights[l], n.biases[l]} {
			for i := range part {
				v, _ := word()
				part[i] = math.Float32frombits(v)
			}
		}
	}
	return n, nil
}

// numbers is how many float32 a net has.
func (n *Net) numbers() int {
	sum := n.Multiplications()
	for _, b := range n.biases {
		sum += len(b)
	}
	return sum
}
