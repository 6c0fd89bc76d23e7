package desk

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"
)

// A desk that can do more never loses more: slots that go anywhere against slots
// in a row, a fade for each scene against one time for all against none. The
// demo, on desks of many sizes.
func TestMoreAbleDesksLoseNoMore(t *testing.T) {
	skipShort(t)
	rnd := rand.New(rand.NewPCG(14, 4))
	sizes := [][2]int{{192, 120}} // slots, last note
	if os.Getenv("LAMPBLACK_LONG") != "" {
		for range 12 {
			sizes = append(sizes, [2]int{8 + rnd.IntN(150), 40 + rnd.IntN(60)})
		}
	}
	fades := []string{"{kind: none}", "{kind: one time, shortest: 0.5 s, longest: 10 s}", "{kind: each scene, shortest: 0.5 s, longest: 10 s}"}
	for _, size := range sizes {
		harm := map[string]map[string]float64{}
		for _, patch := range []string{"fixed", "any"} {
			harm[patch] = map[string]float64{}
			for _, fade := range fades {
				p := reduced(t, strings.NewReplacer("patch: any", "patch: "+patch, "slots: 24", fmt.Sprintf("slots: %d", size[0]),
					"scenes: 48", "scenes: 96", "to: 75", fmt.Sprintf("to: %d", size[1]), "{kind: none}", fade).Replace(small))
				harm[patch][fade] = p.Harm
			}
		}
		for _, fade := range fades {
			if harm["any"][fade] > harm["fixed"][fade]+1e-6 {
				t.Errorf("%v, %s: %.1f with a free patch, %.1f with a fixed one", size, fade, harm["any"][fade], harm["fixed"][fade])
			}
		}
		for patch, h := range harm {
			if h[fades[1]] > h[fades[0]]+1e-6 || h[fades[2]] > h[fades[1]]+1e-6 {
				t.Errorf("%v, %s: %.1f without fades, %.1f with one time, %.1f with a time for each scene", size, patch, h[fades[0]], h[fades[1]], h[fades[2]])
			}
		}
		t.Logf("%v: %v", size, harm)
	}
}

// The cause that is told for a loss is what would mend it: with that mended, the
// loss is gone. By hand: what each desk lacks.
func TestCausesOfLosses(t *testing.T) {
	cases := []struct {
		name, desk string
		changes    []string
		want       string // in losses.txt
		mended     string // a desk without the cause
	}{
		{"a unit without slots", five, nil, "knock over night is not as it was meant: without wash left, wash right", strings.Replace(five, "slots: 5", "slots: 8", 1)},
		{"a fade without the ability", strings.Replace(five, "slots: 5", "slots: 8", 1) + "\n", []string{"at: 0:30, look: sea", "at: 0:30, look: sea, up: 4 s"},
			"its change of 4 s goes in", strings.Replace(five, "slots: 5", "slots: 8\nfade: {kind: each scene, longest: 9 s}", 1)},
		{"a fade beyond the longest", strings.Replace(five, "slots: 5", "slots: 8\nfade: {kind: each scene, longest: 3 s}", 1), []string{"at: 0:30, look: sea", "at: 0:30, look: sea, up: 4 s"},
			"its change of 4 s takes 3 s, the longest that the desk can do", strings.Replace(five, "slots: 5", "slots: 8\nfade: {kind: each scene, longest: 9 s}", 1)},
		{"too few notes", strings.NewReplacer("slots: 5", "slots: 8", "to: 66", "to: 62").Replace(five), nil, "messages recall only 3 scenes", strings.Replace(five, "slots: 5", "slots: 8", 1)},
		{"another universe", strings.Replace(five, "slots: 5", "slots: 40", 1), []string{"address: 21", "universe: 2, address: 21"}, "wash right is off: it is in a universe that the desk does not feed", ""},
	}
	for _, c := range cases {
		s := tinyShow(t, c.changes...)
		_, _, losses := written(t, fit(t, s, c.desk))
		if !strings.Contains(losses, c.want) {
			t.Errorf("%s: losses.txt does not say %q:\n%s", c.name, c.want, losses)
		}
		if c.mended == "" {
			continue
		}
		if _, _, losses = written(t, fit(t, s, c.mended)); strings.Contains(losses, c.want) {
			t.Errorf("%s: mended, and losses.txt still says %q:\n%s", c.name, c.want, losses)
		}
	}
	// A unit that the show never lights is no loss; it is off all the same.
	s := tinyShow(t, "[wash left, wash right], emitters: {red: 60 %", "[wash left], emitters: {red: 60 %", "[wash left, wash right], emitters: {red: 12", "[wash left], emitters: {red: 12")
	sheet, _, losses := written(t, fit(t, s, strings.Replace(five, "slots: 5", "slots: 8", 1)))
	patched, _, _ := written(t, fit(t, s, strings.NewReplacer("slots: 5", "slots: 8", "patch: fixed", "patch: any").Replace(five)))
	if !strings.Contains(patched, "switch off wash right at the mains: the show does not light it") {
		t.Errorf("with a patch, a unit that is never lit:\n%s", patched)
	}
	if strings.Contains(losses, "wash right") || !strings.Contains(sheet, "switch off wash right at the mains: the show does not light it") {
		t.Errorf("a unit that is never lit:\n%s\n%s", losses, sheet)
	}
}

// The area between jumps and a straight fade, by summing thin slices of it.
func TestJumpsAgainstSums(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 9))
	for range 300 {
		a := &ask{over: time.Duration(1+rnd.IntN(8000)) * time.Millisecond, land: landing(rnd.IntN(3))}
		a.lit = time.Duration(rnd.Int64N(int64(a.over) + 1))
		n := 1 + rnd.IntN(6)
		jumps := a.jumps(n)
		const slices = 20000
		want := 0.0
		for k := range slices {
			at := (float64(k) + .5) / slices
			level := 0.0
			for _, j := range jumps {
				if j.Seconds() <= at*a.over.Seconds() {
					level += 1 / float64(n)
				}
			}
			want += max(at-level, level-at) * a.over.Seconds() / slices
		}
		if got := a.area(n); got > want*1.01+1e-3 || got < want*.99-1e-3 {
			t.Errorf("%d jumps at %v of %v: %v, by sums %v", n, jumps, a.over, got, want)
		}
	}
}
