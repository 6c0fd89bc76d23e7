package manual

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

var (
	dashed  = regexp.MustCompile(`^\s*(\d{1,3}) - *(\d{1,3} ?(?:-|to|bis|a|à|al|\.\.) ?\d{1,3}\b.*)$`)
	dashedW = regexp.MustCompile(`^\s*(\d{1,3}) - *[\p{L}(]`)
)

// dashes parts a slot from its first range, "1 - 0 to 189 dimmer", where other slots stand before a dash too.
func dashes(lines []line) []line {
	n := 0
	for _, l := range lines {
		if dashedW.MatchString(l.text) {
			n++
		}
	}
	if n < 2 {
		return lines
	}
	out := slices.Clone(lines)
	before := 0
	for i, l := range lines {
		if m := dashed.FindStringSubmatch(l.text); m != nil {
			if k, _ := strconv.Atoi(m[1]); k == before+1 || k == 1 {
				out[i].text, before = "CH"+m[1]+"  "+m[2], k
			}
		} else if m := dashedW.FindStringSubmatch(l.text); m != nil {
			before, _ = strconv.Atoi(m[1])
		}
	}
	return out
}

// listItem is a slot with what stands behind it, as a column of a label has it: "1 = R".
var listItem = regexp.MustCompile(`(?i)^(?:ch|c|k|slot|kanal|canal)?[ .]?(\d{1,3})(?: ?[=:.)-] ?| )\(?[\p{L}]`)

// mostRows bounds lists beside each other.
const mostRows = 60

// besideEach writes lists of slots that stand beside each other, each from 1, one below the other, with what stands
// above each as its head.
func besideEach(lines []line) (out []line) {
	for i := 0; i < len(lines); {
		end := i
		for end < len(lines) && strings.TrimSpace(lines[end].text) != "" {
			end++
		}
		if told := apartLists(lines[i:min(end, i+mostRows)]); told != nil && end-i <= mostRows {
			out, i = append(out, told...), end
			continue
		}
		out = append(out, lines[i])
		i++
	}
	return out
}

// apartLists takes the lists of a block apart, whose first line, or the one below its head, has slot 1 twice or more.
func apartLists(block []line) []line {
	if len(block) < 3 || strings.Contains(block[0].text, "\t") {
		return nil
	}
	at := 0
	starts := listStarts(block[0].text)
	if len(starts) < 2 {
		at, starts = 1, listStarts(block[1].text)
	}
	if len(starts) < 2 {
		return nil
	}
	next := make([]int, len(starts))
	told := make([][]line, len(starts))
	for _, l := range block[at:] {
		last := make([]int, 0, len(starts))
		for _, c := range columns(l.text) {
			k := under(starts, c)
			m := listItem.FindStringSubmatch(c.text)
			switch {
			case m != nil && m[1] == strconv.Itoa(next[k]+1):
				next[k]++
				told[k] = append(told[k], line{l.number, fmt.Sprintf("CH%d  %s", next[k], strings.TrimLeft(c.text[len(m[0])-len(lastRune(m[0])):], " "))})
			case len(told[k]) == 0:
				return nil
			case slices.Contains(last, k): // more of the same line
				told[k][len(told[k])-1].text += "  " + c.text
			case m != nil && m[1] == "1":
				return nil
			default:
				told[k] = append(told[k], line{l.number, "     " + c.text})
			}
			last = append(last, k)
		}
	}
	if slices.ContainsFunc(next, func(n int) bool { return n < 3 }) {
		return nil
	}
	var out []line
	for k := range starts {
		head := ""
		if at == 1 {
			for _, c := range columns(block[0].text) {
				if under(starts, c) == k {
					head += c.text + "  "
				}
			}
		}
		if strings.TrimSpace(head) == "" {
			head = fmt.Sprintf("mode %d", k+1)
		}
		out = append(append(out, line{block[0].number, head}), told[k]...)
	}
	return out
}

// lastRune is the last letter of a text.
func lastRune(s string) string {
	r := []rune(s)
	return string(r[len(r)-1:])
}

// listStarts are the places on a line where slot 1 begins, where nothing else stands.
func listStarts(text string) (out []placed) {
	for _, c := range columns(text) {
		m := listItem.FindStringSubmatch(c.text)
		switch {
		case m != nil && m[1] == "1":
			out = append(out, c)
		case len(out) == 0:
			return nil
		}
	}
	return out
}

// under is the list that a cell stands in: the last that begins before it, with two letters of slack.
func under(starts []placed, c placed) (k int) {
	for i, s := range starts {
		if c.from >= s.from-2 {
			k = i
		}
	}
	return k
}

var (
	bareRange  = regexp.MustCompile(`^\s+(\d{1,3}) ?- ?(\d{1,3})\b`)
	loneNumber = regexp.MustCompile(`^\s*(\d{1,3})\b`)
	byItself   = regexp.MustCompile(`^\s*(\d{1,3})\s*$`)
	ledRange   = regexp.MustCompile(`^\s*(\d{1,3})( {2,})(\d{1,3}) ?- ?(\d{1,3})\b`)
)

// centred moves a slot's number, which stands in the middle of its rows of values, up to the first: where the slot
// before has all its values, and rows from 0 stand before the number.
func centred(lines []line) []line {
	out := slices.Clone(lines)
	slot, top := 0, 0
	for i := 0; i < len(out); i++ {
		if m := ledRange.FindStringSubmatch(out[i].text); m != nil {
			slot, _ = strconv.Atoi(m[1])
			top, _ = strconv.Atoi(m[4])
			continue
		}
		m := bareRange.FindStringSubmatch(out[i].text)
		if m == nil {
			continue
		}
		from, _ := strconv.Atoi(m[1])
		if from != 0 || top < 255 || slot == 0 {
			top, _ = strconv.Atoi(m[2])
			continue
		}
		k := numberBelow(out[i+1:], slot+1)
		if k < 0 {
			top, _ = strconv.Atoi(m[2])
			continue
		}
		k += i + 1
		n := loneNumber.FindStringSubmatch(out[k].text)
		first := i
		if title := out[i-1].text; i > 0 && strings.TrimSpace(title) != "" && columns(title)[0].from > len(n[1])+1 && len(columns(title)) == 1 && !anyRange(scan(title)) {
			first = i - 1 // the name of the slot stands above its values
		}
		out[k].text = strings.Repeat(" ", len(out[k].text)-len(strings.TrimLeft(out[k].text, " "))+len(n[1])) + strings.TrimLeft(out[k].text, " ")[len(n[1]):]
		out[first].text = fmt.Sprintf("CH%d  %s", slot+1, strings.TrimSpace(out[first].text))
		slot++
		top, _ = strconv.Atoi(m[2])
	}
	return out
}

// numberBelow finds the row that has a slot's number before a range that goes on, with none but rows of ranges
// between; -1 without.
func numberBelow(lines []line, slot int) int {
	for i, l := range lines {
		if m := byItself.FindStringSubmatch(l.text); m != nil && m[1] == strconv.Itoa(slot) {
			return i
		}
		if m := ledRange.FindStringSubmatch(l.text); m != nil {
			if m[1] == strconv.Itoa(slot) && strings.TrimLeft(m[3], "0") != "" {
				return i
			}
			return -1
		}
		if m := bareRange.FindStringSubmatch(l.text); m == nil || strings.TrimLeft(m[1], "0") == "" {
			return -1
		}
	}
	return -1
}
