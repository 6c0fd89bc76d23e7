package show

import (
	"fmt"
	"slices"

	"lampblack/room"
	"lampblack/source"
)

// misses says which goals the levels do not meet, and why.
func (f *fitting) misses(levels []float32, x, press []float64) []Miss {
	var out []Miss
	add := func(pos source.Pos, wanted, found float64, unit, format string, args ...any) {
		out = append(out, Miss{Pos: pos, Look: f.name, Text: fmt.Sprintf(format, args...), Wanted: wanted, Found: found, Unit: unit})
	}
	for i := range f.parts {
		p := &f.parts[i]
		switch {
		case p.Lux != nil:
			f.missLux(i, x, press, add)
		case p.Glow != nil:
			f.missGlow(i, levels, x, press, add)
		}
	}
	for i := range f.look.Dark {
		d := &f.look.Dark[i]
		if found := f.brightest(d.On.Name, levels); found > float64(d.Most)*(1+tolerance) {
			add(d.On.Pos, float64(d.Most), found, "lx", "%s is not as dark as asked: %.3g lx in its brightest part, at most %.3g lx wanted; parts at a fixed level bring it", d.On.Name, found, float64(d.Most))
		}
	}
	f.missEyes(levels, add)
	return out
}

type missed func(pos source.Pos, wanted, found float64, unit, format string, args ...any)

func (f *fitting) missLux(part int, x, press []float64, add missed) {
	p := &f.parts[part]
	row := f.show.Transport.MeanRow(p.On.Name, room.Photopic)
	if row == nil {
		return
	}
	found := dot(f.ofPart(part, row), x)
	if off := found - *p.Lux; off > tolerance**p.Lux+.01 || off < -tolerance**p.Lux-.01 {
		add(p.Pos, *p.Lux, found, "lx", "%.3g lx on %s instead of %.3g lx: %s", found, p.On.Name, *p.Lux, f.why(part, x, press))
	}
}

func (f *fitting) missGlow(part int, levels []float32, x, press []float64, add missed) {
	g := f.parts[part].Glow
	glow, ok := f.show.Transport.Glow(g.Object.Name, levels)
	if !ok {
		return
	}
	why := f.why(part, x, press)
	own, _, _ := f.show.Transport.GlowRows(g.Object.Name)
	if row := f.ofPart(part, own); len(row) > 0 && slices.Max(row) <= 0 {
		why = "its light does not reach it, or does not make its paint glow"
	}
	if want := float64(g.Luminance); glow.Own.Y < want*(1-tolerance) {
		add(g.Pos, want, glow.Own.Y, "cd/m2", "%s glows with %.3g cd/m2 instead of %.3g cd/m2: %s", g.Object.Name, glow.Own.Y, want, why)
	}
	if glow.Ratio < g.Over*(1-tolerance) {
		add(g.Pos, g.Over, glow.Ratio, "times its background", "%s shows %.3g times its background instead of %.3g times: %s", g.Object.Name, glow.Ratio, g.Over, why)
	}
}

func (f *fitting) missEyes(levels []float32, add missed) {
	if f.look.Eyes == nil {
		return
	}
	t := f.show.Transport
	most := float64(f.look.Eyes.Most)
	for i := range t.Eyes {
		if found := dotLevels(f.highUVA(i), levels); found > most*(1+tolerance) {
			add(f.look.Eyes.Pos, most, found, "W/m2", "up to %.3g W/m2 of UV-A at the eyes of %s, at most %.3g W/m2 wanted; parts at a fixed level bring it", found, t.Places[t.Eyes[i]].Name, most)
		}
	}
}

// why gives the reason that a part's goal is missed.
func (f *fitting) why(part int, x, press []float64) string {
	full, count := 0, 0
	for i := range f.scales {
		if f.scales[i].part == part {
			count++
			if x[i] > .999 {
				full++
			}
		}
	}
	hardest, text := 1e-6, ""
	for k, l := range f.limits {
		hold := 0.0
		for i := range f.scales {
			if f.scales[i].part == part {
				hold += press[k] * l.row[i]
			}
		}
		if hold > hardest {
			hardest, text = hold, l.text
		}
	}
	switch {
	case count == 0:
		return "none of its units has such light"
	case full == count:
		return "its units are at full"
	case text != "":
		return "more would break " + text
	case full > 0:
		return fmt.Sprintf("%d of its %d units are at full", full, count)
	}
	return "its own light falls on the background, or the look's other light does"
}

// brightest is the illuminance in the brightest piece of a surface.
func (f *fitting) brightest(name string, levels []float32) float64 {
	most := 0.0
	for _, row := range f.show.Transport.PieceRows(name, room.Photopic) {
		most = max(most, dotLevels(row, levels))
	}
	return most
}
