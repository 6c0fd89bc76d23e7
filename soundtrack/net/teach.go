package net

import (
	"math/rand/v2"
	"sync"
)

// Passage is a stretch of time to learn: rows of inputs, and the derivative of the loss by each
// output at each step given the outputs.
type Passage struct {
	In    [][]float32
	Slope func(d, out [][]float32) float64
}

// Learn fits n to passages, which draw gives anew for each step from a random source of its own:
// Lesson.Epochs of steps, Lesson.Batch passages each, Epoch steps an epoch.
func (n *Dilated) Learn(draw func(r *rand.Rand) Passage, epoch int, l Lesson) {
	opt := newDilatedAdam(n, l.Decay)
	parts := [workers]*slope{}
	for i := range parts {
		parts[i] = &slope{sum: blankDilated(n.Inputs, n.Width, n.Outputs, n.Spans)}
	}
	for e := range l.Epochs {
		loss := 0.0
		for s := range epoch {
			step := e*epoch + s
			loss += n.lesson(&parts, draw, l, step)
			opt.apply(n, parts[:], l, float64(step)/float64(l.Epochs*epoch))
		}
		if l.Report != nil {
			l.Report(e, loss/float64(epoch*l.Batch))
		}
	}
}

// lesson sums the gradient of one batch. Each passage is drawn from a seed of its own, so that
// what is learnt does not depend on which worker was faster.
func (n *Dilated) lesson(parts *[workers]*slope, draw func(r *rand.Rand) Passage, l Lesson, step int) float64 {
	var wait sync.WaitGroup
	for i, g := range parts {
		wait.Go(func() {
			g.loss = 0
			for k := i; k < l.Batch; k += workers {
				g.add(n, draw(rand.New(rand.NewPCG(l.Seed, uint64(step*l.Batch+k)))))
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

// slope is a sum of derivatives by weight and bias.
type slope struct {
	sum  *Dilated
	loss float64
}

// add adds the derivatives of one passage's loss (back-propagation, layer by layer from the
// last): d holds the derivatives by what a layer gave.
func (g *slope) add(n *Dilated, p Passage) {
	m, steps, last := n.margin(), len(p.In[0]), len(n.layers)-1
	all := []planes{newPlanes(n.Inputs, m, steps)}
	for i := range p.In {
		copy(all[0].row(i, 0), p.In[i])
	}
	for _, l := range n.layers {
		all = append(all, newPlanes(l.out, m, steps))
	}
	n.forward(all)
	d := newPlanes(n.Outputs, m, steps)
	g.loss += p.Slope(d.all(), all[last+1].all())
	for i := last; i >= 0; i-- {
		l, kept := n.layers[i], d
		switch {
		case i == last:
		case i > 0:
			d = masked(d, all[i+1], &all[i])
		default:
			d = masked(d, all[i+1], nil)
		}
		l.slopes(g.sum.layers[i], d, all[i])
		if i == 0 {
			return
		}
		before := newPlanes(l.in, m, steps)
		l.behind(before, d)
		if i < last {
			for c := range l.in {
				add1(before.row(c, 0), kept.row(c, 0), 1)
			}
		}
		d = before
	}
}

// all are the rows without their margins.
func (p planes) all() [][]float32 {
	var rows [][]float32
	for i := range p.rows {
		rows = append(rows, p.row(i, 0))
	}
	return rows
}

// masked is d where the layer's rectified part, what it gave less what it kept, is over 0.
func masked(d, gave planes, kept *planes) planes {
	out := newPlanes(len(d.rows), d.margin, d.steps)
	for c := range d.rows {
		dst, from, v := out.row(c, 0), d.row(c, 0), gave.row(c, 0)
		if kept == nil {
			for t := range dst {
				if v[t] > 0 {
					dst[t] = from[t]
				}
			}
			continue
		}
		k := kept.row(c, 0)
		for t := range dst {
			if v[t] > k[t] {
				dst[t] = from[t]
			}
		}
	}
	return out
}

// slopes adds the derivatives by weights and biases: by w(o, c, k) it is Σ d(o, t)·x(c, t + k).
func (l layer) slopes(sum layer, d, in planes) {
	half := l.taps / 2
	for o := range l.out {
		do := d.row(o, 0)
		total := float32(0)
		for _, v := range do {
			total += v
		}
		sum.b[o] += total
		for c := range l.in {
			for k := range l.taps {
				sum.w[(o*l.in+c)*l.taps+k] += dot(do, in.row(c, (k-half)*l.span))
			}
		}
	}
}

// behind adds to dst the derivatives by the layer's inputs: Σ w(o, c, k)·d(o, t - k).
func (l layer) behind(dst, d planes) {
	half := l.taps / 2
	for c := range l.in {
		acc := dst.row(c, 0)
		for o := range l.out {
			w := l.w[(o*l.in+c)*l.taps:]
			if l.taps == innerTaps {
				add3(acc, d.row(o, half*l.span), d.row(o, 0), d.row(o, -half*l.span), w[0], w[1], w[2])
				continue
			}
			for k := range l.taps {
				add1(acc, d.row(o, (half-k)*l.span), w[k])
			}
		}
	}
}

// dilatedAdam holds the running means of adam for a stack.
type dilatedAdam struct {
	m, v  *Dilated
	step  int
	decay float64
}

func newDilatedAdam(n *Dilated, decay float64) *dilatedAdam {
	like := func() *Dilated { return blankDilated(n.Inputs, n.Width, n.Outputs, n.Spans) }
	return &dilatedAdam{m: like(), v: like(), decay: decay}
}

// apply makes one step, progress (0 to 1) of the lesson being done, and clears the gradients.
func (a *dilatedAdam) apply(n *Dilated, parts []*slope, l Lesson, progress float64) {
	a.step++
	rate := l.fall(progress)
	move := newMove(a.step, rate)
	shrink := float32(1 - rate*a.decay)
	for i := range n.layers {
		var ws, bs [][]float32
		for _, p := range parts {
			ws, bs = append(ws, p.sum.layers[i].w), append(bs, p.sum.layers[i].b)
		}
		move.make(n.layers[i].w, a.m.layers[i].w, a.v.layers[i].w, ws, float32(l.Batch), shrink)
		move.make(n.layers[i].b, a.m.layers[i].b, a.v.layers[i].b, bs, float32(l.Batch), 1)
	}
}
