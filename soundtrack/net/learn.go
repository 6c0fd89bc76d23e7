package net

import (
	"math"
	"math/rand/v2"
	"sync"
)

// Example is one thing to learn: inputs, and the derivative of the loss by
// each output given the outputs.
type Example struct {
	In []float32
	// Slope fills d with the loss's derivative by each output and returns the
	// loss.
	Slope func(d, out []float32) float32
}

// Lesson says how to learn.
type Lesson struct {
	Seed   uint64
	Epochs int
	Batch  int     // examples a step
	Rate   float64 // of Adam, falling to a fiftieth along a half cosine
	Decay  float64 // of weights, per step and rate
	Report func(epoch int, loss float64)
}

// fall is the rate when so much of the lesson is done.
func (l Lesson) fall(progress float64) float64 {
	return l.Rate * (0.02 + 0.98*0.5*(1+math.Cos(math.Pi*progress)))
}

// workers is the number of parts that a batch is split into; it is fixed so
// that sums are taken in the same order on every machine.
const workers = 2

// Learn fits n to the examples. It draws a new order for each epoch, takes the mean
// gradient of each batch, and moves the weights against it.
func (n *Net) Learn(examples []Example, l Lesson) {
	r := rand.New(rand.NewPCG(l.Seed, 0x1ea))
	opt := &adam{m: blank(n.Sizes), v: blank(n.Sizes), decay: l.Decay}
	parts := [workers]*gradient{}
	for i := range parts {
		parts[i] = &gradient{sum: blank(n.Sizes), work: n.NewWork(), back: n.NewWork()}
	}
	order := r.Perm(len(examples))
	steps := l.Epochs * ((len(order) + l.Batch - 1) / l.Batch)
	for epoch := range l.Epochs {
		r.Shuffle(len(order), func(i, k int) { order[i], order[k] = order[k], order[i] })
		loss := 0.0
		for from := 0; from < len(order); from += l.Batch {
			batch := order[from:min(from+l.Batch, len(order))]
			loss += n.batch(&parts, examples, batch)
			progress := float64(opt.step) / float64(steps)
			opt.apply(n, parts[:], float32(len(batch)), l.fall(progress))
		}
		if l.Report != nil {
			l.Report(epoch, loss/float64(len(order)))
		}
	}
}

// batch collects the gradient of the examples named by order.
func (n *Net) batch(parts *[workers]*gradient, examples []Example, order []int) float64 {
	var wait sync.WaitGroup
	for i, g := range parts {
		share := order[i*len(order)/workers : (i+1)*len(order)/workers]
		wait.Go(func() {
			g.loss = 0
			for _, k := range share {
				g.add(n, examples[k])
			}
		})
	}
	wait.Wait()
	loss := 0.0
	for _, g := range parts {
		loss += g.loss
	}
	return loss
}

// gradient is a sum of derivatives by weight and bias.
type gradient struct {
	sum  *Net
	work Work
	back Work // derivative by the units of each layer
	loss float64
}

// add adds the derivatives of one example's loss (back-propagation). From the last layer
// back, with d the derivatives by the units of layer l+1: by a bias it is d(o), by a weight
// x(i)·d(o), by the unit i before it Σ w(i,o)·d(o) if that unit is not cut off. Inputs that
// are zero have no derivative by their weights, and are most of them.
func (g *gradient) add(n *Net, e Example) {
	out := n.Outputs(g.work, e.In)
	last := len(n.weights)
	g.loss += float64(e.Slope(g.back[last], out))
	for l := last - 1; l >= 0; l-- {
		d := g.back[l+1]
		for o, v := range d {
			g.sum.biases[l][o] += v
		}
		w, s := n.weights[l], g.sum.weights[l]
		for i, v := range g.work[l] {
			if v != 0 {
				row := s[i*len(d):][:len(d)]
				for o, b := range d {
					row[o] += v * b
				}
			}
			if l > 0 {
				g.back[l][i] = behind(v, w[i*len(d):][:len(d)], d)
			}
		}
	}
}

// behind is the derivative by a rectified unit of value v.
func behind(v float32, row, d []float32) (sum float32) {
	if v <= 0 {
		return 0
	}
	for o, b := range d {
		sum += row[o] * b
	}
	return sum
}

// adam holds the running means that its steps are made of: m of the gradient, v of its
// square, one number for each weight.
type adam struct {
	m, v  *Net
	step  int
	decay float64
}

// apply makes one step and clears the gradients. Weights, not biases, shrink a little at each
// step, apart from the gradient (Loshchilov and Hutter 2019).
func (a *adam) apply(n *Net, parts []*gradient, count float32, rate float64) {
	a.step++
	step := newMove(a.step, rate)
	shrink := float32(1 - rate*a.decay)
	for l := range n.weights {
		var ws, bs [][]float32
		for _, p := range parts {
			ws, bs = append(ws, p.sum.weights[l]), append(bs, p.sum.biases[l])
		}
		step.make(n.weights[l], a.m.weights[l], a.v.weights[l], ws, count, shrink)
		step.make(n.biases[l], a.m.biases[l], a.v.biases[l], bs, count, 1)
	}
}

// move is one step of Adam. The means are of 10 and of 1000 steps (the paper's 0.9 and 0.999);
// scale makes up for their beginning at 0.
type move struct{ scale float32 }

func newMove(step int, rate float64) move {
	c1, c2 := 1-math.Pow(0.9, float64(step)), 1-math.Pow(0.999, float64(step))
	return move{float32(rate * math.Sqrt(c2) / c1)}
}

// make moves x against the mean of the gradients and clears these.
func (s move) make(x, m, v []float32, gradients [][]float32, count, shrink float32) {
	for i := range x {
		var d float32
		for _, g := range gradients {
			d += g[i]
			g[i] = 0
		}
		d /= count
		m[i] = 0.9*m[i] + 0.1*d
		v[i] = 0.999*v[i] + 0.001*d*d
		x[i] = x[i]*shrink - s.scale*m[i]/(float32(math.Sqrt(float64(v[i])))+1e-8)
	}
}
