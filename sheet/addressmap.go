package sheet

import (
	"context"
	"fmt"
	"image/color"
	"strings"

	"lampblack/plate/drawing"
	"lampblack/rig"
	"lampblack/sheet/typeset"
)

// The map has 16 rows of 32 slots: half as wide again as high, so that a page holds it.
const (
	mapRow   = 32
	mapCell  = 21.
	mapHigh  = 44.
	mapLeft  = 40.
	mapSmall = 9.
)

// addressMap draws each universe slot by slot, and lists whose names had no room.
func addressMap(_ context.Context, s *Subject) ([]typeset.Block, error) {
	r := s.Show.Rig
	var out []typeset.Block
	for _, universe := range r.Universes() {
		out = append(out, mapOf(r, universe)...)
	}
	return out, nil
}

func mapOf(r *rig.Rig, universe int) []typeset.Block {
	d := drawing.New(mapLeft+mapRow*mapCell+2, universeSlots/mapRow*mapHigh+2, fmt.Sprintf("Universe %d", universe))
	overlap := r.Overlapping()
	list := &typeset.Table{Columns: []typeset.Column{{Head: "No.", Right: true, Bold: true}, {Head: "Slots", Right: true}, {Head: "Unit"}}}
	for n := range universeSlots / mapRow {
		y := 1 + float64(n)*mapHigh
		d.Box(mapLeft, y, mapRow*mapCell, mapHigh-8, color.NRGBA{}, pale)
		d.Add(&drawing.Text{At: drawing.Point{mapLeft - 6, y + 22}, Words: fmt.Sprint(n*mapRow + 1), Size: 11, Anchor: drawing.Right, Fill: black, Fits: true})
		for k := 8; k < mapRow; k += 8 {
			d.Line(mapLeft+float64(k)*mapCell, y, mapLeft+float64(k)*mapCell, y+mapHigh-8, pale, 1)
		}
	}
	key := ""
	for _, i := range byAddress(r) {
		u := &r.Units[i]
		if u.Universe != universe {
			continue
		}
		no := len(list.Rows) + 1
		if !blockOf(d, u, no, overlap[i]) {
			list.Rows = append(list.Rows, row(fmt.Sprint(no), slotsOf(u), u.Name.Name))
		}
		key += u.Name.Name + " " + slotsOf(u) + "\n"
	}
	note := fmt.Sprintf("%d of %d slots used. The number before a row is its first slot; a line stands before every eighth. A hatched block shares slots with another.", used(r, universe), universeSlots)
	out := []typeset.Block{&typeset.Heading{Text: d.Title}, &typeset.Figure{Drawing: d, Note: note, Key: key}}
	if len(list.Rows) > 0 {
		out = append(out, list)
	}
	return out
}

var (
	black = drawing.Hex(0)
	pale  = drawing.Hex(0xbbbbbb)
)

// blockOf draws the slots of a unit, over as many rows as they take, with its name where that has room and a number
// where it has not; it tells which.
func blockOf(d *drawing.Drawing, u *rig.Unit, no int, hatched bool) (named bool) {
	first := true
	for from := max(u.Address, 1) - 1; from < min(last(u), universeSlots); {
		n := from / mapRow
		to := min(last(u), (n+1)*mapRow, universeSlots)
		x, y := mapLeft+float64(from%mapRow)*mapCell+.5, 1+float64(n)*mapHigh
		wide := float64(to-from)*mapCell - 1
		d.Add(&drawing.Path{Points: []drawing.Point{{x, y}, {x + wide, y}, {x + wide, y + mapHigh - 8}, {x, y + mapHigh - 8}}, Closed: true, Style: drawing.Style{Fill: drawing.White, Stroke: black, Width: 1.4}})
		if hatched {
			g := &drawing.Group{Clip: []drawing.Point{{x, y}, {x + wide, y}, {x + wide, y + mapHigh - 8}, {x, y + mapHigh - 8}}}
			for k := -mapHigh; k < wide; k += 6 {
				g.Line(x+k, y+mapHigh, x+k+mapHigh, y, pale, 1)
			}
			d.Add(g)
		}
		if first {
			lines := fitted(u.Name.Name, wide-4)
			if named = lines != nil; !named {
				lines = []string{fmt.Sprint(no)}
			}
			d.Add(&drawing.Text{At: drawing.Point{x + 2, y + 10}, Words: fmt.Sprint(u.Address), Size: mapSmall, Bold: true, Anchor: drawing.Left, Fill: black, Fits: true})
			for k, l := range lines {
				d.Add(&drawing.Text{At: drawing.Point{x + 2, y + 21 + float64(k)*10.5}, Words: l, Size: mapSmall, Anchor: drawing.Left, Fill: black, Fits: true})
			}
			first = false
		}
		from = to
	}
	return named
}

// fitted is a name on at most two lines that are so wide, nil where it has no room.
func fitted(name string, wide float64) []string {
	lines := []string{""}
	for _, word := range strings.Fields(name) {
		last := &lines[len(lines)-1]
		with := strings.TrimSpace(*last + " " + word)
		switch {
		case drawing.Wide(with, mapSmall, false) <= wide:
			*last = with
		case *last == "" || len(lines) == 2 || drawing.Wide(word, mapSmall, false) > wide:
			return nil
		default:
			lines = append(lines, word)
		}
	}
	return lines
}
