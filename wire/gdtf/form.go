package gdtf

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"
)

// field is one row of a table of the standard: an attribute, or elements within.
type field struct {
	index   int
	names   []string // of the attribute: the one that is written, and others that are read
	within  string   // the element that holds a list, "" for none
	element string   // of a list, or of one element; "*" for parts
	list    bool
	must    bool // written though it is empty
	reads   bool // never written
	kind    bool // the name of the element itself
	form    string
	of      string // kinds of parts that have it; "" for all
}

var tables sync.Map // reflect.Type to []field

// table returns the rows of a struct. A tag is the name of an attribute, or holds a slash:
// "A/B" is a list of B in an A, "/B" a list of B, "A/" one A.
func table(t reflect.Type) []field {
	if known, ok := tables.Load(t); ok {
		return known.([]field)
	}
	var out []field
	for i := range t.NumField() {
		tag, ok := t.Field(i).Tag.Lookup("gdtf")
		if !ok {
			continue
		}
		name, options, _ := strings.Cut(tag, ",")
		f := field{index: i, must: options == "must", reads: options == "read", form: t.Field(i).Tag.Get("form"), of: t.Field(i).Tag.Get("of")}
		before, after, child := strings.Cut(name, "/")
		switch {
		case name == "element":
			f.kind = true
		case !child:
			f.names = strings.Split(name, "|")
		case after == "":
			f.element = before
		default:
			f.within, f.element, f.list = before, after, true
		}
		out = append(out, f)
	}
	tables.Store(t, out)
	return out
}

// holds tells whether elements of a name stand in the list.
func (f *field) holds(name string) bool {
	return f.element == name || f.element == "*" && slices.Contains(kinds, name)
}

// called is the attribute's name, or the element's.
func (f *field) called() string {
	if f.names != nil {
		return f.names[0]
	}
	return f.element
}

// foreign tells whether the row does not belong to a part of a kind.
func (f *field) foreign(kind string) bool {
	return f.of != "" && !slices.Contains(strings.Split(f.of, "|"), kind)
}

// What texts must be like. The schema's pattern of names lets a point through, which separates
// them in links; this is the standard's own list without it.
var forms = map[string]*regexp.Regexp{
	"name":  regexp.MustCompile("^[a-zA-Z0-9#%()*+\\-/:;<=>@_` \"']*$"),
	"nodes": regexp.MustCompile("^[a-zA-Z0-9#%()*+\\-/:;<=>@_` \"']+(\\.[a-zA-Z0-9#%()*+\\-/:;<=>@_` \"']+)*$"),
	"guid":  regexp.MustCompile(`^$|^[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{12}$`),
	"date":  regexp.MustCompile(`^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d$`),
	"hex":   regexp.MustCompile(`^0x[0-9a-fA-F]+$`),
}

// fits returns an error for a text that is not of a form.
func fits(form, text string) error {
	if form == "" {
		return nil
	}
	if re, ok := forms[form]; ok {
		if !re.MatchString(text) {
			return fmt.Errorf("got %.60q, want a %s as the standard has them", text, form)
		}
		return nil
	}
	if !slices.Contains(strings.Split(form, "|"), text) {
		return fmt.Errorf("got %.60q, want one of %s", text, strings.ReplaceAll(form, "|", ", "))
	}
	return nil
}

// Name makes a text one that may name things: points and what is beyond the standard's table
// become blanks, letters with marks their own without.
func Name(text string) string {
	var b strings.Builder
	for _, r := range text {
		switch {
		case r < 128 && forms["name"].MatchString(string(r)):
			b.WriteRune(r)
		case plain[r] != "":
			b.WriteString(plain[r])
		default:
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// plain is how letters of western languages are written without marks.
var plain = map[rune]string{'ä': "ae", 'ö': "oe", 'ü': "ue", 'Ä': "Ae", 'Ö': "Oe", 'Ü': "Ue", 'ß': "ss", 'é': "e", 'è': "e", 'ê': "e", 'á': "a", 'à': "a",
	'â': "a", 'å': "a", 'ó': "o", 'ò': "o", 'ô': "o", 'ø': "o", 'í': "i", 'ì': "i", 'î': "i", 'ú': "u", 'ù': "u", 'û': "u", 'ñ': "n", 'ç': "c", 'É': "E", '°': "deg", '–': "-", '&': "+", ',': ";"}
