package manual

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// brief is a mode that a text speaks of in passing, with so many slots.
type brief struct {
	name  string
	count int
	line  int
	toks  []token // what stands behind the name, and in the two lines below
}

var dotted = regexp.MustCompile(`\b(\d{1,3})(\.?[A-Z]{1,2}|\.[a-z]{1,2})\b`)

// briefs reads modes that have no table of their own, and are told by another or in one sentence: "4 ch is just
// r, g, b, w", "6ch is the same but only 2 to 7", "16 bit: two slots each".
func (o *Reading) briefs(r *rows) {
	const mostModes = 40 // real texts have fewer
	if len(o.Modes) == 0 || len(o.Modes) > mostModes {
		return
	}
	lines, first := r.unled(), r.plans[0].entries[0].line
	o.displayed(lines)
	o.asSet(r.lines)
	for i, l := range lines {
		if l.number <= first && !modeWord.MatchString(l.text) && !sameAs.MatchString(l.text) {
			continue // what a lamp is called: "3 channel RGB bar"
		}
		for _, b := range o.briefsOf(lines, i) {
			if o.has(b.count) {
				continue
			}
			slots := o.short(b)
			if slots == nil {
				continue
			}
			m := Mode{Name: b.name, Line: l.number, Slots: slots}
			for k := range o.Modes {
				if SameName(o.Modes[k].Name) == SameName(m.Name) {
					m.Name = fmt.Sprintf("%s (%d)", m.Name, b.count)
				}
			}
			o.Modes = append(o.Modes, m)
			r.left = slices.DeleteFunc(r.left, func(left line) bool { return left.number == l.number })
		}
	}
}

// has tells whether a mode has so many slots.
func (o *Reading) has(slots int) bool {
	return slices.ContainsFunc(o.Modes, func(m Mode) bool { return m.footprint() == slots })
}

// unled is the lines that begin no slot; those that do are empty.
func (r *rows) unled() []line {
	out := slices.Clone(r.lines)
	for _, p := range r.plans {
		for _, e := range p.entries {
			for i := range out {
				if out[i].number == e.line && e.line > 1 {
					out[i].text = ""
				}
			}
		}
	}
	return out
}

var prefixed = regexp.MustCompile(`\b([A-Za-z]{1,2}[-.]?)(\d{1,2})\b`)

// asSet names modes as the text writes them where they are set, "d-5" and "d-7", where it does so of two or more.
func (o *Reading) asSet(lines []line) {
	names := map[int]string{}
	prefix := ""
	for _, l := range lines {
		for _, m := range prefixed.FindAllStringSubmatch(l.text, 20) {
			n, _ := strconv.Atoi(m[2])
			if slotLabel.MatchString(m[0]) || prefix != "" && m[1] != prefix || letters[rune(strings.ToLower(m[1])[0])] != "" && len(m[1]) == 1 {
				continue
			}
			if slices.ContainsFunc(o.Modes, func(mode Mode) bool { return mode.footprint() == n }) {
				names[n], prefix = m[0], m[1]
			}
		}
	}
	if len(names) < 2 {
		return
	}
	for i := range o.Modes {
		if m := &o.Modes[i]; names[m.footprint()] != "" && strings.HasSuffix(m.Name, " channel") {
			m.Name = names[m.footprint()]
		}
	}
}

// displayed names modes as the text writes them where they are set, "28.P", where it writes one of another count alike.
func (o *Reading) displayed(lines []line) {
	for _, l := range lines {
		all := dotted.FindAllStringSubmatch(l.text, 20)
		for i := range o.Modes {
			m := &o.Modes[i]
			for _, a := range all {
				if strings.HasSuffix(m.Name, " channel") && a[1] == strconv.Itoa(m.footprint()) && slices.ContainsFunc(all, func(b []string) bool { return b[2] == a[2] && b[1] != a[1] }) && !unit.MatchString(a[2]) {
					m.Name = a[0]
				}
			}
		}
	}
}

// denied ends in what says that there is no such mode.
var denied = regexp.MustCompile(`(?i)\b(?:no|not|isn't|never|kein|keine|keinen|nicht|pas de|aucun|sin|nessun|geen)(?: (?:a|an|the|den|die|el|le))? *$`)

// unit are letters behind a number that are no mode's.
var unit = regexp.MustCompile(`(?i)^ ?(?:v|w|a|s|m|k|hz|mm|cm|kg|ms|va|h|x)$`)

// briefsOf are the modes that a line speaks of.
func (o *Reading) briefsOf(lines []line, at int) (out []brief) {
	text := lines[at].text
	const most = 200 // real texts have a few
	add := func(count, name string, at0, from int) {
		n, _ := strconv.Atoi(count)
		if n < 1 || n >= 512 || o.has(n) || o.tried > most || denied.MatchString(text[:at0]) {
			return
		}
		o.tried++
		if h := headingOf(scan(text), lines[at]); h != nil && h.whole && h.count == n {
			name = h.name
		}
		rest := text[from:]
		for _, l := range lines[at+1 : min(at+3, len(lines))] {
			if strings.TrimSpace(l.text) == "" {
				break
			}
			rest += " , " + l.text
		}
		out = append(out, brief{strings.Trim(name, " ."), n, lines[at].number, scan(rest)})
	}
	for _, form := range []*regexp.Regexp{countNames, addressCount} {
		for _, m := range form.FindAllStringSubmatchIndex(text, -1) {
			name := text[m[0]:m[1]]
			if form == addressCount {
				name = strings.TrimSpace(strings.Trim(text[:m[0]], " (:-"))
			}
			add(text[m[2]:m[3]], name, m[0], m[1])
		}
	}
	for i := range o.Modes {
		own := dotted.FindStringSubmatch(o.Modes[i].Name)
		if own == nil || own[0] != o.Modes[i].Name || unit.MatchString(own[2]) {
			continue
		}
		for _, m := range dotted.FindAllStringSubmatchIndex(text, -1) {
			if text[m[4]:m[5]] == own[2] {
				add(text[m[2]:m[3]], text[m[0]:m[1]], m[0], m[1])
			}
		}
	}
	return out
}
