package sheet

import (
	"context"
	"fmt"
	"math"
	"strings"

	"lampblack/rig"
	"lampblack/sheet/typeset"
	"lampblack/web/page"
)

// focusChart is where each unit points, in steps for who walks there, and what was found on the day.
func focusChart(_ context.Context, s *Subject) ([]typeset.Block, error) {
	r := s.Show.Rig
	t := &typeset.Table{Columns: []typeset.Column{{Head: "Unit", Bold: true}, {Head: "Hot spot"}, {Head: "Lights"}, {Head: "Throw, m", Right: true}, {Head: "Across, m", Right: true}, {Head: "Turn", Least: 9}, {Head: "Tilt", Least: 9},
		{Head: "Flag, lens, tape", Least: 12}, {Head: "Aimed", Least: 7}}, Ruled: true}
	for i, a := range page.Aims(s.Show) {
		u := &r.Units[i]
		aimed := typeset.Box
		if when := s.Aimed[a.Unit]; when != "" {
			aimed = when
		}
		if u.Guessed(rig.GuessedPlace | rig.GuessedAim) {
			t.Rows = append(t.Rows, row(a.Unit, "", "", "", "", "", "", noteOf(u), aimed))
			continue
		}
		throw, pan, tilt := aimOf(u)
		t.Rows = append(t.Rows, row(a.Unit, strings.ReplaceAll(a.Mark, " as the audience sees it", ""), strings.Join(a.Lights, ", "), optional(throw, "%.1f"), across(u, throw), pan, tilt, noteOf(u), aimed))
	}
	return []typeset.Block{
		words("One lamp alone at a time, with somebody standing where the performer will, at each end of their way; look from the front row's ends and the back row. A step is 0.7 m, from the middle of the stage's edge; right and left are the audience's. Turn is from straight upstage, as a clock from above; tilt is down from the level."),
		t, boxed("Look into no lens; ultraviolet is judged by what glows, and never by looking at the lamp. Who is on a ladder is not alone, and lamps overhead have a second fixing."),
	}, nil
}

// aimOf is how far a unit's light goes, and how it is turned and tilted.
func aimOf(u *rig.Unit) (throw float64, pan, tilt string) {
	x, y, z := float64(u.Aim[0]-u.At[0]), float64(u.Aim[1]-u.At[1]), float64(u.Aim[2]-u.At[2])
	flat := math.Hypot(x, y)
	throw = math.Hypot(flat, z)
	if throw == 0 {
		return 0, "", ""
	}
	switch side := math.Round(math.Atan2(x, y) * 180 / math.Pi); {
	case flat < .05:
		pan = "straight down"
	case side == 0:
		pan = "0°"
	case side > 0:
		pan = fmt.Sprintf("%.0f° right", side)
	default:
		pan = fmt.Sprintf("%.0f° left", -side)
	}
	down := math.Round(-math.Atan2(z, flat) * 180 / math.Pi)
	if down < 0 {
		return throw, pan, fmt.Sprintf("%.0f° up", -down)
	}
	return throw, pan, fmt.Sprintf("%.0f° down", down+0)
}

// across is the width of the light where it is half as bright as in its middle: 2 d tan(angle/2).
func across(u *rig.Unit, throw float64) string {
	if u.Type == nil || u.Type.Beam.Half <= 0 || float64(u.Type.Beam.Half) > 2.6 {
		return ""
	}
	return fmt.Sprintf("%.1f", 2*throw*math.Tan(float64(u.Type.Beam.Half)/2))
}
