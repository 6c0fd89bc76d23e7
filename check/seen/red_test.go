package seen_test

import (
	"fmt"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/seen"
)

// redHall is a room whose wall is lit by one lamp from near its top, so that it is bright there
// and nearly dark below.
func redHall(t *testing.T) (e *seen.Eyes, red int, rig int) {
	dir := checktest.Changed(t, checktest.DemoFolder())
	put := func(name, text string) { dir[name] = &fstest.MapFile{Data: []byte(text)} }
	put("rig.yaml", "units:\n  - {unit: u, type: par-rgb-small, universe: 1, address: 1, at: [0 m, 1.6 m, 2.8 m], aim: [0 m, 2.9 m, 1.8 m], systems: [all]}\n")
	put("room.yaml", "size: [5 m, 5 m, 3.2 m]\nstage front: 2 m\nwalls: white paint\nfloor: wood floor\nceiling: white paint\naudience:\n  - {name: s, at: [0 m, -1 m, 1.2 m]}\n")
	put("score.yaml", "looks:\n  dark: {}\ncues:\n  - {cue: 1, at: 0 s, look: dark}\n")
	s := checktest.Solved(t, dir)
	for d := range s.Rig.Drives {
		if s.Rig.Units[0].Type.Emitters[s.Rig.Drives[d].Emitter].Name == "red" {
			red = d
		}
	}
	return seen.New(s.Transport, s.Rig), red, len(s.Rig.Drives)
}

// A flash is a pair of opposing transitions to and from a saturated red (WCAG 2.2, definition of
// general flash and red flash thresholds): a red that comes over a wall and goes, however slowly
// and however much brighter in one place than in another, is one, and so many of them in a
// second are as many.
func TestRedPulsesAreCountedOnce(t *testing.T) {
	e, red, drives := redHall(t)
	for _, level := range []float32{1, .3} {
		for _, rise := range []time.Duration{10, 60, 120, 160} {
			for pulses := 1; pulses <= 3; pulses++ {
				rise := rise * time.Millisecond
				const period = 330 * time.Millisecond
				var l seen.Light
				add := func(at time.Duration, v float32) {
					levels := make([]float32, drives)
					levels[red] = v
					l.Times, l.Levels, l.Rates = append(l.Times, at), append(l.Levels, levels), append(l.Rates, []float32{0})
				}
				for at := time.Duration(0); at < 2*time.Second; at += time.Millisecond {
					v := float32(0)
					if since := (at - 500*time.Millisecond) % period; at >= 500*time.Millisecond && int((at-500*time.Millisecond)/period) < pulses && since < 2*rise {
						v = level * (1 - float32((since-rise).Abs())/float32(rise))
					}
					add(at, v)
				}
				t.Run(fmt.Sprintf("%d of %v to %v", pulses, rise, level), func(t *testing.T) {
					w, area := e.Over(&l).Worst(0, seen.RedWCAG)
					if w.Count != pulses {
						t.Errorf("%d red flashes, over %.3f sr, want %d", w.Count, area, pulses)
					}
				})
			}
		}
	}
}
