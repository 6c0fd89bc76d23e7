package seen_test

import (
	"context"
	"math"
	"testing"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/seen"
	"lampblack/show"
)

func booth() (*show.Show, *seen.Eyes) {
	s := checktest.Booth("looks: {dark: {}}\ncues: [{cue: 1, at: 0:00, look: dark}]\n")
	return s, seen.New(s.Transport, s.Rig)
}

// pulses is the white of the booth's lamp from 0 to full and back, so many times a second.
func pulses(from, to time.Duration, rate float64) func(levels, rates []float32, at time.Duration) {
	return func(levels, _ []float32, at time.Duration) {
		levels[0], levels[1] = .3, .2
		if at >= from && at < to {
			_, phase := math.Modf((at - from).Seconds() * rate)
			levels[1] += float32(.8 * math.Exp(-phase/rate/.05))
		}
	}
}

func still(levels, _ []float32, _ time.Duration) { levels[0], levels[1] = .3, .2 }

// Three flashes in a second may stay, as they are; more are taken back to below what counts as
// one, wherever in a long movement they are, and the worst second is told.
func TestGreatest(t *testing.T) {
	_, e := booth()
	for _, c := range []struct {
		name     string
		from, to time.Duration
		rate     float64
		kept     [2]float64
	}{
		{"three a second", 0, 10 * time.Second, 2.9, [2]float64{1, 1}},
		{"five a second", 0, 10 * time.Second, 5, [2]float64{.4, .5}},
		{"five a second in the fourth minute", 190 * time.Second, 200 * time.Second, 5, [2]float64{.4, .5}},
		{"over the end of a stretch", 2*time.Minute - 500*time.Millisecond, 2*time.Minute + 500*time.Millisecond, 5, [2]float64{.4, .5}},
	} {
		m := seen.Movement{To: 250 * time.Second, Still: still, Full: pulses(c.from, c.to, c.rate)}
		k := e.Greatest(context.Background(), m)
		if k.Factor < c.kept[0] || k.Factor > c.kept[1] {
			t.Errorf("%s: %+v", c.name, k)
		}
		if k.Factor < 1 && (k.Over.Count != 5 || k.Over.From < c.from-2*time.Millisecond || k.Over.From > c.to) {
			t.Errorf("%s: over is %+v", c.name, k.Over)
		}
	}
}

// A lamp that flashes by itself takes flashes away from the movement; where it flashes too
// often without it, nothing of the movement may stay.
func TestGreatestBesideTrains(t *testing.T) {
	_, e := booth()
	for rate, most := range map[float32]float64{0: 1, 1: 1, 2: .5, 5: 0} {
		full := pulses(0, 10*time.Second, 1.9)
		m := seen.Movement{To: 10 * time.Second, Still: still, Full: func(levels, rates []float32, at time.Duration) {
			full(levels, rates, at)
			rates[0] = rate
		}}
		if k := e.Greatest(context.Background(), m); k.Factor > most || most == 1 && k.Factor < 1 || most == .5 && k.Factor < .4 {
			t.Errorf("beside %v Hz: %+v, want at most %v", rate, k, most)
		}
	}
}
