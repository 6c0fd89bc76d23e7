package draft

import (
	"fmt"
	"strconv"
	"strings"

	"lampblack/score"
	"lampblack/source"
)

// lookText writes a look as flow-style YAML. What a drafted look has is written; it
// says the same when it is read again.
func lookText(l *score.Look) string {
	var keys []string
	add := func(key, value string) { keys = append(keys, key+": "+value) }
	if l.Like.Name != "" {
		add("like", source.Quote(l.Like.Name))
	}
	add("purpose", source.Quote(l.Purpose))
	if l.Fade != "" {
		add("fades", string(l.Fade))
	}
	if len(l.Dark) > 0 {
		var list []string
		for _, k := range l.Dark {
			list = append(list, fmt.Sprintf("{on: %s, at most: %s lx}", source.Quote(k.On.Name), number(float64(k.Most))))
		}
		add("dark", "["+strings.Join(list, ", ")+"]")
	}
	if l.Eyes != nil {
		add("ultraviolet at eyes", fmt.Sprintf("{at most: %s W/m2}", number(float64(l.Eyes.Most))))
	}
	if l.Dim {
		add("people move", "yes")
	}
	if len(l.Parts) > 0 {
		var list []string
		for i := range l.Parts {
			list = append(list, partText(&l.Parts[i]))
		}
		add("parts", "["+strings.Join(list, ", ")+"]")
	}
	add("by", string(score.Draft))
	return "{" + strings.Join(keys, ", ") + "}"
}

// partText writes a part as flow-style YAML. Every key of score.Part has its place
// here: one that is forgotten is lost from a drafted look. Levels keep six digits, as
// they went through three already.
func partText(p *score.Part) string {
	var keys []string
	add := func(key, value string) { keys = append(keys, key+": "+value) }
	if p.System.Name != "" {
		add("system", source.Quote(p.System.Name))
	}
	if len(p.Units) > 0 {
		var names []string
		for _, u := range p.Units {
			names = append(names, source.Quote(u.Name))
		}
		add("units", "["+strings.Join(names, ", ")+"]")
	}
	if len(p.Cells) > 0 {
		add("cells", strings.ReplaceAll(fmt.Sprint(p.Cells), " ", ", "))
	}
	if p.Colour != nil {
		add("colour", `"`+p.Colour.Text+`"`)
	}
	if p.Level != nil {
		add("level", percent(float64(*p.Level)))
	}
	if p.Lux != nil {
		add("lux", number(*p.Lux))
		add("on", source.Quote(p.On.Name))
	}
	if len(p.Emitters) > 0 {
		var list []string
		for _, e := range p.Emitters {
			list = append(list, source.Quote(e.Name)+": "+percent(float64(e.Value)))
		}
		add("emitters", "{"+strings.Join(list, ", ")+"}")
	}
	if g := p.Glow; g != nil {
		text := "{object: " + source.Quote(g.Object.Name)
		if g.Over > 0 {
			text += ", over background: " + number(g.Over)
		}
		if g.Luminance > 0 {
			text += fmt.Sprintf(", luminance: %s cd/m2", number(float64(g.Luminance)))
		}
		add("glow", text+"}")
	}
	if p.Flash > 0 {
		add("flash", number(float64(p.Flash))+" Hz")
	}
	if p.Use != "" {
		add("use", string(p.Use))
	}
	return "{" + strings.Join(keys, ", ") + "}"
}

// number writes a number in as few digits as say it; files know no exponents
// that a person would not read.
func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func percent(x float64) string {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(100*x, 'g', 6, 64), 64)
	return number(y) + " %"
}

// rounded3 keeps three digits.
func rounded3(x float64) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64)
	return y
}
