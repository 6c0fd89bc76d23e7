package manual

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

var offset = regexp.MustCompile(`(?i)^\s*(?:(?:start |base )?(?:addr(?:ess)?|adresse|adr|channel|ch|slot|kanal|base)?\.?[ :]*)\(?(?:n|a|start(?: address)?|x|base|s)\)? ?(?:\+ ?(\d{1,3}))?\)? *([:=)| \t-].*)$`)

// plusOnly is a slot that is told from the address alone: "+3".
var plusOnly = regexp.MustCompile(`^\s*\+ ?(\d{1,3})( .*|\t.*)$`)

// offsets turns "N", "N+1" into slot numbers, where such lines count up.
func offsets(lines []line) []line {
	out := slices.Clone(lines)
	next := 0
	for i, l := range lines {
		m := offset.FindStringSubmatch(l.text)
		if m == nil {
			m = plusOnly.FindStringSubmatch(l.text)
			if m != nil && next == 0 && m[1] != "0" {
				continue
			}
		}
		if m == nil || m[1] == "" && next > 0 {
			continue
		}
		n, _ := strconv.Atoi(m[1])
		if n != next {
			return lines
		}
		out[i].text = "CH" + strconv.Itoa(n+1) + "  " + m[2]
		next++
	}
	if next < 2 {
		return lines
	}
	return out
}

var counted = regexp.MustCompile(`(?i)^\s*(\d{1,3}) ?-?(?:ch|channel|kanal|canal|kanaal)\b[ .:)=-]*([\p{L}(].*)$`)

// countedUp turns "1CH Dimmer", "2CH Red" into slot numbers, where four or more such lines count
// up: modes of one slot, two, three and four are rare.
func countedUp(lines []line) []line {
	out := slices.Clone(lines)
	next := 1
	for i, l := range lines {
		m := counted.FindStringSubmatch(l.text)
		if m == nil {
			continue
		}
		n, _ := strconv.Atoi(m[1])
		if n != next {
			if next < 5 {
				return lines
			}
			continue
		}
		out[i].text = "CH" + m[1] + "  " + m[2]
		next++
	}
	if next < 5 {
		return lines
	}
	return out
}

var initial = regexp.MustCompile(`(?i)^\s*(?:k|c|d|s|nr|no|n°|nº|#|addr(?:ess)?|adresse)\.? ?(\d{1,3})\b[ :.)=-]*(.*)$`)

// initials turns "K1" and "no. 1" into slot numbers, where such lines count up.
func initials(lines []line) []line {
	out := slices.Clone(lines)
	next := 1
	for i, l := range lines {
		m := initial.FindStringSubmatch(l.text)
		if m == nil {
			continue
		}
		if n, _ := strconv.Atoi(m[1]); n == next {
			out[i].text = "CH" + m[1] + "  " + m[2]
			next++
		} else if n != 1 {
			if next > 3 {
				continue // a note
			}
			return lines
		} else {
			out[i].text = "CH1  " + m[2]
			next = 2
		}
	}
	if next < 3 {
		return lines
	}
	return out
}

// restOf cuts a slot that stands in a sentence with others off what is said behind it.
var restOf = regexp.MustCompile(`^(.{3,60}?\p{L}{2,})\. +(\p{Lu}.*)$`)

// inline breaks a line that has many slots, or several modes, into as many.
func inline(lines []line) (out []line) {
	for _, l := range lines {
		at := slotStarts(l.text)
		if len(at) < 3 || ledBySlot(l.text[:at[0][0]]) {
			at = modeStarts.FindAllStringIndex(l.text, -1)
			if len(at) < 2 {
				out = append(out, l)
				continue
			}
		}
		from := 0
		for _, a := range at {
			if head := strings.TrimSpace(l.text[from:a[0]]); head != "" {
				out = append(out, line{l.number, head})
			}
			from = a[0]
		}
		if m := restOf.FindStringSubmatch(l.text[from:]); m != nil {
			out = append(out, line{l.number, m[1]}, line{l.number, m[2]})
			continue
		}
		out = append(out, line{l.number, l.text[from:]})
	}
	return out
}

var (
	noteMark = regexp.MustCompile(`^(.*[\p{L}\d)])\s+\(?(\d|\*{1,3})\)\s*$`)
	noteText = regexp.MustCompile(`^\s*\(?(\d|\*{1,3})\)\s+(.*)$`)
)

// footnotes puts what stands below a table as "2) ..." behind the lines that end in "2)".
func footnotes(lines []line) []line {
	out := slices.Clone(lines)
	at := map[string]int{}
	for i, l := range lines {
		if m := noteMark.FindStringSubmatch(l.text); m != nil {
			at[m[2]] = i
		}
	}
	for i, l := range lines {
		m := noteText.FindStringSubmatch(l.text)
		if m == nil {
			continue
		}
		if k, marked := at[m[1]]; marked && k < i {
			out[k].text = noteMark.FindStringSubmatch(lines[k].text)[1] + "  " + m[2]
			out[i].text = ""
		}
	}
	return out
}

// ledBySlot tells whether a line begins with a slot's number before its first inline one.
func ledBySlot(before string) bool {
	t := nonBreaks(scan(strings.TrimSpace(before)))
	return len(t) > 0 && (t[0].kind == isNumber || t[0].kind == isSlots)
}

var (
	modeStarts = regexp.MustCompile(`(?i)(?:mode|modus|personality|betriebsart) \w{1,4} ?\(\d{1,3} ?-?(?:ch|channels?|kanal|kanäle|slots?)\)`)
	slotStart  = regexp.MustCompile(`(?i)(?:^|[\s,;/|(.])((?:chs?|channels?|slots?|kanal|kanäle|dmx|canal|canaux|canales|k|c)[ .]*(\d{1,3})(?:(?: ?- ?| (?:bis|to|à|a) )(\d{1,3})\b)?|(\d{1,3}))(?:[ ):=.-]+)[\p{L}(]`)
)

// slotStarts finds where slots 1, 2, 3 and so on begin within one line.
func slotStarts(text string) (at [][]int) {
	next, named := 1, false
	for from := 0; from < len(text); {
		m := slotStart.FindStringSubmatchIndex(text[from:])
		if m == nil {
			return at
		}
		k := 4
		if m[4] >= 0 {
			k = 2
		}
		n, _ := strconv.Atoi(text[from+m[2*k] : from+m[2*k+1]])
		if n == next && (k == 2 || !named || from+m[0] > 0 && strings.HasSuffix(strings.TrimSpace(text[:from+m[8]]), ",")) {
			named = named || k == 2
			at = append(at, []int{from + m[2], from + m[3]})
			next++
			if m[6] >= 0 { // "channels 1 to 4 are red, green, blue, white"
				if last, _ := strconv.Atoi(text[from+m[6] : from+m[7]]); last > n && last < n+20 {
					next = last + 1
				}
			}
		}
		from += m[3]
	}
	return at
}

// mixed tells whether the lines that name their slot name each from 1 on once, in another
// order.
func mixed(lines []line) bool {
	var all []int
	for _, l := range lines {
		if t := lessBreaks(scan(strings.TrimSpace(l.text))); len(t) > 0 && t[0].kind == isSlots && len(t[0].slots) == 1 {
			all = append(all, t[0].slots[0])
		}
	}
	if len(all) < 3 || slices.IsSorted(all) {
		return false
	}
	slices.Sort(all)
	for i, n := range all {
		if n != i+1 {
			return false
		}
	}
	return true
}

// namesFirst turns lines as "R1 = 1" and "red ..... 4" round, where such lines count up.
func namesFirst(lines []line) []line {
	type found struct {
		at, slot int
		name     string
	}
	var all []found
	for i, l := range lines {
		text, more := strings.TrimSpace(l.text), ""
		if b := bracketed.FindStringSubmatch(text); b != nil && nameFirst.MatchString(strings.TrimSpace(b[1]+b[3])) {
			text, more = strings.TrimSpace(b[1]+b[3]), b[2]+b[4]
		}
		m := nameFirst.FindStringSubmatch(text)
		if m == nil || leadingNumber.MatchString(l.text) {
			continue
		}
		n, _ := strconv.Atoi(m[2])
		all = append(all, found{i, n, strings.TrimRight(m[1], " .") + "  " + more})
	}
	up := 0
	for k := 1; k < len(all); k++ {
		if all[k].slot == all[k-1].slot+1 {
			up++
		}
	}
	if len(all) < 3 || up < 2 || up*3 < len(all)*2-4 {
		return lines
	}
	out := slices.Clone(lines)
	for _, f := range all {
		out[f.at].text = "CH" + strconv.Itoa(f.slot) + "  " + f.name
	}
	return out
}

var (
	bracketed     = regexp.MustCompile(`(?i)^(.*?\d) *(\([^)]*\)?)$|^(.*?(?:channel|ch|kanal|slot)[ .]*\d{1,3})[,;:.] +(.*)$`)
	nameFirst     = regexp.MustCompile(`(?i)^([\p{L}][\p{L}\d .+/()-]{0,40}?)(?: ?[=:] ?| ?\.{3,} ?| {2,}|\t+| - | \(?)(?:(?:channel|ch|kanal|slot|dmx|canal)[ .]*)?(\d{1,3})\)?$`)
	leadingNumber = regexp.MustCompile(`(?i)^\s*(?:chs?|channels?|kanal|kanäle|kanaele|slots?|dmx|canal|canaux|canales|canali|kanalen)?[ .]*\d`)
)

var endPair = regexp.MustCompile(`^(.*\p{L}.*?)[ \t]{2,}(\d{1,3})[ \t]{2,}(\d{1,3})$`)

// endPairs makes ranges of two columns of figures at the end of lines, where several lines have
// them.
func endPairs(lines []line) []line {
	out := slices.Clone(lines)
	n := 0
	for i, l := range lines {
		m := endPair.FindStringSubmatch(strings.ReplaceAll(l.text, "\t", "   "))
		if m == nil {
			continue
		}
		from, _ := strconv.Atoi(m[2])
		to, _ := strconv.Atoi(m[3])
		if from < to && to <= 255 {
			out[i].text = m[1] + "  " + m[2] + "-" + m[3]
			n++
		}
	}
	if n < 2 {
		return lines
	}
	return out
}
