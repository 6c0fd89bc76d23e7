package hand

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lampblack/score"
)

// The looks with the trims written into them are what the looks were with the trims over
// them, to what a slot of 8 bits can tell; and what else the file says stays.
func TestWriteTrims(t *testing.T) {
	s := hallWith(t, nil)
	data := []byte(hall["score.yaml"])
	rapid.Check(t, func(t *rapid.T) {
		var state State
		for range rapid.IntRange(1, 4).Draw(t, "trims") {
			trim := Trim{Factor: tidy(rapid.Float64Range(0, mostTrim).Draw(t, "factor"))}
			if rapid.Bool().Draw(t, "system") {
				trim.System = rapid.SampledFrom([]string{"front", "foot", "uv"}).Draw(t, "of")
			} else {
				trim.Unit = rapid.SampledFrom([]string{"left", "middle", "bar", "flood"}).Draw(t, "unit")
			}
			state = state.trim(trim)
		}
		if len(state.Trims) == 0 {
			return
		}
		out, err := WriteTrims(s, "score.yaml", data, state.Trims)
		if err != nil {
			t.Fatal(err)
		}
		sc, faults := score.Read("score.yaml", out)
		if faults.Err() != nil {
			t.Fatalf("%v\n%s", faults, out)
		}
		now, faults := s.With(sc)
		if faults.Err() != nil {
			t.Fatalf("%v\n%s", faults, out)
		}
		m := &Mix{show: s, State: state, units: make([]bool, len(s.Rig.Units))}
		m.trim()
		for i := range s.Looks {
			for d, was := range s.Looks[i].Levels {
				want := min(float64(was)*float64(m.factor[d]), 1)
				if got := float64(now.Looks[i].Levels[d]); math.Abs(got-want) > tooNear+1e-3 {
					t.Fatalf("look %s, drive %d: %g, want %g\n%s", s.Looks[i].Name, d, got, want, out)
				}
			}
		}
	})
}
