package hand

import (
	"time"

	"lampblack/show"
)

// Mixer lays what hands hold over frames. It belongs to one goroutine; the zero value holds
// nothing.
type Mixer struct {
	layers []layer // the last counts when all of it has come; each fades over the one before
	guard  guard

	rig             *show.Show
	levels, flash   []float32
	before, scratch *show.Frame
	units           []bool
	stands          []*show.Look
}

// layer is a mix that comes over the one before.
type layer struct {
	mix   *Mix
	begin time.Time
	over  time.Duration
}

// share is how much of the layer has come.
func (l *layer) share(now time.Time) float32 {
	since := now.Sub(l.begin)
	if since >= l.over {
		return 1
	}
	return float32(max(since, 0).Seconds() / l.over.Seconds())
}

// mostLayers bounds how many fades run into one another: a finger on a slider makes one every
// thirtieth of a second.
const mostLayers = 32

// Take takes a change, which begins now, after its wait, or later where the light would flash.
func (x *Mixer) Take(now time.Time, c Change) {
	if !c.began.IsZero() {
		now = c.began
	}
	x.settle(now)
	if n := len(x.layers); n > 0 && x.layers[n-1].begin.After(now) {
		x.layers = x.layers[:n-1] // it has not begun: what is newer counts
		x.guard.forget()
	}
	var show []float32
	if x.before != nil && len(x.before.Levels) == len(c.Mix.show.Rig.Drives) {
		show = x.before.Levels
	}
	begin := x.guard.begin(now.Add(c.Wait), x.last(), c.Mix, show)
	if len(x.layers) == mostLayers {
		x.layers = x.layers[1:]
	}
	x.layers = append(x.layers, layer{c.Mix, begin, c.Over})
}

func (x *Mixer) last() *Mix {
	if n := len(x.layers); n > 0 {
		return x.layers[n-1].mix
	}
	return nil
}

// settle drops the layers that are covered whole. One that holds nothing goes as well, when
// it is all there is.
func (x *Mixer) settle(now time.Time) {
	for i := len(x.layers) - 1; i > 0; i-- {
		if x.layers[i].share(now) == 1 {
			x.layers = append(x.layers[:0], x.layers[i:]...)
			break
		}
	}
	if len(x.layers) == 1 && x.layers[0].mix.State.Nothing() && x.layers[0].share(now) == 1 {
		x.layers = x.layers[:0]
	}
}

// Over lays what hands hold over a frame of the show. up, by unit, is how far lights are up in
// it, 0 to 1: they win over the hand. A frame over which nothing is held stays as it is.
func (x *Mixer) Over(s *show.Show, f *show.Frame, up func(unit int) float32, now time.Time) {
	x.settle(now)
	x.room(s)
	copy(x.before.Levels, f.Levels)
	if len(x.layers) == 0 {
		return
	}
	copy(x.before.Flash, f.Flash)
	x.touch(now, up)
	for i := range x.layers {
		x.fade(&x.layers[i], f, now)
	}
	for u, on := range x.units {
		from, to := s.Rig.UnitDrives(u)
		share := up(u)
		for d := from; on && share > 0 && d < to; d++ {
			f.Levels[d] += share * (x.before.Levels[d] - f.Levels[d])
		}
		if !on {
			copy(f.Levels[from:to], x.before.Levels[from:to])
			f.Flash[u] = x.before.Flash[u]
		}
		if share > 0 {
			f.Flash[u] = 0
		}
	}
	s.Recode(f, x.scratch, x.units, x.stands)
}

// fade takes the frame's light the layer's share of the way to what its mix makes of the
// show's.
func (x *Mixer) fade(l *layer, f *show.Frame, now time.Time) {
	share := l.share(now)
	if share == 0 && now.Before(l.begin) {
		return
	}
	l.mix.over(x.levels, x.flash, x.before.Levels, x.before.Flash, now)
	copy(f.Flash, x.flash)
	if share == 1 {
		copy(f.Levels, x.levels)
		return
	}
	for d, to := range x.levels {
		f.Levels[d] += share * (to - f.Levels[d])
	}
}

// touch finds the units whose slots are not the show's, and the looks that stand in them.
func (x *Mixer) touch(now time.Time, up func(unit int) float32) {
	clear(x.units)
	clear(x.stands)
	for i := range x.layers {
		for u, on := range x.layers[i].mix.units {
			x.units[u] = x.units[u] || on
		}
	}
	alone := len(x.layers) == 1 && x.layers[0].share(now) == 1
	for u := range x.units {
		switch share := up(u); {
		case share == 1:
			x.units[u] = false
		case share == 0 && alone && x.units[u]:
			x.stands[u] = x.layers[0].mix.stands(u)
		}
	}
}

// room makes the memory that frames of a show take.
func (x *Mixer) room(s *show.Show) {
	if x.rig != nil && x.rig.Rig == s.Rig {
		return
	}
	x.rig = s
	x.levels, x.flash = make([]float32, len(s.Rig.Drives)), make([]float32, len(s.Rig.Units))
	x.before, x.scratch = s.NewFrame(), s.NewFrame()
	x.units, x.stands = make([]bool, len(s.Rig.Units)), make([]*show.Look, len(s.Rig.Units))
}
