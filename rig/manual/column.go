package manual

import (
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
	cellRole  // the part of the lamp that a slot is of
)

// labels are the words at the head of columns.
var labels = map[string]role{}

func init() {
	for r, list := range map[role]string{
		slotRole:  "ch,ch.,channel,channels,chan,slot,slots,slot #,slot no,slot number,kanal,kanäle,kan,kan.,canal,canaux,dmx ch,dmx channel,dmx slot,dmx-kanal,dmx kanal,channel no,channel no.,channel number,ch no,ch no.,ch#,ch #,kanal nr,kanal-nr.,kanalnr,nr,nr.,no,no.,#,voie,dmx canal,canal dmx,channel #,kanal nr.",
		fromRole:  "from,von,wert von,min,min.,de,desde,start,low,value from,lo,dmx from,dmx min,minimum,wert ab,ab",
		toRole:    "to,bis,wert bis,max,max.,à,hasta,end,high,value to,hi,dmx to,dmx max,maximum",
		valueRole: "value,values,wert,werte,range,ranges,dmx,dmx value,dmx values,dmx-wert,dmx-werte,valeur,valeurs,valeur dmx,valor,valores,valor dmx,data,wertebereich,bereich,dmx range,value range,data range,level,setting,dec,decimal,dezimal,numeric,dmx data,plage,rango,percent/setting,values (dec),value (dec)",
		textRole:  "function,functions,name,text,meaning,what,what it does,bedeutung,funktion,fonction,función,funcion,description,beschreibung,descripción,descripcion,does,content,contents,type,feature,property,attribute,instruction,control,colour,color,farbe,eigenschaft,wirkung,effect,rôle,role,désignation,designation,parameter,details,detail,usage",
		cellRole:  "section,sections,pixel,pixels,px,segment,segments,zone,zones,cell,cells,head,heads,field,abschnitt,sektion,feld,kopf,segmento,sección,seccion,sezione,settore,sectie,tête,tete,lampe,eye,dot,tile,panel",
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

var shortCount = regexp.MustCompile(`^\d{1,2}k$`)

func roleOf(cell string) role {
	c := label(cell)
	if r := labels[c]; r != noRole {
		return r
	}
	if modeLabel.MatchString(c) || shortCount.MatchString(c) {
		return modeRole
	}
	if rangeLabel.MatchString(c) {
		return rangeRole
	}
	return noRole
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

var slotNumber = regexp.MustCompile(`(?i)^(?:ch|chan|channel|kanal|slot|dmx|canal)?[ .:]*(\d{1,3})[.)]?(?: ?\((?:cont\.?|continued|forts\.?|suite)\))?$`)

// slotCell reads a cell that holds a slot number and nothing else.
func slotCell(c string) int {
	if m := slotNumber.FindStringSubmatch(strings.TrimSpace(c)); m != nil {
		n, _ := strconv.Atoi(m[1])
		return n
	}
	return 0
}

func nonEmpty(cells []string) (out []string) {
	for _, c := range cells {
		if c != "" {
			out = append(out, c)
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
	out = oneOfValues(cells, out)
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

// either are labels of values in some tables, and in others of what the values do.
var either = []string{"setting", "level", "range", "data", "percent/setting"}

// oneOfValues takes a column of values that may be one of words for that, where another holds values.
func oneOfValues(cells []string, roles []role) []role {
	if !slices.ContainsFunc(cells, func(c string) bool { return roleOf(c) == valueRole && !slices.Contains(either, label(c)) }) {
		return roles
	}
	for i, c := range cells {
		if roles[i] == valueRole && slices.Contains(either, label(c)) {
			roles[i] = textRole
		}
	}
	return roles
}

func label(cell string) string {
	return strings.ToLower(strings.Trim(strings.TrimSpace(cell), `":*`))
}
