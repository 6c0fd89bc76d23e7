package show

import (
	"slices"
	"testing"
	"time"

	"lampblack/evening"
)

// A light that is frozen in the middle of a flash stands: nothing flashes, whatever the show
// does under it, until it has been given back; then the show's light is to the last slot what
// it would have been. On the way no drive lies beyond both. Lights up come over it.
func TestFrozenLightDoesNotFlash(t *testing.T) {
	s := open(t)
	at := 29200 * time.Millisecond // the look that flashes is up
	f, plain := s.NewFrame(), s.NewFrame()
	now := time.Now()
	state := evening.State{Instant: now, Step: 1, In: at, Speed: 1}
	s.AtState(plain, state)
	if slices.Max(plain.Flash) == 0 {
		t.Fatal("nothing flashes that could be frozen")
	}
	light := s.Frozen(f, state, nil)
	state = state.After(evening.Event{Time: now, Kind: evening.Froze, At: at, Speed: 1, Stands: light})
	var slots []byte
	for _, after := range []time.Duration{0, time.Second, 20 * time.Second, time.Minute} {
		st := state.On(now.Add(after))
		s.AtState(f, st)
		if slices.Max(f.Flash) > 0 || !slices.Equal(f.Levels, plain.Levels) {
			t.Errorf("%v after it was frozen it flashes at %v, with levels %v for %v", after, f.Flash, f.Levels, plain.Levels)
		}
		if slots == nil {
			slots = slices.Clone(f.Universes[0].Slots[:])
		} else if !slices.Equal(slots, f.Universes[0].Slots[:]) {
			t.Errorf("%v after it was frozen its slots are others", after)
		}
		st.LightsUp, st.Up = true, time.Second
		if s.AtState(f, st); !slices.Equal(f.Levels, s.up) {
			t.Errorf("lights up over a frozen light give %v, want %v", f.Levels, s.up)
		}
	}
	back := state.On(now.Add(10 * time.Second))
	back = back.After(evening.Event{Time: back.Instant, Kind: evening.Unfroze, At: back.In, Speed: 1})
	for after := time.Duration(0); after < evening.Thaw; after += evening.Thaw / 16 {
		st := back.On(back.Instant.Add(after))
		s.AtState(f, st)
		own := s.At(s.NewFrame(), st.In)
		if slices.Max(f.Flash) > 0 {
			t.Errorf("%v after it was given back it flashes", after)
		}
		for d, level := range f.Levels {
			if low, high := min(own.Levels[d], plain.Levels[d]), max(own.Levels[d], plain.Levels[d]); level < low-1e-6 || level > high+1e-6 {
				t.Errorf("%v after it was given back drive %d is at %v, beyond %v and %v", after, d, level, low, high)
			}
		}
	}
	st := back.On(back.Instant.Add(evening.Thaw))
	s.AtState(f, st)
	if own := s.At(s.NewFrame(), st.In); !slices.Equal(f.Levels, own.Levels) || !slices.Equal(f.Flash, own.Flash) || f.Universes[0] != own.Universes[0] {
		t.Error("given back it is another light than the show's")
	}
	// What a log cannot mean for this rig is no light.
	for _, wrong := range []evening.Stands{"", "AAAA", "not base64!", evening.Stand(make([]float32, len(plain.Levels)+1))} {
		st := state
		st.Stands, st.In = wrong, at
		if s.AtState(f, st); !slices.Equal(f.Levels, plain.Levels) {
			t.Errorf("frozen as %q it is another light", wrong)
		}
	}
	if !s.Ultraviolet(evening.Stand(ones(len(plain.Levels)))) || s.Ultraviolet(evening.Stand(make([]float32, len(plain.Levels)))) {
		t.Error("ultraviolet is told where there is none, or not where there is")
	}
}

// Zones side by side are frozen each in a light of its own, and frame after frame costs no more
// for that: neither light is read from its text again.
func TestFrozenLightsOfZonesAreReadOnce(t *testing.T) {
	s := open(t)
	dark := make([]float32, len(s.Rig.Drives))
	var frames []*Frame
	var states []evening.State
	for _, light := range [][]float32{ones(len(dark)), dark} {
		frames = append(frames, s.NewFrame())
		states = append(states, evening.State{Step: 1, Frozen: true, Stands: evening.Stand(light)})
	}
	again := func() {
		for i, f := range frames {
			s.AtState(f, states[i])
		}
	}
	again()
	if n := testing.AllocsPerRun(10, again); n > 0 {
		t.Errorf("two lights that stand are made anew: %v allocations a frame", n)
	}
}

func ones(n int) []float32 {
	out := make([]float32, n)
	for i := range out {
		out[i] = 1
	}
	return out
}
