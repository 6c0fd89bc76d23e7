package manual

import (
	"regexp"
	"slices"
	"strings"
)

// pieced puts together what the width of a column has cut: "Ultra-" over "violet", and "Channels" over
// "2-6", also where other columns stand beside.
func pieced(lines []line) []line {
	out := slices.Clone(lines)
	for i := 0; i+1 < len(out); i++ {
		for _, c := range columns(out[i].text) {
			m := cutWord.FindStringSubmatch(c.text)
			if m == nil {
				continue
			}
			for _, d := range columns(out[i+1].text) {
				first, rest, _ := strings.Cut(d.text, " ")
				from := c.to - len(c.text) + strings.LastIndex(c.text, m[1])
				if !unicodeLower(first) || meaningless(m[1]+first) || abs(d.from-from) > 6 && abs(d.from-c.from) > 6 {
					continue
				}
				out[i].text = strings.Replace(out[i].text, m[1]+"-", m[1]+first, 1)
				out[i+1].text = strings.Replace(out[i+1].text, d.text, strings.Repeat(" ", len(first)+1)+rest, 1)
				break
			}
		}
		if m := cutSlots.FindString(out[i].text); m != "" && cutNumbers.MatchString(out[i+1].text) {
			n := cutNumbers.FindStringSubmatch(out[i+1].text)
			out[i].text += " " + n[1]
			out[i+1].text = strings.Repeat(" ", len(out[i+1].text)-len(n[2])) + n[2]
		}
	}
	return out
}

var (
	cutWord    = regexp.MustCompile(`(\p{L}{2,})-$`)
	cutSlots   = regexp.MustCompile(`(?i)(?:^|[^\d\s]\s+)(?:channels|slots|kanäle|kanaele|canaux|canales|ch)$`)
	cutNumbers = regexp.MustCompile(`^\s*(\d{1,3} ?- ?\d{1,3})\b(.*)$`)
)

// meaningless tells whether a word put together is none that the lexicon has.
func meaningless(word string) bool {
	senses, slip := meaning(fold(word))
	return senses == nil || slip != ""
}

// boxed moves a slot's number that stands in the middle of a box drawn by signs to its first row.
func boxed(text string) string {
	lines := strings.Split(text, "\n")
	from := -1
	for i, l := range lines {
		if !boxRule.MatchString(l) {
			continue
		}
		if from >= 0 {
			raise(lines[from:i])
		}
		from = i + 1
	}
	return strings.Join(lines, "\n")
}

var boxRule = regexp.MustCompile(`^\s*[+|][-=+|]{3,}[+|]\s*$`)

// raise moves the only cell of a box's first column up to its first row.
func raise(box []string) {
	at := -1
	for i, l := range box {
		cells := strings.Split(l, "|")
		if len(cells) < 4 {
			return
		}
		if strings.TrimSpace(cells[1]) != "" {
			if at >= 0 {
				return
			}
			at = i
		}
	}
	if at <= 0 {
		return
	}
	first, own := strings.Split(box[0], "|"), strings.Split(box[at], "|")
	first[1], own[1] = own[1], first[1]
	box[0], box[at] = strings.Join(first, "|"), strings.Join(own, "|")
}

var (
	namedMode  = regexp.MustCompile(`(?i)\b(\p{L}{3,16}) \((\d{1,3})[ -]?(?:ch|channels?|kanal|kanäle|slots?|canaux|canales)\)`)
	pageNumber = regexp.MustCompile(`(?i)\b(?:page|seite|página|pagina) \d{1,3}(?: ?(?:/|of|von|de) ?\d{1,3})?\s*$`)
	goesOnLine = regexp.MustCompile(`(?i)\((?:continued|cont\.?|fortsetzung|suite|continuación)\)\s*$`)
)

// namedModes makes headings of lines that are the name of a mode, which the text has told with its slots:
// "Basic (3 channels) and Full (11 channels)".
func namedModes(lines []line) []line {
	counts := map[string]string{}
	text := ""
	for _, l := range lines {
		text += strings.TrimSpace(l.text) + " "
	}
	for _, m := range namedMode.FindAllStringSubmatch(text, -1) {
		counts[strings.ToLower(m[1])] = m[2]
	}
	if len(counts) < 2 {
		return lines
	}
	out := slices.Clone(lines)
	for i, l := range lines {
		if n := counts[strings.ToLower(strings.Trim(l.text, " :.-"))]; n != "" {
			out[i].text = `mode "` + strings.Trim(l.text, " :.-") + `" ` + n + " channels"
		}
	}
	return out
}

// furniture takes out what stands at the foot and head of pages within a table: a page's number and what
// stands beside it, with the line behind, and headings that only say again what goes on.
func furniture(lines []line) (out []line) {
	for i := 0; i < len(lines); i++ {
		l := lines[i]
		switch {
		case goesOnLine.MatchString(l.text) && len(out) > 0:
		case pageNumber.MatchString(l.text) && len(columns(l.text)) > 1 && !anyRange(scan(l.text)) && len(out) > 0:
			if i+1 < len(lines) && sentence(scan(lines[i+1].text)) {
				i++
			}
		default:
			out = append(out, l)
			continue
		}
		for len(out) > 0 && strings.TrimSpace(out[len(out)-1].text) == "" {
			out = out[:len(out)-1]
		}
	}
	return out
}
