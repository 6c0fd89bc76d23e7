package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"lampblack/light"
	"lampblack/rig"
)

// observer is a simulated person with a known threshold: what is seen of a difference is
// it with a normal error of the threshold's spread (signal detection, Thurstone's case V),
// and less than the criterion is called alike.
// It likes one side of the sheet by a share that a match never learns of.
type observer struct {
	spread, criterion, slips float64
	draw                     *rand.Rand
}

func (o *observer) sees(difference float64) Seen {
	if o.draw.Float64() < o.slips {
		return Seen(o.draw.IntN(3))
	}
	seen := difference + o.spread*o.draw.NormFloat64()
	switch {
	case seen > o.criterion*o.spread:
		return RightBrighter
	case seen < -o.criterion*o.spread:
		return LeftBrighter
	}
	return Alike
}

// matched lets an observer match two lamps whose outputs have a ratio, and returns the
// match.
func matched(o *observer, ln float64, options MatchOptions) *Match {
	m := NewMatch(options)
	liking := offset * o.draw.NormFloat64()
	for !m.Done() {
		n := m.Next()
		m.Answer(o.sees(ln + liking + math.Log(float64(n.Right/n.Left))))
	}
	return m
}

// An observer with a threshold of 2 % of luminance (Weber's fraction for fields side by
// side, from memory) matches two lamps of each built-in kind, emitter by emitter, in at
// most 15 answers, to within CIEDE2000 2 of one another in each emitter and in all of them
// together; and the interval holds in 93 % of 300 trials. The spread of outputs is that of
// units whose maker does not sort them.
func TestMatchByEye(t *testing.T) {
	trials := 8
	if os.Getenv("LAMPBLACK_LONG") != "" {
		trials = 300
	}
	draw := rand.New(rand.NewPCG(5, 13))
	for _, e := range rig.Generic() {
		kind := e.Value
		held, all, most, answers := 0, 0, 0.0, 0
		for range trials {
			var one, other light.XYZ
			for i := range kind.Emitters {
				truth := math.Sqrt2 * unsortedSpread * draw.NormFloat64()
				m := matched(&observer{.02, 1, .01, draw}, truth, MatchOptions{})
				found := m.Result()
				if m.Answers() > 15 {
					t.Errorf("%s: %d answers", e.Name, m.Answers())
				}
				all++
				answers += m.Answers()
				if ratio := math.Exp(truth); float64(found.Low) <= ratio && ratio <= float64(found.High) {
					held++
				}
				c := kind.Emitters[i].Value.Light.Colour
				off := math.Exp(truth) / float64(found.Best) // the other lamp, set to be like this one
				most = max(most, apart(c, light.XYZ{X: c.X * off, Y: c.Y * off, Z: c.Z * off}))
				one, other = one.Plus(c, 1), other.Plus(c, off)
			}
			most = max(most, apart(one, other))
		}
		t.Logf("%-22s at most ΔE %.2f; the interval held in %.1f %% of %d; %.1f answers", e.Name, most, 100*float64(held)/float64(all), all, float64(answers)/float64(all))
		if most > 2 {
			t.Errorf("%s: ΔE %.2f after a match", e.Name, most)
		}
		if share := float64(held) / float64(all); trials == 300 && share < .93 || share < .8 {
			t.Errorf("%s: the interval held in %.1f %%", e.Name, 100*share)
		}
	}
}

// apart is the CIEDE2000 of two lights, the brighter of which is white.
func apart(a, b light.XYZ) float64 {
	scale := 100 / max(a.Y, b.Y)
	lab := func(c light.XYZ) light.Lab {
		return light.XYZ{X: c.X * scale, Y: c.Y * scale, Z: c.Z * scale}.Lab(light.WhiteD65.XYZ(100))
	}
	return light.DeltaE2000(lab(a), lab(b))
}

// The interval is honest for eyes finer and coarser than that, and for lamps farther
// apart; whoever cannot tell gets a wide one.
func TestMatchIntervals(t *testing.T) {
	trials := 60
	if os.Getenv("LAMPBLACK_LONG") != "" {
		trials = 300
	}
	draw := rand.New(rand.NewPCG(6, 13))
	for _, o := range []observer{{.01, .5, 0, draw}, {.02, 2, .02, draw}, {.04, 1, .02, draw}, {.08, 1, .02, draw}} {
		for _, spread := range []float64{.15, .5} {
			held, wide := 0, 0.0
			for range trials {
				truth := min(max(spread*draw.NormFloat64(), -1.5), 1.5)
				r := matched(&o, truth, MatchOptions{}).Result()
				if v := math.Exp(truth); float64(r.Low) <= v && v <= float64(r.High) {
					held++
				}
				wide += math.Log(float64(r.High/r.Low)) / 2 / float64(trials)
			}
			name := fmt.Sprintf("threshold %.0f %%, criterion %g, outputs apart by %.0f %%", 100*o.spread, o.criterion, 100*spread)
			t.Logf("%s: held in %.1f %%, ± %.1f %%", name, 100*float64(held)/float64(trials), 100*wide)
			if share := float64(held) / float64(trials); trials == 300 && share < .93 || share < .85 {
				t.Errorf("%s: the interval held in %.1f %%", name, 100*share)
			}
		}
	}
	m := NewMatch(MatchOptions{})
	for !m.Done() {
		m.Answer(Alike)
	}
	if r := m.Result(); m.Answers() < 2 || float64(r.High/r.Low) < 1.02 {
		t.Errorf("alike and nothing else: %v after %d answers", r, m.Answers())
	}
}

// What is shown lies on the steps of a level, and both lamps shine.
func TestMatchShowsSteps(t *testing.T) {
	draw := rand.New(rand.NewPCG(7, 13))
	for i := range 20 {
		highest := []float64{0, .4}[i%2]
		m := NewMatch(MatchOptions{Steps: 100, Highest: highest})
		for !m.Done() {
			n := m.Next()
			for _, v := range []float64{float64(n.Left), float64(n.Right)} {
				if s := 100 * v; math.Abs(s-math.Round(s)) > 1e-9 || v <= 0 || v > 1 || highest > 0 && v > highest+1e-9 {
					t.Fatalf("it shows %v", n)
				}
			}
			m.Answer(Seen(draw.IntN(3)))
		}
	}
}
