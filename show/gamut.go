package show

import (
	"lampblack/light"
	"lampblack/rig"
	"lampblack/source"
)

// Gamut returns the chromaticities that a fixture type reaches with its
// emitters that are there to be seen; empty when it has none.
func Gamut(t *rig.Type) light.Gamut {
	if m := newTypeMix(t, nil).mixer; m != nil {
		return m.Gamut()
	}
	return nil
}

// Asked is a colour that a part of a look asks for, and what its units make
// of it.
type Asked struct {
	Text            string // as written
	Units           string // the system, or the first unit
	Wanted, Reached light.UV
	Miss            float64 // CIEDE2000 at the part's level, lightness aside
}

// Asked lists the colours that a look asks for, in the order of its parts. Parts whose
// units have nothing to mix are left out.
func (s *Show) Asked(look int) []Asked {
	m := newMixing(s.Rig, s.outputs)
	var out []Asked
	parts := s.Score.Parts(s.Looks[look].Name)
	for i := range parts {
		p := &parts[i]
		if p.Colour == nil {
			continue
		}
		var none source.Faults // said by New
		units := s.units(p, &none)
		c, err := light.ParseColour(p.Colour.Text)
		var mixers []*light.Mixer
		seen := map[*typeMix]bool{}
		for _, u := range units {
			if mix := m.units[u]; mix.mixer != nil && !seen[mix] {
				seen[mix] = true
				mixers = append(mixers, mix.mixer)
			}
		}
		if err != nil || len(mixers) == 0 {
			continue
		}
		a := Asked{Text: p.Colour.Text, Units: p.System.Name, Wanted: c.XY.UV()}
		if a.Units == "" {
			a.Units = p.Units[0].Name
		}
		level := 1.0
		if p.Level != nil {
			level = float64(*p.Level)
		}
		a.Reached, a.Miss = light.Nearest(mixers, a.Wanted, level)
		out = append(out, a)
	}
	return out
}
