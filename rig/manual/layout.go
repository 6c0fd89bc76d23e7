package manual

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// role is what a column of a table holds.
type role uint8

const (
	noRole role = iota
	slotRole
	fromRole
	toRole
	valueRole
	textRole
	modeRole  // a column of slot numbers for one mode
	noteRole  // remarks, which say nothing of values
	rangeRole // what a range of values does, which stands at its head
	partRole  // the mode that the rows are of
)

// labels are the words at the head of columns.
var labels = map[string]role{}

func init() {
	for r, list := range map[role]string{
		slotRole:  "ch,ch.,channel,channels,chan,slot,slots,slot #,slot no,slot number,kanal,kanäle,kan,kan.,canal,canaux,dmx ch,dmx channel,dmx slot,dmx-kanal,dmx kanal,channel no,channel no.,channel number,ch no,ch no.,ch#,ch #,kanal nr,kanal-nr.,kanalnr,nr,nr.,no,no.,#,voie,dmx canal,canal dmx,channel #,kanal nr.",
		fromRole:  "from,von,wert von,min,min.,de,desde,start,low,value from,lo,dmx from,dmx min,minimum,wert ab,ab",
		toRole:    "to,bis,wert bis,max,max.,à,a,hasta,end,high,value to,hi,dmx to,dmx max,maximum",
		valueRole: "value,values,wert,werte,range,ranges,dmx,dmx value,dmx values,dmx-wert,dmx-werte,valeur,valeurs,valeur dmx,valor,valores,valor dmx,data,wertebereich,bereich,dmx range,value range,data range,level,setting,dec,decimal,dezimal,numeric,dmx data,plage,rango,percent/setting,values (dec),value (dec)",
		textRole:  "function,functions,name,text,meaning,what,what it does,bedeutung,funktion,fonction,función,funcion,description,beschreibung,descripción,descripcion,does,content,contents,type,feature,property,attribute,instruction,control,colour,color,farbe,eigenschaft,wirkung,effect,rôle,role,désignation,designation,parameter,details,detail,usage",
		partRole:  "mode,modus,modo,personality,betriebsart,modes",
		noteRole:  "bit,bits,resolution,auflösung,default,page,remark,remarks,bemerkung,bemerkungen,note,notes,comment,comments,kommentar,anmerkung,hinweis,remarque,nota,observaciones",
	} {
		for label := range strings.SplitSeq(list, ",") {
			labels[label] = r
		}
	}
}

var modeLabel = regexp.MustCompile(`(?i)^(?:(?:mode|modus|modo|pers(?:onality)?\.?|betriebsart) ?.{1,12}|\d{1,3} ?-? ?(?:ch|channels?|kanal|kanäle|slots?|canaux|canales|can)\.?(?: mode| modus)?|\d{1,2}[ -]?bit(?: mode| modus)?)$`)

var rangeLabel = regexp.MustCompile(`^\d{1,3} ?(?:-|to|bis|\.\.) ?\d{1,3}$`)

func roleOf(cell string) role {
	c := strings.ToLower(strings.Trim(strings.TrimSpace(cell), `":*`))
	if r := labels[c]; r != noRole {
		return r
	}
	if modeLabel.MatchString(c) {
		return modeRole
	}
	if rangeLabel.MatchString(c) {
		return rangeRole
	}
	return noRole
}

// row is a line with its cells.
type row struct {
	line
	cells []string
}

// layout brings tables of every build into one: a line for each row, the slot first, then the
// values, then the words.
func layout(lines []line) []line {
	lines = downwards(lines)
	var out []line
	for i := 0; i < len(lines); {
		rows := block(lines[i:])
		if len(rows) < 2 {
			out = append(out, lines[i])
			i++
			continue
		}
		out = append(out, table(rows)...)
		i += len(rows)
	}
	return out
}

// block is the rows of a table at the beginning of lines: as many lines as have cells.
func block(lines []line) []row {
	for _, split := range []func(string) []string{tabbed, piped, spread(";"), spread(",")} {
		var rows []row
		for _, l := range lines {
			cells := split(l.text)
			if len(cells) < 2 {
				break
			}
			rows = append(rows, row{l, cells})
		}
		if len(rows) >= 2 && isTable(rows) {
			return rows
		}
	}
	return aligned(lines)
}

// isTable tells whether rows have the head of a table, or slot numbers in their first cells.
func isTable(rows []row) bool {
	heads := 0
	for i := range min(3, len(rows)) {
		heads = max(heads, known(rows[i].cells))
	}
	if heads >= 2 || sideways(rows) {
		return true
	}
	numbers := 0
	for _, r := range rows {
		if _, err := strconv.Atoi(strings.TrimSpace(r.cells[0])); err == nil {
			numbers++
		}
	}
	return numbers >= 2 && numbers*2 >= len(rows)
}

// known counts the cells that are a column's label.
func known(cells []string) (n int) {
	for _, c := range cells {
		if r := roleOf(c); r != noRole && r != rangeRole {
			n++
		}
	}
	if n > 0 && countRole(cells, rangeRole) > 1 && slices.ContainsFunc(cells, func(c string) bool { return roleOf(c) == slotRole }) {
		n += 2
	}
	return n
}

func tabbed(s string) []string {
	if !strings.Contains(s, "\t") {
		return nil
	}
	return trimmed(strings.Split(s, "\t"))
}

func piped(s string) []string {
	if !strings.Contains(s, "|") {
		return nil
	}
	t := strings.TrimSpace(s)
	if strings.HasPrefix(t, "|") && strings.HasSuffix(t, "|") && len(t) > 1 {
		t = t[1 : len(t)-1]
	}
	return trimmed(strings.Split(strings.NewReplacer("<br>", " ; ", "<br/>", " ; ", "<br />", " ; ").Replace(t), "|"))
}

func trimmed(cells []string) []string {
	for i := range cells {
		cells[i] = strings.Trim(strings.TrimSpace(cells[i]), `"`)
	}
	return cells
}

// spread splits at a sign, but not inside quotes.
func spread(sign string) func(string) []string {
	return func(s string) []string {
		if !strings.Contains(s, sign) {
			return nil
		}
		var cells []string
		var cell strings.Builder
		within := false
		for _, r := range s {
			switch {
			case r == '"':
				within = !within
			case string(r) == sign && !within:
				cells = append(cells, cell.String())
				cell.Reset()
			default:
				cell.WriteRune(r)
			}
		}
		return trimmed(append(cells, cell.String()))
	}
}

var wideGap = regexp.MustCompile(` {2,}`)

// aligned finds a table whose columns are made by blanks, where that matters: its head has
// several modes or several slot columns. Cells belong to the column that they overlap.
func aligned(lines []line) []row {
	if len(lines) < 2 || strings.Contains(lines[0].text, "\t") {
		return nil
	}
	head := columns(lines[0].text)
	modes, slots := 0, 0
	for _, c := range head {
		switch roleOf(c.text) {
		case modeRole:
			modes++
		case slotRole:
			slots++
		}
	}
	next := 0
	if modes >= 2 && slots == 0 && len(lines) > 1 {
		for _, c := range columns(lines[1].text) {
			if roleOf(c.text) == slotRole {
				next++
			}
		}
	}
	if modes < 2 && slots < 2 {
		return nil
	}
	if next >= 2 {
		head = columns(lines[1].text)
	}
	var rows []row
	end := head[len(head)-1].to
	for _, l := range lines {
		if strings.TrimSpace(l.text) == "" {
			break
		}
		cells := make([]string, len(head)+1)
		for _, c := range columns(l.text) {
			k := nearest(head, c)
			if c.from > end {
				k = len(head) // behind the last column: words without a label
			}
			cells[k] = strings.TrimSpace(cells[k] + " " + c.text)
		}
		rows = append(rows, row{l, cells})
	}
	return rows
}

// numbered tells whether each column of a line begins with slot 1.
func numbered(s string, columnsOf int) bool {
	list := columns(s)
	for _, c := range list {
		if t := scan(c.text); len(t) == 0 || t[0].kind != isNumber || t[0].from != 1 {
			return false
		}
	}
	return len(list) == columnsOf
}

// placed is a cell with where it stands in its line.
type placed struct {
	text     string
	from, to int
}

func columns(s string) (out []placed) {
	at := 0
	for _, gap := range append(wideGap.FindAllStringIndex(s, -1), []int{len(s), len(s)}) {
		if text := s[at:gap[0]]; strings.TrimSpace(text) != "" {
			out = append(out, placed{strings.TrimSpace(text), at, gap[0]})
		}
		at = gap[1]
	}
	return out
}

// nearest is the column whose head begins nearest to a cell's beginning or middle.
func nearest(head []placed, c placed) int {
	best, off := 0, 1<<30
	for i, h := range head {
		d := min(abs(h.from-c.from), abs((h.from+h.to)/2-(c.from+c.to)/2))
		if d < off {
			best, off = i, d
		}
	}
	return best
}

func abs(n int) int { return max(n, -n) }

// sideways tells whether slots run along the top.
func sideways(rows []row) bool {
	for _, r := range rows[:min(2, len(rows))] {
		n := 0
		for i, c := range r.cells[1:] {
			if slotCell(c) != i+1 {
				break
			}
			n++
		}
		if n >= 2 && n >= len(r.cells)-2 && slotCell(r.cells[0]) == 0 {
			return true
		}
	}
	return false
}

var slotNumber = regexp.MustCompile(`(?i)^(?:ch|chan|channel|kanal|slot|dmx|canal)?[ .:]*(\d{1,3})[.)]?$`)

// slotCell reads a cell that holds a slot number and nothing else.
func slotCell(c string) int {
	if m := slotNumber.FindStringSubmatch(strings.TrimSpace(c)); m != nil {
		n, _ := strconv.Atoi(m[1])
		return n
	}
	return 0
}

// turned makes rows of columns.
func turned(rows []row) []row {
	most := 0
	for _, r := range rows {
		most = max(most, len(r.cells))
	}
	out := make([]row, most)
	for i := range out {
		out[i].line = rows[0].line
		for _, r := range rows {
			c := ""
			if i < len(r.cells) {
				c = r.cells[i]
			}
			out[i].cells = append(out[i].cells, c)
		}
	}
	return out
}

// table writes the rows of a table as lines.
func table(rows []row) []line {
	if sideways(rows) {
		rows = turned(rows)
		if roleOf(rows[0].cells[0]) == noRole { // labels at the side may be missing
			rows[0].cells[0] = "slot"
		}
	}
	var out []line
	var roles []role
	var above []string
	var head []string
	part := ""
	for i, r := range rows {
		switch {
		case i+1 < len(rows) && onlyModes(r.cells) && countRole(rows[i+1].cells, slotRole) >= 2:
			above = r.cells
		case i == 0 && len(rows) > 1 && onlyModes(r.cells) && len(nonEmpty(r.cells)) > 1 && numbered(strings.Join(nonEmpty(rows[1].cells), "   "), len(nonEmpty(r.cells))):
			return stacked(rows)
		case known(r.cells) >= 2 && (roles == nil || !hasSlot(r.cells)):
			roles, head = rolesOf(r.cells), r.cells
			if parts := beside(r.cells, roles, above); parts != nil {
				return append(out, parts(rows[i+1:])...)
			}
			if modes := byMode(r.cells, roles, rows[i+1:]); modes != nil {
				return append(out, modes...)
			}
			if j := slices.Index(roles, slotRole); j < 0 && len(roles) > 1 {
				roles = nil
				out = append(out, line{r.number, strings.Join(r.cells, "  ")})
			}
		case roles == nil:
			above = r.cells
			out = append(out, line{r.number, strings.Join(nonEmpty(r.cells), "  ")})
		default:
			if j := slices.Index(roles, partRole); j >= 0 && j < len(r.cells) && r.cells[j] != "" && r.cells[j] != part {
				part = r.cells[j]
				out = append(out, line{r.number, "mode " + part})
			}
			out = append(out, line{r.number, written(r.cells, roles, head)})
		}
	}
	return out
}

func nonEmpty(cells []string) (out []string) {
	for _, c := range cells {
		if c != "" {
			out = append(out, c)
		}
	}
	return out
}

// stacked writes columns that hold a mode each, slots and all, one after another.
func stacked(rows []row) (out []line) {
	for k, name := range rows[0].cells {
		if name == "" {
			continue
		}
		out = append(out, line{rows[0].number, name})
		for _, r := range rows[1:] {
			if k < len(r.cells) && r.cells[k] != "" {
				out = append(out, line{r.number, r.cells[k]})
			}
		}
	}
	return out
}

func onlyModes(cells []string) bool {
	n := nonEmpty(cells)
	return len(n) > 0 && countRole(n, modeRole) == len(n)
}

func countRole(cells []string, r role) (n int) {
	for _, c := range cells {
		if roleOf(c) == r {
			n++
		}
	}
	return n
}

func hasSlot(cells []string) bool {
	return slices.ContainsFunc(cells, func(c string) bool { return slotCell(c) > 0 })
}

func rolesOf(cells []string) []role {
	out := make([]role, len(cells))
	for i, c := range cells {
		out[i] = roleOf(c)
	}
	if countRole(cells, rangeRole) < 2 || !slices.Contains(out, slotRole) { // a row of values is no head
		for i := range out {
			if out[i] == rangeRole {
				out[i] = noRole
			}
		}
	}
	// A column without a label in a table that has no words yet holds them.
	if !slices.Contains(out, textRole) {
		for i := range out {
			if out[i] == noRole {
				out[i] = textRole
			}
		}
	}
	return out
}

// written is a row as a line that reads like one that was typed: slot, name, values, words.
func written(cells []string, roles []role, labelsOf []string) string {
	var slot, from, to, value string
	var texts, ranges []string
	for i, c := range cells {
		r := textRole
		if i < len(roles) {
			r = roles[i]
		}
		switch r {
		case slotRole:
			slot = c
		case fromRole:
			from = c
		case toRole:
			to = c
		case valueRole:
			value = c
		case partRole:
		case noteRole:
			if told := scan(c); slices.ContainsFunc(told, func(t token) bool { return t.kind == isRate }) || hasSense(told, "slow") && hasSense(told, "fast") {
				texts = append(texts, c)
			}
		case rangeRole:
			if c != "" {
				ranges = append(ranges, labelsOf[i]+" : "+c)
			}
		default:
			if c != "" {
				texts = append(texts, c)
			}
		}
	}
	if len(ranges) > 0 && len(ranges) < 2 { // words over the first range alone are the name
		_, name, _ := strings.Cut(ranges[0], " : ")
		texts, ranges = append(texts, name), nil
	}
	texts = append(texts, strings.Join(ranges, ", "))
	texts = nonEmpty(texts)
	if from != "" && to != "" {
		value = from + "-" + to
	} else if from != "" {
		value = from
	}
	var b strings.Builder
	if n := slotCell(slot); n > 0 {
		fmt.Fprintf(&b, "CH%d  ", n)
	} else if slot != "" {
		b.WriteString("CH" + strings.TrimPrefix(slot, "CH") + "  ")
	}
	if ranged(texts) && (value == "" || whole(value)) {
		value = "" // the words have their own
	}
	switch {
	case value == "":
		b.WriteString(strings.Join(texts, "  "))
	case len(texts) > 1 && slot != "" || len(texts) > 1 && !whole(value):
		b.WriteString(texts[0] + "  " + value + " : " + strings.Join(texts[1:], " "))
	default:
		b.WriteString(value + " : " + strings.Join(texts, " "))
	}
	return b.String()
}

// ranged tells whether words hold ranges of values.
func ranged(texts []string) bool {
	for _, s := range texts {
		for _, t := range scan(s) {
			if t.kind == isRange {
				return true
			}
		}
	}
	return false
}

var wholeRange = regexp.MustCompile(`^0*(?:0 ?(?:-|to|bis|\.\.) ?)255$`)

func whole(value string) bool { return wholeRange.MatchString(strings.TrimSpace(value)) }

// beside splits a table in which several stand beside each other.
func beside(cells []string, roles []role, above []string) func([]row) []line {
	var starts []int
	for i, r := range roles {
		if r == slotRole {
			starts = append(starts, i)
		}
	}
	if len(starts) < 2 {
		return nil
	}
	names := nonEmpty(above)
	if len(names) == len(starts) { // each over its own, wherever a copy put them
		above = make([]string, len(cells))
		for k, from := range starts {
			above[from] = names[k]
		}
	}
	return func(rows []row) (out []line) {
		for k, from := range starts {
			to := len(cells)
			if k+1 < len(starts) {
				to = starts[k+1]
			}
			for i := from; i < min(to, len(above)); i++ {
				if above[i] != "" {
					out = append(out, line{rows0(rows), above[i]})
				}
			}
			if k > 0 && len(nonEmpty(above[min(from, len(above)):min(to, len(above))])) == 0 {
				out = append(out, line{rows0(rows), fmt.Sprintf("mode %d", k+1)})
			}
			for _, r := range rows {
				part := make([]string, to-from)
				for i := range part {
					if from+i < len(r.cells) {
						part[i] = r.cells[from+i]
					}
				}
				if len(nonEmpty(part)) > 0 {
					out = append(out, line{r.number, written(part, roles[from:to], nil)})
				}
			}
		}
		return out
	}
}

func rows0(rows []row) int {
	if len(rows) == 0 {
		return 1
	}
	return rows[0].number
}

// byMode writes a table with a column of slot numbers for each mode as one after another.
func byMode(cells []string, roles []role, rows []row) (out []line) {
	var modes []int
	for i, r := range roles {
		if r == modeRole || r == slotRole {
			modes = append(modes, i)
		}
	}
	if len(modes) < 2 {
		return nil
	}
	if own := slices.Index(roles, slotRole); own >= 0 && countRole(cells, slotRole) == 1 && len(modes) > 2 && !wordy(rows, roles) {
		modes = slices.DeleteFunc(modes, func(i int) bool { return i == own }) // it counts rows
		roles = slices.Clone(roles)
		roles[own] = partRole
	}
	if slices.Index(roles, slotRole) >= 0 && countRole(cells, slotRole) == 1 && wordy(rows, roles) {
		return byColumn(cells, roles, rows)
	}
	rest := slices.Clone(roles)
	for _, m := range modes {
		rest[m] = slotRole
	}
	for _, m := range modes {
		name := cells[m]
		if strings.Contains(strings.ToLower(name), "bit") {
			name = "mode " + name
		}
		out = append(out, line{rows0(rows), name})
		used := ""
		for _, r := range rows {
			part := slices.Clone(r.cells)
			own, any := "", false
			for _, k := range modes {
				if k < len(part) {
					any = any || part[k] != ""
					if k == m {
						own = part[k]
					}
					part[k] = ""
				}
			}
			if any {
				used = own
			}
			if slotCell(used) == 0 { // not in this mode
				continue
			}
			if any {
				part[m] = own
			}
			one := slices.Clone(rest)
			for _, k := range modes {
				if k != m {
					one[k] = noRole
				}
			}
			out = append(out, line{r.number, written(part, one, nil)})
		}
	}
	return out
}

// wordy tells whether the columns of modes hold what slots do, and not their numbers.
func wordy(rows []row, roles []role) bool {
	words, numbers := 0, 0
	for _, r := range rows {
		for i, c := range r.cells[:min(len(r.cells), len(roles))] {
			switch {
			case roles[i] != modeRole || c == "" || c == "-":
			case slotCell(c) > 0:
				numbers++
			default:
				words++
			}
		}
	}
	return words > numbers
}

// byColumn writes a table with a slot column, and one for each mode with what slots do in
// it.
func byColumn(cells []string, roles []role, rows []row) (out []line) {
	slot := slices.Index(roles, slotRole)
	for m, r := range roles {
		if r != modeRole {
			continue
		}
		out = append(out, line{rows0(rows), cells[m]})
		for _, r := range rows {
			if m >= len(r.cells) || slot >= len(r.cells) || strings.Trim(r.cells[m], "-/ .x") == "" {
				continue
			}
			out = append(out, line{r.number, written([]string{r.cells[slot], r.cells[m]}, []role{slotRole, textRole}, nil)})
		}
	}
	return out
}

// downwards finds columns that a copy wrote one below the other, each under its label, and
// writes them as rows.
func downwards(lines []line) []line {
	type column struct {
		role       role
		start, end int
	}
	var found []column
	for i, l := range lines {
		r := labels[strings.ToLower(strings.Trim(strings.TrimSpace(l.text), `:`))]
		if r == noRole {
			continue
		}
		if n := len(found); n > 0 && found[n-1].end == 0 {
			found[n-1].end = i
		}
		found = append(found, column{r, i + 1, 0})
	}
	if len(found) < 2 || found[0].role != slotRole {
		return lines
	}
	n := found[0].end - found[0].start
	last := &found[len(found)-1]
	last.end = min(last.start+n, len(lines))
	for _, c := range found {
		if c.end-c.start != n || n < 2 {
			return lines
		}
	}
	var roles []role
	for _, c := range found {
		roles = append(roles, c.role)
	}
	out := slices.Clone(lines[:found[0].start-1])
	for k := range n {
		var cells []string
		for _, c := range found {
			cells = append(cells, strings.TrimSpace(lines[c.start+k].text))
		}
		out = append(out, line{lines[found[0].start+k].number, written(cells, roles, nil)})
	}
	return append(out, lines[last.end:]...)
}
