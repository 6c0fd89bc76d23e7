package show

import (
	"strings"
	"testing"

	"lampblack/light"
)

// Twice the background and two hundred times it are not the same wish: where nobody says how
// bright a glow is to be it is as bright as makes it seen, or as much brighter as the ratio
// takes, and a luminance that is given is what it is brought to.
func TestRatioAloneIsNoWishForMore(t *testing.T) {
	s, faults := goalShow(t, hallRig, hallRoom(), `
looks:
  twice: {parts: [{system: uv, glow: {object: fish, over background: 2}}]}
  much: {parts: [{system: front, level: 4 %}, {system: uv, glow: {object: fish, over background: 60}}]}
  said: {parts: [{system: uv, glow: {object: fish, over background: 2, luminance: 5 cd/m2}}]}
cues: [{cue: 1, at: 0:01, look: twice}]
`)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	own := map[string]float64{}
	for i := range s.Looks {
		l := &s.Looks[i]
		for _, m := range l.Misses {
			t.Errorf("%s: %s", l.Name, m.Text)
		}
		g, _ := s.Transport.Glow("fish", l.Levels)
		own[l.Name] = g.Own.Y
		t.Logf("%s: %.4f cd/m2, to the eye %.4f on %.5f (%.1f times), adapted %.2f, least %.4f to %.4f from %s",
			l.Name, g.Own.Y, float64(g.SeenOwn), float64(g.SeenBehind), g.Over, g.Adapted, float64(g.Least.Best), float64(g.Least.High), g.From)
		if g.SeenOwn < .97*g.Least.High || l.Name == "twice" && g.SeenOwn > 1.5*g.Least.High {
			t.Errorf("%s: %v, with %v all see it", l.Name, g.SeenOwn, g.Least.High)
		}
		if l.Name == "much" && (g.Over < 59 || g.Over > 62) {
			t.Errorf("%s: %.1f times the background to eyes that are adapted so far", l.Name, g.Over)
		}
	}
	if !(own["said"] > 4.9 && own["said"] < 5.1 && own["much"] > 3*own["twice"]) {
		t.Errorf("glows: %v", own)
	}
}

// No ratio passes at a luminance that nobody sees, however black the background.
func TestInvisibleGlowIsTold(t *testing.T) {
	room := strings.Replace(hallRoom(), "material: black cloth", "material: black velvet", 1)
	s, faults := goalShow(t, hallRig, room, `
looks:
  faint: {parts: [{system: uv, glow: {object: fish, over background: 2}}], ultraviolet at eyes: {at most: 0.000002 W/m2}}
cues: [{cue: 1, at: 0:01, look: faint}]
`)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	l := &s.Looks[0]
	g, _ := s.Transport.Glow("fish", l.Levels)
	if !(g.SeenOwn < light.LeastSeen(0, .06).Best && g.Over > 2) {
		t.Fatalf("%v at %v times its background: the case proves nothing", g.SeenOwn, g.Over)
	}
	if len(l.Misses) != 1 || !strings.Contains(l.Misses[0].Text, "is seen for what it is from") || !strings.Contains(l.Misses[0].Text, "by far") {
		t.Errorf("told: %+v", l.Misses)
	}
}
