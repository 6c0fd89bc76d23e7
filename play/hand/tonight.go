package hand

import (
	"fmt"
	"math"
	"strings"
	"time"

	"lampblack/light"
	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// TonightFile holds, in a show's folder, what a hand has set for a night: apart from the
// looks, and still there when the program is started again.
const TonightFile = "tonight.yaml"

// Sheet is the text of tonight.yaml.
type Sheet struct {
	source.Pos
	Night string     `key:"night,required"`
	Trims []trimText `key:"trims"`
	Outs  []outText  `key:"out"`
	Held  []heldText `key:"by hand"`
}

type trimText struct {
	source.Pos
	System source.Ref `key:"system"`
	Unit   source.Ref `key:"unit"`
	Level  si.Ratio   `key:"level,required"`
}

type outText struct {
	source.Pos
	Unit  source.Ref `key:"unit,required"`
	Why   string     `key:"why"`
	Since string     `key:"since"`
}

type heldText struct {
	source.Pos
	Of     source.Ref   `key:"of"` // the system of which they are all
	Units  []source.Ref `key:"units,required"`
	Dark   bool         `key:"black light"`
	Colour string       `key:"colour"`
	Level  si.Ratio     `key:"level,required"`
}

// NightOf names the night to which an instant belongs, by the date on which it begins: a
// night lasts from noon to noon.
func NightOf(t time.Time) string { return t.Add(-12 * time.Hour).Format(time.DateOnly) }

// ReadTonight reads what was set, and for which night.
func ReadTonight(data []byte) (s State, night string, faults source.Faults) {
	var sheet Sheet
	faults = source.Decode(TonightFile, data, &sheet)
	for i := range sheet.Trims {
		t := &sheet.Trims[i]
		if (t.System.Name == "") == (t.Unit.Name == "") {
			faults.Add(t.Pos, "", "a trim is of a system or of a unit")
			continue
		}
		if !(t.Level >= 0 && t.Level <= mostTrim) {
			faults.Add(t.Pos, "", "a trim lies between 0 %% and %d %%", 100*mostTrim)
			continue
		}
		s = s.trim(Trim{t.System.Name, t.Unit.Name, tidy(float64(t.Level))})
	}
	for i := range sheet.Outs {
		o := &sheet.Outs[i]
		since, err := time.Parse(time.RFC3339, o.Since)
		if err != nil && o.Since != "" {
			faults.Add(o.Pos, "as 2026-03-14T19:30:00Z", "%q is no instant", o.Since)
		}
		s = s.takeOut(Out{o.Unit.Name, o.Why, since})
	}
	for i := range sheet.Held {
		h := &sheet.Held[i]
		if !(h.Level >= 0 && h.Level <= 1) {
			faults.Add(h.Pos, "", "a level lies between 0 %% and 100 %%")
			continue
		}
		if h.Colour != "" {
			if _, err := light.ParseColour(h.Colour); err != nil {
				faults.Add(h.Pos, "", "%v", err)
				continue
			}
		}
		held := Held{System: h.Of.Name, Dark: h.Dark, Colour: h.Colour, Level: tidy(float64(h.Level))}
		for _, ref := range h.Units {
			held.Units = append(held.Units, ref.Name)
		}
		s = s.hold(held)
	}
	return s, sheet.Night, faults
}

// WriteTonight is the text of what is set for a night.
func WriteTonight(s State, night string) []byte {
	var b strings.Builder
	b.WriteString("# What a hand has set for this night, beside the show: `lampblack tonight` tells of it.\n")
	fmt.Fprintf(&b, "night: %s\n", source.Quote(night))
	list := func(key string, n int, item func(i int) string) {
		if n > 0 {
			b.WriteString(key + ":\n")
		}
		for i := range n {
			b.WriteString("  - {" + item(i) + "}\n")
		}
	}
	list("trims", len(s.Trims), func(i int) string {
		t := &s.Trims[i]
		whom := "system: " + source.Quote(t.System)
		if t.Unit != "" {
			whom = "unit: " + source.Quote(t.Unit)
		}
		return whom + ", level: " + score.Percent(t.Factor)
	})
	list("out", len(s.Outs), func(i int) string {
		o := &s.Outs[i]
		text := "unit: " + source.Quote(o.Unit)
		if o.Why != "" {
			text += ", why: " + source.Quote(o.Why)
		}
		if !o.Since.IsZero() {
			text += ", since: " + source.Quote(o.Since.Format(time.RFC3339))
		}
		return text
	})
	list("by hand", len(s.Held), func(i int) string {
		h := &s.Held[i]
		names := make([]string, len(h.Units))
		for k, u := range h.Units {
			names[k] = source.Quote(u)
		}
		text := ""
		if h.System != "" {
			text = "of: " + source.Quote(h.System) + ", "
		}
		text += "units: [" + strings.Join(names, ", ") + "]"
		if h.Dark {
			text += ", black light: yes"
		}
		if h.Colour != "" {
			text += ", colour: " + source.Quote(h.Colour)
		}
		return text + ", level: " + score.Percent(h.Level)
	})
	return []byte(b.String())
}

// tidy rounds a share to a hundredth of a per cent, so that it is the same when it has been
// written and read.
func tidy(v float64) float64 { return math.Round(v*1e4) / 1e4 }
