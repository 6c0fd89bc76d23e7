package subject

import (
	"context"
	"runtime"
	"slices"
	"sync"
	"time"

	"lampblack/check/seen"
	"lampblack/show"
)

// Trace is the light of the whole show: between two corners every drive runs straight,
// to within grain of its full light. It is made from the subject at 1 ms steps wherever
// something moves.
type Trace struct {
	seen.Light
	Slots SlotWatch
}

const (
	// A slot value of 255 is .004 of a drive's range, so grain is half of the finest
	// step that a line of 8 bits can make; tighter only makes corners.
	grain    = .002 // of a drive's full light
	stepTime = time.Millisecond
	coarse   = 250 * time.Millisecond // how often a still span is looked at, to make sure
	looks    = 20                     // and at most how many times

	// In a straight stretch that has lasted for settled, and away from where cues begin
	// and end by more than near, steps are long ones; if one does not fit, it is taken
	// again in short ones. They were chosen by trial.
	longStep = 10 * time.Millisecond
	settled  = 500 * time.Millisecond
	near     = 50 * time.Millisecond
)

// Trace samples the subject, once a run.
func (r *Run) Trace() *Trace {
	if r.traced == nil {
		r.traced = TraceOf(r.Ctx, r.Subject)
	}
	return r.traced
}

// TraceOf samples all spans side by side and joins them. A still span is sampled
// coarsely; if it moves after all, it is sampled as a moving one. Where spans leave a
// gap, the gap is a still piece; a show that never moves is one still piece from 0 to
// its length. When ctx ends, what was not sampled is missing: whoever asks looks at ctx
// before believing the trace.
func TraceOf(ctx context.Context, s Subject) *Trace {
	spans := s.Moving()
	var pieces []piece
	at := time.Duration(0)
	for _, m := range spans {
		if m[0] > at || at == 0 {
			pieces = append(pieces, piece{from: at, to: m[0], still: true})
		}
		pieces = append(pieces, cut(m)...)
		at = m[1]
	}
	if at < s.Length() || len(pieces) == 0 {
		pieces = append(pieces, piece{from: at, to: s.Length(), still: true})
	}
	var wait sync.WaitGroup
	next := make(chan int, len(pieces))
	for i := range pieces {
		next <- i
	}
	close(next)
	for range min(runtime.GOMAXPROCS(0), len(pieces)) {
		wait.Go(func() {
			w := newSampler(s)
			for i := range next {
				if ctx.Err() == nil {
					pieces[i].sample(w)
				}
			}
		})
	}
	wait.Wait()
	t := &Trace{Slots: newSlotWatch(s.Rig())}
	for i := range pieces {
		t.Times = append(t.Times, pieces[i].Times...)
		t.Levels = append(t.Levels, pieces[i].Levels...)
		t.Rates = append(t.Rates, pieces[i].Rates...)
		t.Slots.join(&pieces[i].Slots)
	}
	return t
}

// piece is a span sampled by one worker.
type piece struct {
	from, to time.Duration
	still    bool
	Trace
}

// longPiece bounds what one worker takes at a time. A long fade would otherwise keep
// one worker busy while the others wait.
const longPiece = 10 * time.Second

// cut makes pieces of a moving span. Neighbours share the instant between them, and
// both keep a corner there.
func cut(span [2]time.Duration) []piece {
	var out []piece
	for from := span[0]; ; from += longPiece {
		to := min(from+longPiece, span[1])
		out = append(out, piece{from: from, to: to})
		if to == span[1] {
			return out
		}
	}
}

// sampler holds what one worker needs. It is owned by that worker, and goes from piece
// to piece.
type sampler struct {
	subject     Subject
	frame       *show.Frame
	rates       []float32 // by unit: as the slots make it flash
	low, high   []float32 // by drive: the slopes that stay within grain so far
	last, began []float32 // levels of the last sample and of the last corner
	asked       []float32 // by unit: the flash rates that the rates belong to
	encoded     time.Duration
	watch       SlotWatch
	turns       []time.Duration // when cues begin and end
	turn        int             // index of the next one that matters
}

// slotStep is how often the slots are looked at while something moves: twice
// for every frame that goes out at 44 a second.
const slotStep = 10 * time.Millisecond

func newSampler(s Subject) *sampler {
	n := len(s.Rig().Drives)
	return &sampler{subject: s, frame: s.NewFrame(), rates: make([]float32, len(s.Rig().Units)),
		asked: make([]float32, len(s.Rig().Units)), encoded: -1, low: make([]float32, n), high: make([]float32, n),
		last: make([]float32, n), began: make([]float32, n), watch: newSlotWatch(s.Rig()), turns: s.Turns()}
}

// sample fills the piece. encoded is set back since the next piece may lie anywhere: a
// frame of slots from another time must not pass for a fresh one.
func (p *piece) sample(w *sampler) {
	w.watch.reset()
	w.encoded = -1
	if p.still {
		p.sampleStill(w)
	} else {
		p.sampleMoving(w)
	}
	p.Slots = w.watch.take()
}

func (p *piece) corner(at time.Duration, levels, rates []float32) {
	p.Times = append(p.Times, at)
	p.Levels = append(p.Levels, slices.Clone(levels))
	p.Rates = append(p.Rates, slices.Clone(rates))
}

// sampleStill trusts nobody: it looks every 250 ms (20 times at most, so that an hour
// of standing light costs no more than five seconds do), and at the first difference
// throws its corners away and samples the span as a moving one. A change there and back
// between two looks stays unseen, which Subject's contract excludes.
func (p *piece) sampleStill(w *sampler) {
	w.look(p.from)
	p.corner(p.from, w.frame.Levels, w.rates)
	for t := p.from; t < p.to; {
		t = min(t+max(coarse, (p.to-p.from)/looks), p.to)
		w.look(t)
		if !slices.Equal(w.frame.Levels, p.Levels[0]) || !slices.Equal(w.rates, p.Rates[0]) {
			p.Trace = Trace{}
			p.sampleMoving(w)
			return
		}
	}
	if p.to > p.from {
		p.corner(p.to, w.frame.Levels, w.rates)
	}
}

// look brings the frame to t. Its light is exact; the slots, which cost most of the
// time, are made every slotStep and whenever a unit is asked for another flash rate. A
// frame encoded after t is not fresh: a step that was too long is taken again from an
// earlier instant.
func (w *sampler) look(t time.Duration) {
	w.subject.Light(w.frame, t)
	fresh := w.encoded >= 0 && t >= w.encoded && t-w.encoded < slotStep
	if fresh && slices.Equal(w.asked, w.frame.Flash) {
		return
	}
	w.subject.At(w.frame, t)
	w.encoded = t
	copy(w.asked, w.frame.Flash)
	w.watch.see(w.frame, t)
	w.watch.rates(w.rates, w.frame)
}

// sampleMoving keeps a corner wherever a straight line from the last one would leave
// some drive by more than grain: the doors of slopes that still fit close from both
// sides. Invariant: every sample since the last corner lies within grain of each line
// from that corner whose slopes lie between low and high. A change of the rate at which
// a unit flashes by itself always makes a corner, since rates are steps and not lines.
// A long step that does not fit is not taken: the loop goes back to the last sample,
// and fine keeps steps short until that instant has been passed.
func (p *piece) sampleMoving(w *sampler) {
	w.look(p.from)
	p.corner(p.from, w.frame.Levels, w.rates)
	w.open()
	w.turn, _ = slices.BinarySearch(w.turns, p.from)
	at, seen, fine := p.from, p.from, p.from // the last corner, the last sample, and until when steps stay short
	for seen < p.to {
		t := min(seen+w.step(seen, at, fine), p.to)
		w.look(t)
		rates := p.Rates[len(p.Rates)-1]
		switched := !slices.Equal(w.rates, rates)
		fits := !switched && w.fits(float32((t - at).Seconds()))
		if !fits && t-seen > stepTime {
			fine = t
			continue
		}
		if !fits {
			if seen > at {
				p.corner(seen, w.last, rates)
				at = seen
				copy(w.began, w.last)
				w.openDoors()
			}
			if switched {
				p.corner(t, w.frame.Levels, w.rates)
				at = t
				w.open()
			}
		}
		w.narrow(float32((t - at).Seconds()))
		copy(w.last, w.frame.Levels)
		seen = t
	}
	if seen > at {
		p.corner(seen, w.last, p.Rates[len(p.Rates)-1])
	}
}

// step is how far the next sample lies from the last one. A sample may be far from the
// last only where the line has held for a while and no cue begins, peaks or ends near
// it, as that is where lines break.
func (w *sampler) step(seen, corner, fine time.Duration) time.Duration {
	for w.turn < len(w.turns) && w.turns[w.turn] < seen-near {
		w.turn++
	}
	if seen < fine || seen-corner < settled || w.turn < len(w.turns) && w.turns[w.turn] < seen+longStep+near {
		return stepTime
	}
	return longStep
}

// open begins a line at the present frame.
func (w *sampler) open() {
	copy(w.began, w.frame.Levels)
	copy(w.last, w.frame.Levels)
	w.openDoors()
}

// openDoors allows every slope: 1e9 a second is more than a level of 0 to 1 can do in a
// step.
func (w *sampler) openDoors() {
	for d := range w.low {
		w.low[d], w.high[d] = -1e9, 1e9
	}
}

// fits tells whether a line from the last corner to the present frame passes
// all samples between.
func (w *sampler) fits(dt float32) bool {
	for d, v := range w.frame.Levels {
		slope := (v - w.began[d]) / dt
		if slope < w.low[d] || slope > w.high[d] {
			return false
		}
	}
	return true
}

// narrow closes the doors to what passes the present frame as well.
func (w *sampler) narrow(dt float32) {
	if dt <= 0 {
		return
	}
	for d, v := range w.frame.Levels {
		rise := v - w.began[d]
		w.low[d] = max(w.low[d], (rise-grain)/dt)
		w.high[d] = min(w.high[d], (rise+grain)/dt)
	}
}
