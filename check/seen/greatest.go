package seen

import (
	"context"
	"time"
)

// Kept is how much of a movement may stay, and what allows no more.
type Kept struct {
	Factor float64 // 0 to 1; 1 where nothing allows less
	// Over is the second that was over the limit with all of the movement that the seconds
	// before it left; its Rule is NoRule where all of the movement may stay.
	Over Judged
}

const (
	rungs    = 16 // factors that are tried from above
	halvings = 4  // and how often what lies between two of them is halved
)

// Greatest returns the greatest factor by which a movement may be kept so that no second
// has more than three flashes, over all units or to any eye, general or red: the light is
// that without the movement, and the factor times what the movement makes of it. Where
// the light has more without it, the factor is 0. It asks with the limits a little
// stricter than the checks have them, and keeps some nine tenths of what they would
// allow. Flashing that goes on for long is left to the checks.
//
// What was before a movement counts: let it begin two seconds before the light does
// anything new. It takes about as long as a second of processor time for three minutes of
// 64 units. When ctx ends, Kept is worth nothing.
func (e *Eyes) Greatest(ctx context.Context, m Movement) Kept {
	kept := Kept{Factor: 1, Over: Judged{Eye: -1}}
	for from := m.From; ; from += stretch {
		to := min(from+stretch+shared, m.To)
		if motion, moves := motionOf(e, m.samples(ctx, e, from, to)); moves && ctx.Err() == nil {
			kept.lower(newJudge(e, motion))
		}
		if to == m.To || ctx.Err() != nil || kept.Factor == 0 {
			return kept
		}
	}
}

// lower takes the factor down until the judge lets it pass. More movement mostly flashes
// more, but not always: so it goes down rung by rung, lest it miss one that passes above
// others that do not, and looks closer between the first that passes and the last that
// does not. Whatever it comes to was asked of the judge.
func (k *Kept) lower(j *judge) {
	over := j.over(float32(k.Factor))
	if over.Rule == NoRule {
		return
	}
	k.Over = over
	high, low := k.Factor, 0.0
	for rung := rungs - 1; rung > 0; rung-- {
		if f := k.Factor * float64(rung) / rungs; j.over(float32(f)).Rule == NoRule {
			low = f
			break
		}
		high = k.Factor * float64(rung) / rungs
	}
	if low == 0 && j.over(0).Rule != NoRule {
		k.Factor = 0
		return
	}
	for range halvings {
		if f := (low + high) / 2; j.over(float32(f)).Rule == NoRule {
			low = f
		} else {
			high = f
		}
	}
	k.Factor = low
}

// Judge returns the first second of a light that has more flashes than Greatest lets be; its
// Rule is NoRule where none has. The light, and by unit the rates at which units flash by
// themselves, are asked for out of order.
func (e *Eyes) Judge(ctx context.Context, from, to time.Duration, light func(levels, rates []float32, at time.Duration)) Judged {
	m := Movement{From: from, To: to, Still: func(levels, _ []float32, _ time.Duration) { clear(levels) }, Full: light}
	for at := from; ; at += stretch {
		end := min(at+stretch+shared, to)
		if motion, moves := motionOf(e, m.samples(ctx, e, at, end)); moves && ctx.Err() == nil {
			if over := newJudge(e, motion).over(1); over.Rule != NoRule {
				return over
			}
		}
		if end == to || ctx.Err() != nil {
			return Judged{Eye: -1}
		}
	}
}
