package sheet

import (
	"fmt"
	"strings"

	"lampblack/show"
	"lampblack/web/page"
)

// system is the light of a system of which the cue sheet tells the level: what is to be seen, or its
// black light.
type system struct {
	name   string
	drives []int
	weight []float64 // lm, or W of black light
	full   float64
}

// systemsOf are those that some cue lights, black light apart.
func systemsOf(s *show.Show) []system {
	var out []system
	for _, name := range page.SystemNames(s.Rig) {
		for _, dark := range []bool{false, true} {
			sys := lightOf(s, name, dark)
			for i := range s.Cues {
				if sys.level(s.Looks[s.Cues[i].Look].Levels) > 0 {
					out = append(out, sys)
					break
				}
			}
		}
	}
	return out
}

func lightOf(s *show.Show, name string, dark bool) system {
	sys := system{name: name}
	visible := false
	for _, u := range page.UnitsIn(s.Rig, name) {
		from, to := s.Rig.UnitDrives(u)
		for d := from; d < to; d++ {
			e := s.Rig.Emitter(d)
			if e.Light.BlackLight() != dark {
				visible = true
				continue
			}
			w := e.Light.Colour.Y
			if dark {
				w = e.Light.Watts
			}
			if cells := len(s.Rig.Drives[d].Cells); cells > 0 {
				w *= float64(cells) / float64(s.Rig.Units[u].Type.CellCount())
			}
			sys.drives, sys.weight, sys.full = append(sys.drives, d), append(sys.weight, w), sys.full+w
		}
	}
	if dark && visible && !strings.Contains(strings.ToLower(name), "uv") {
		sys.name += " UV"
	}
	return sys
}

// level is the share of the system's full light, 0 to 1.
func (y *system) level(levels []float32) float64 {
	sum := 0.0
	for i, d := range y.drives {
		sum += y.weight[i] * float64(levels[d])
	}
	if y.full == 0 {
		return 0
	}
	return sum / y.full
}

// percent is a level as cue sheets have it: whole per cents, nothing for dark, and never nothing
// for what is there.
func percent(v float64) string {
	switch {
	case v <= 0:
		return ""
	case v < .01:
		return "<1"
	}
	return fmt.Sprintf("%.0f", 100*v)
}
