package manual

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// grids writes tables whose slots run across, or down and across, as one slot after another.
func grids(lines []line) (out []line) {
	for i := 0; i < len(lines); {
		rows := i
		for rows < len(lines) && strings.TrimSpace(lines[rows].text) != "" {
			rows++
		}
		block := lines[i:rows]
		switch {
		case rows == i:
			out = append(out, lines[i])
			rows++
		default:
			out = append(out, grid(block)...)
		}
		i = rows
	}
	return out
}

func grid(block []line) []line {
	for i := range block {
		if told := across(block[i:]); told != nil {
			return append(slices.Clone(block[:i]), told...)
		}
		if told := byCell(block[i:]); told != nil {
			return append(slices.Clone(block[:i]), told...)
		}
	}
	return block
}

var slotLabel = regexp.MustCompile(`(?i)^(?:ch|channel|kanal|canal|slot|dmx|k|c)\.? ?(\d{1,3})$`)

// across reads a line of slots, CH1 CH2 CH3, with what each does in columns below, as labels on lamps
// have it.
func across(block []line) []line {
	head := slotsAcross(block[0].text)
	if len(head) < 3 || len(block) < 2 {
		return nil
	}
	cells := make([][]string, len(head))
	for _, l := range block[1:] {
		list := columns(l.text)
		own := make([]string, len(head))
		for k, c := range list {
			at := k
			if len(list) != len(head) {
				at = over(head, c)
			}
			own[at] = strings.TrimSpace(own[at] + "  " + c.text)
		}
		for i, text := range own {
			if text != "" {
				cells[i] = append(cells[i], text)
			}
		}
	}
	var out []line
	for i, c := range cells {
		for k, text := range c {
			if k == 0 {
				text = fmt.Sprintf("CH%d  %s", i+1, text)
			} else {
				text = "     " + text
			}
			out = append(out, line{block[min(k+1, len(block)-1)].number, text})
		}
		if c == nil {
			out = append(out, line{block[0].number, fmt.Sprintf("CH%d  ?", i+1)})
		}
	}
	return out
}

// slotsAcross are the places of slots that count up from 1 and are all that stands on a line.
func slotsAcross(text string) (out []placed) {
	for at := 0; at < len(text); {
		n := len(text[at:]) - len(strings.TrimLeft(text[at:], " |\t"))
		at += n
		end := at
		for end < len(text) && !strings.ContainsRune(" |\t", rune(text[end])) {
			end++
		}
		if end == at {
			break
		}
		m := slotLabel.FindStringSubmatch(text[at:end])
		if m == nil || m[1] != strconv.Itoa(len(out)+1) {
			return nil
		}
		out = append(out, placed{text[at:end], at, end})
		at = end
	}
	return out
}

// over is the column whose label a cell stands below: the one that it overlaps, or the nearest middle.
func over(head []placed, c placed) int {
	for i, h := range head {
		if c.from < h.to && h.from < c.to {
			return i
		}
	}
	best := 0
	for i, h := range head {
		if abs(h.from+h.to-c.from-c.to) < abs(head[best].from+head[best].to-c.from-c.to) {
			best = i
		}
	}
	return best
}

// byCell reads a table with a row for each kind of light, a column for each cell of the lamp, and slot
// numbers within: each from 1 on stands in it once.
func byCell(block []line) []line {
	head := columns(block[0].text)
	if len(head) < 2 || len(block) < 3 {
		return nil
	}
	indexed := 0
	for _, c := range head {
		if t := nonBreaks(scan(c.text)); len(t) == 1 && t[0].is("cell") && t[0].index > 0 {
			indexed++
		}
	}
	if indexed < 2 {
		return nil
	}
	names := head[len(head)-indexed:]
	type found struct {
		slot int
		line line
	}
	var all []found
	for _, l := range block[1:] {
		f := columns(l.text)
		if len(f) != indexed+1 {
			return nil
		}
		for k, c := range f[1:] {
			n := slotCell(c.text)
			if n == 0 {
				return nil
			}
			all = append(all, found{n, line{l.number, fmt.Sprintf("CH%d  %s  %s", n, names[k].text, f[0].text)}})
		}
	}
	slices.SortFunc(all, func(a, b found) int { return cmp.Compare(a.slot, b.slot) })
	var out []line
	for i, f := range all {
		if f.slot != i+1 {
			return nil
		}
		out = append(out, f.line)
	}
	return out
}
