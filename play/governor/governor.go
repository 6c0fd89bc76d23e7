// Package governor keeps what really goes out inside the flash limits: make a [Governor]
// for the rig in its room, and let every frame pass through it before it is sent.
//
// A show is checked before it runs. What a live beat, a hand, timecode at another speed,
// go and back given again and again make of it is not. So this counts the frames
// themselves, as package check/seen does, and holds what would complete one flash too many:
//
//   - more than three in a second over all units together: those units stand that would
//     complete the fourth;
//   - more than three in a second, general or red, to any eye: all units stand that go
//     the same way as what the eye sees, up or down; for red ones all that change.
//
// A unit that stood goes on as soon as it may, and is back with the show within half a
// second, in steps of a tenth. Units that flash by themselves count with as many
// flashes a second as their rate; when there are too many, rates are lowered, at last to
// none.
//
// A change in one direction is never held: it takes two, within a second, to make a flash. A
// blackout just after flashes may so come up to a second late, and takes half a
// second. Lights up and an alarm pass as they are.
//
// Frames that need nothing of this go through as they are, bit for bit.
package governor

import (
	"math"
	"slices"
	"time"

	"lampblack/check/seen"
	"lampblack/rig"
	"lampblack/room"
)

// Allowed is how many flashes may go out in a second.
type Allowed struct {
	Units int // over all units together; 0 is three
	Eye   int // general, and red ones, to any eye; 0 is three
}

const (
	// mostUnits is the most flashes in a second over all units together: the stricter of what
	// HSE HSG195 para 614-615 has, as quoted (four), and of what an eye may see. Movements are
	// held to the same beforehand.
	mostUnits = 3
	// mostEye is the most that an eye sees, of each kind: WCAG 2.2 SC 2.3.1 and ITU-R
	// BT.1702-3. Rates are lowered to it.
	mostEye = 3

	// returning is how far a unit goes at most in a frame until it is back with the show: a
	// little more than the tenth of its output that makes a flash. It is then there within
	// ten frames; and its first step is the greater half of a change that counts, which so
	// has its date now, and not when a smaller part of it went before the unit was held.
	returning = .105
	// Steps differ by up to this much from frame to frame and unit to unit: of equal ones
	// every second level lies half-way between two others, and a change through it has no
	// one date.
	uneven = .01
	// lit is the share of its full output at which a unit that flashes by itself counts:
	// WCAG's tenth.
	lit = .1
)

// Governor lets frames pass, one after the other. It belongs to one goroutine, and
// allocates nothing once it is made.
type Governor struct {
	rig     *rig.Rig
	allowed Allowed
	counter *seen.Counter
	begun   bool
	frames  int
	sent    []float32 // by drive: the last frame
	stood   []bool    // by unit: stood, and is not back with the show yet
	trains  trains
	counts  []bool // by unit: flashes by itself, and is not free
	altered []bool // by unit, of the frame that passed last
}

// New makes a governor for a rig in a room that is solved for it. Where somebody has signed
// for more flashes than the rules allow, more are allowed.
func New(tr *room.Transport, rg *rig.Rig, allowed Allowed) *Governor {
	drives, units := len(rg.Drives), len(rg.Units)
	g := &Governor{rig: rg, allowed: Allowed{max(allowed.Units, mostUnits), max(allowed.Eye, mostEye)}, counter: seen.New(tr, rg).Counter(), sent: make([]float32, drives),
		stood: make([]bool, units), altered: make([]bool, units), counts: make([]bool, units)}
	g.trains.make(units)
	return g
}

// Pass takes a frame that is to go out at an instant: levels by drive and the rates in Hz at
// which units flash by themselves. It changes both where they would flash too often, and
// returns how many there would have been in a second; 0 when none was held.
// Instants ascend. free tells of units that pass as they are: lights are up in them.
func (g *Governor) Pass(at time.Duration, levels, rates []float32, free func(unit int) bool) (flashes int) {
	clear(g.altered)
	if !g.begun {
		g.begun = true
		copy(g.sent, levels)
	}
	g.back(levels, free)
	trains, asked := g.slow(at, levels, rates, free)
	flashes = asked
	const passes = 4 // the first for units, the next for eyes, and the third lets all stand
	for pass := range passes {
		over := g.counter.See(at, levels, trains, g.allowed.Units, g.allowed.Eye)
		if !over.Any() || pass == passes-1 {
			break
		}
		flashes = max(flashes, over.Count)
		g.hold(levels, over, pass > 1, free)
	}
	g.counter.Take()
	copy(g.sent, levels)
	return flashes
}

// Fits tells whether frames of a rig can pass.
func (g *Governor) Fits(rg *rig.Rig) bool {
	return len(rg.Drives) == len(g.rig.Drives) && len(rg.Units) == len(g.rig.Units)
}

// Altered tells, by unit, what Pass changed in the last frame, and whether it changed
// anything.
func (g *Governor) Altered() (units []bool, any bool) {
	return g.altered, slices.Contains(g.altered, true)
}

// back takes units that stood toward what the show wants.
func (g *Governor) back(levels []float32, free func(unit int) bool) {
	g.frames++
	for u, stood := range g.stood {
		if !stood {
			continue
		}
		_, share := math.Modf(float64(g.frames*len(g.stood)+u) * math.Phi)
		step := float32(returning + uneven*share)
		from, to := g.rig.UnitDrives(u)
		g.stood[u] = false
		for d := from; d < to && !free(u); d++ {
			if off := levels[d] - g.sent[d]; off > step || -off > step {
				levels[d] = g.sent[d] + float32(math.Copysign(float64(step), float64(off)))
				g.stood[u], g.altered[u] = true, true
			}
		}
	}
}

// hold lets units stand as they are.
func (g *Governor) hold(levels []float32, over *seen.Over, all bool, free func(unit int) bool) {
	for u := range g.stood {
		if free(u) {
			continue
		}
		from, to := g.rig.UnitDrives(u)
		rises, falls := false, false
		for d := from; d < to; d++ {
			rises, falls = rises || levels[d] > g.sent[d], falls || levels[d] < g.sent[d]
		}
		if !rises && !falls {
			continue
		}
		if all || over.Units[u] || over.Red || over.Rises && rises || over.Falls && falls {
			copy(levels[from:to], g.sent[from:to])
			g.stood[u], g.altered[u] = true, true
		}
	}
}

// lit tells whether a unit gives as much as counts.
func (g *Governor) lit(unit int, levels []float32) bool { return g.counter.Of(unit, levels) >= lit }
