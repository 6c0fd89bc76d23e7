package show

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/rig"
)

// masterless is a hall of four lamps without a master, whose look moves.
func masterless(t testing.TB, lives string) *Show {
	par := strings.Replace(hall["fixtures/par.yaml"], "1: {dims: all, curve: {dark to: 12, then: linear}}", "1: {0-255: off}", 1)
	return showOf(t, map[string]string{"rig.yaml": row(4), "fixtures/par.yaml": par, "score.yaml": "looks:\n  dark: {purpose: nothing}\n  alive: {parts: [{system: front, colour: \"#ffffff\", level: 80 %, " + lives + "}]}\n" +
		"cues:\n  - {cue: 1, at: 0:00, look: alive}\n  - {cue: 2, at: 0:40, look: dark, up: 4 s}\n"}, beating(120, 60))
}

// Slots take half steps in slow light that moves by itself, and nowhere else: not while a look
// stands, not in fades, not in what goes with the beat. They are a function of time, and no slot
// goes by more than one value between two frames but for what the light itself does.
func TestSlowLightTakesHalfSteps(t *testing.T) {
	for lives, slow := range map[string]bool{
		"wanders: 2 min": true, "lives like: leaves": true, "flash: 0 Hz": false, "on the beat: {every: bar, fall: 1.9 s}": false,
		"wanders: 2 min, on the beat: {every: bar, fall: 1.9 s, down to: 50 %}": false,
	} {
		s := masterless(t, lives)
		f, g := s.NewFrame(), s.NewFrame()
		even, odd := make([]*rig.Still, len(s.Rig.Units)), make([]*rig.Still, len(s.Rig.Units))
		for u := range even {
			even[u], odd[u] = rig.Drifts[0], rig.Drifts[1]
		}
		halves, frames := 0, 0
		for at := 2 * time.Second; at < 44*time.Second; at += 22727 * time.Microsecond {
			s.At(f, at)
			s.At(g, at)
			for i := range f.Universes {
				if !slices.Equal(f.Universes[i].Slots[:], g.Universes[i].Slots[:]) {
					t.Fatalf("%s: at %v there are other slots the second time", lives, at)
				}
			}
			// What drifts is as one of the two frames has it, and other light as moving light has it.
			drifts := f.still[0] == rig.Drifts[0] || f.still[0] == rig.Drifts[1]
			if fades := at > 40*time.Second; drifts != (slow && !fades) {
				t.Fatalf("%s: at %v light drifts: %v", lives, at, drifts)
			}
			if !drifts {
				continue
			}
			frames++
			s.encoder.Encode(f.Universes, f.Levels, f.Flash, even, nil)
			s.encoder.Encode(g.Universes, f.Levels, f.Flash, odd, nil)
			for i := range f.Universes {
				for k, v := range f.Universes[i].Slots {
					if d := int(v) - int(g.Universes[i].Slots[k]); d < -1 || d > 1 {
						t.Fatalf("%s: at %v slot %d is at %d or %d", lives, at, k+1, v, g.Universes[i].Slots[k])
					} else if d != 0 {
						halves++
					}
				}
			}
		}
		if slow && halves < frames/10 {
			t.Errorf("%s: only %d half steps in %d frames", lives, halves, frames)
		}
	}
}

// Half steps take turns from frame to frame, also while the show is held.
func TestHalfStepsTakeTurns(t *testing.T) {
	s := aliveHall(t, 1, "wanders: 2 min", beating(120, 60))
	f := s.NewFrame()
	which := ""
	for i := range 8 {
		s.at(f, instant{at: 9 * time.Second, living: 20*time.Second + time.Duration(2*i+1)*time.Second/88})
		which += fmt.Sprint(slices.Index(rig.Drifts[:], f.still[0]))
	}
	if which != "01010101" && which != "10101010" {
		t.Errorf("frames are %s", which)
	}
}
