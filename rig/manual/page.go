package manual

import (
	"regexp"
	"strconv"
	"strings"
)

var (
	tags    = regexp.MustCompile(`(?i)<(?:t[drh]|li|h[1-6]|table|p|div)[ >]`)
	tag     = regexp.MustCompile(`(?s)<(/?)([a-zA-Z][a-zA-Z0-9]*)([^>]*)>`)
	hidden  = regexp.MustCompile(`(?is)<(script|style|head)[ >].*?</(script|style|head)>|<!--.*?-->`)
	spans   = regexp.MustCompile(`(?i)rowspan\s*=\s*["']?(\d{1,3})`)
	wide    = regexp.MustCompile(`(?i)colspan\s*=\s*["']?(\d{1,2})`)
	newline = map[string]bool{"p": true, "div": true, "li": true, "ul": true, "ol": true, "table": true, "h1": true, "h2": true, "h3": true, "h4": true, "h5": true, "h6": true, "thead": true, "tbody": true}
)

// page is the source of a web page as text: a row of a table is a line with tabs, a cell over
// several rows is empty in those below.
func page(text string) string {
	text = hidden.ReplaceAllString(text, "")
	var b strings.Builder
	var below []int // by column: rows that a cell above still reaches over
	column, inRow := 0, false
	last := 0
	put := func(s string) {
		if inRow {
			s = strings.Join(strings.Fields(s), " ")
		}
		b.WriteString(s)
	}
	for _, m := range tag.FindAllStringSubmatchIndex(text, -1) {
		put(text[last:m[0]])
		last = m[1]
		closing, name, more := m[2] != m[3], strings.ToLower(text[m[4]:m[5]]), text[m[6]:m[7]]
		switch {
		case name == "tr" && !closing:
			b.WriteString("\n")
			column, inRow = 0, true
		case name == "tr":
			inRow = false
			b.WriteString("\n")
		case (name == "td" || name == "th") && !closing:
			for column < len(below) && below[column] > 0 {
				below[column]--
				column++
				b.WriteString("\t")
			}
			for len(below) <= column+spanOf(wide, more) && len(below) < 200 {
				below = append(below, 0)
			}
			if column < len(below) {
				below[column] = spanOf(spans, more) - 1
			}
			column++
		case name == "td" || name == "th":
			b.WriteString("\t")
		case name == "br" && inRow:
			b.WriteString(" ; ")
		case name == "br" || newline[name]:
			b.WriteString("\n")
		}
	}
	put(text[last:])
	return b.String()
}

func spanOf(form *regexp.Regexp, attributes string) int {
	if m := form.FindStringSubmatch(attributes); m != nil {
		if n, err := strconv.Atoi(m[1]); err == nil {
			return max(n, 1)
		}
	}
	return 1
}
