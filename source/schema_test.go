package source

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"lampblack/si"
)

type described struct{}

func (*described) ReadSource(Value)           {}
func (*described) JSONSchema() map[string]any { return map[string]any{"const": "own"} }

type namedKeys struct {
	Object Ref `key:"object"`
	On     Ref `key:"on"`
	Free   Ref `key:"free"`
}

func (*namedKeys) NamesFor(key string) ([]string, bool) {
	switch key {
	case "object":
		return []string{"boat"}, false
	case "on":
		return []string{"wall"}, true
	}
	return nil, false
}

type inner struct {
	Deep int `key:"deep,required"`
}

type everything struct {
	Pos
	inner
	Unread  int
	Word    string        `key:"word"`
	Yes     bool          `key:"yes"`
	Whole   int           `key:"whole"`
	Bounded int           `key:"bounded" within:"1 to 9"`
	Number  float64       `key:"number,required"`
	Kind    colourWord    `key:"kind"`
	Long    si.Length     `key:"long"`
	When    time.Duration `key:"when"`
	Whose   Ref           `key:"whose"`
	Maybe   *float64      `key:"maybe"`
	List    []float64     `key:"list"`
	Three   [3]float64    `key:"three"`
	Names   Named[bool]   `key:"names"`
	Own     described     `key:"own"`
	Any     anything      `key:"any"`
	Known   namedKeys     `key:"known"`
}

// The schema of each sort of value, as JSON Schema 2020-12 writes it: written
// by hand from its text (json-schema.org, sections 6 and 10).
func TestSchema(t *testing.T) {
	s := Schema("a title", everything{})
	properties := s["properties"].(map[string]any)
	for key, want := range map[string]string{
		"deep":    `{"type":"integer"}`,
		"word":    `{"type":["string","number"]}`,
		"yes":     `{"description":"yes or no","type":["boolean","string"]}`,
		"whole":   `{"type":"integer"}`,
		"bounded": `{"maximum":9,"minimum":1,"type":"integer"}`,
		"number":  `{"type":"number"}`,
		"kind":    `{"enum":["red","green"]}`,
		"long":    `{"description":"a number with its unit: m, cm, mm, km, ft or in, or feet and inches as 12 ft 6 in","type":["string","number"]}`,
		"when":    `{"description":"a time: 250 ms, 6 s, 2 min, or minutes:seconds as 1:02.350","type":"string"}`,
		"whose":   `{"type":["string","number"]}`,
		"maybe":   `{"type":"number"}`,
		"list":    `{"anyOf":[{"items":{"type":"number"},"type":"array"},{"type":"number"}]}`,
		"three":   `{"items":{"type":"number"},"maxItems":3,"minItems":3,"type":"array"}`,
		"names":   `{"additionalProperties":{"anyOf":[{"description":"yes or no","type":["boolean","string"]},{"type":"null"}]},"type":"object"}`,
		"own":     `{"const":"own"}`,
		"any":     `{}`,
		"known": `{"additionalProperties":false,"properties":{"free":{"type":["string","number"]},"object":{"enum":["boat"]},` +
			`"on":{"anyOf":[{"enum":["wall"]},{"description":"or a name of this file's own","type":["string","number"]}]}},"type":"object"}`,
	} {
		got, err := json.Marshal(properties[key])
		if err != nil || string(got) != want {
			t.Errorf("%s: %s, %v, want %s", key, got, err, want)
		}
		delete(properties, key)
	}
	if len(properties) > 0 {
		t.Errorf("more keys: %v", properties)
	}
	delete(s, "properties")
	got, _ := json.Marshal(s)
	if want := `{"$schema":"https://json-schema.org/draft/2020-12/schema","additionalProperties":false,"required":["deep","number"],"title":"a title","type":"object"}`; string(got) != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// Every sort of value is read into its field, those of an embedded struct too.
func TestDecodeEverySort(t *testing.T) {
	var e everything
	f := Decode("f", []byte("deep: 7\nword: w\nyes: no\nwhole: -3\nbounded: 9\nnumber: 1e3\nkind: green\nlong: 2 ft\nwhen: 250 ms\nwhose: them\nmaybe: 0\nlist: 4\nthree: [1, 2, 3]\nnames: {a: yes, b: false}\n"), &e)
	if len(f) > 0 {
		t.Fatal(f)
	}
	got := fmt.Sprint(e.Deep, e.Word, e.Yes, e.Whole, e.Bounded, e.Number, e.Kind, e.When, e.Whose, *e.Maybe, e.List, e.Three, *e.Names.Get("a"), *e.Names.Get("b"))
	if want := "7wfalse-391000green250msthem0[4][123]truefalse"; strings.ReplaceAll(got, " ", "") != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if e.Long != .6096 || e.Line != 1 || e.Column != 1 || e.Whose.Pos != (Pos{"f", 10, 8}) {
		t.Errorf("long %v, at %v, %v", float64(e.Long), e.Pos, e.Whose.Pos)
	}
	for text, want := range map[string]string{
		"number:":                                    `f:1:1: "deep" is missing here|f:1:1: "number" has no value`,
		"{deep: 1, number: 1, names: [a]}":           "f:1:29: this should be a mapping of names to values, not a list",
		"{deep: 1, number: 1, names: }":              "",
		"{deep: 1, number: 1, list: {a: 1}}":         "f:1:28: this should be a list, not a mapping",
		"{deep: 1, number: 1, list: }":               "",
		"{deep: 1, number: 1, names: {a: , b: yes}}": "f:1:33: this should be a single value, not nothing",
		"{deep: 1, number: 1, names: {\"\": yes}}":   "f:1:30: a name is empty",
		"{deep: 1, number: .inf}":                    `f:1:19: ".inf" should be a number`,
		"{deep: 1, number: 1e999}":                   `f:1:19: "1e999" should be a number`,
		"{deep: 1, number: 1, yes: YES}":             `f:1:27: "YES" is neither yes nor no (write yes or no)`,
		"{deep: 1, number: 1, three: 5}":             "f:1:29: this should be a list of 3 values",
		"{deep: 1, number: 1, [a]: 5}":               "f:1:22: a key should be a plain name",
		"{deep: 1, number: 1, ? {a: 1} : 5}":         "f:1:24: a key should be a plain name",
		"[deep]":                                     "f:1:1: this should be a mapping, not a list (it takes deep, word, yes, whole, bounded, number, kind, long, when, whose, maybe, list, three, names, own, any, known)",
		"{deep: 1, number: 1, zzzzzzzz: 5}":          `f:1:22: unknown key "zzzzzzzz" (it takes deep, word, yes, whole, bounded, number, kind, long, when, whose, maybe, list, three, names, own, any, known)`,
	} {
		var e everything
		var got []string
		for _, f := range Decode("f", []byte(text+"\n"), &e) {
			got = append(got, f.Error())
		}
		if strings.Join(got, "|") != want {
			t.Errorf("%s: got %s, want %s", text, strings.Join(got, "|"), want)
		}
	}
}

// The bytes of a file: where it stops being text, and what is no text at all.
func TestBytesOfAFile(t *testing.T) {
	nest := func(n int) string { return "title: " + strings.Repeat("[", n) + strings.Repeat("]", n) + "\n" }
	for text, want := range map[string]string{
		"\xff\xfet\x00":                 "f:1:1: the file is UTF-16 (save it as UTF-8)",
		"\xfe\xff\x00t":                 "f:1:1: the file is UTF-16 (save it as UTF-8)",
		"\xfftitle: x\n":                "f:1: the file is not UTF-8 text (save it as UTF-8 text)",
		"title: x\n\n# \xfe\n":          "f:3: the file is not UTF-8 text (save it as UTF-8 text)",
		"title: x\n# ä\n# 日本\n# \x00\n": "f:4: the file is not UTF-8 text (save it as UTF-8 text)",
		"title: x\xe6\x97":              "f:1: the file is not UTF-8 text (save it as UTF-8 text)",
		"title: \uFFFD\n":               "", // a replacement character that was written as such
		"title: x\ny:\r\n":              `f:2: lines end in carriage return and line feed; they are read as they are and kept|f:2:1: unknown key "y" (it takes title, lamps, parts)`,
		"":                              "f:1:1: the file is empty",
		"\n  \n# x\n":                   "f:1:1: the file is empty",
		"~\n":                           "f:1:1: the file is empty",
		"--- \n":                        "f:1:1: the file is empty",
		"title: x\n  \t# indented\n":    "f:2:3: the line is indented with a tab (use spaces)",
		"title: x\n\t\n":                "", // a line of nothing
		"title: x\n\ta\n \tb\n":         "f:2:1: the line is indented with a tab (use spaces)|f:3:2: the line is indented with a tab (use spaces)",
		"title: a\tb\n":                 "",
		nest(39):                        "f:1:8: this should be a single value, not a list",
		nest(40):                        "f:1:8: this should be a single value, not a list",
		nest(41):                        "f:1:48: values are nested more than 40 deep",
		"title: &a x\n":                 "f:1:8: anchors and aliases are not used in a show's files (write the value out)",
		"title: !!str x\n":              "f:1:8: the tag !!str is not used in a show's files (remove it)",
		strings.Repeat("#", MaxBytes):   "f:1:1: the file is empty",
		strings.Repeat("#", MaxBytes+1): "f: the file is larger than 8 MiB (a show is text written by hand; is this the right file?)",
		"\uFEFFtitle: x\n":              "f:1:1: the file begins with a byte order mark, which is not needed",
		"title: x\n\uFEFFy: z\n":        `f:2:1: unknown key`,
	} {
		var s sample
		var got []string
		for _, f := range Decode("f", []byte(text), &s) {
			got = append(got, f.Error())
		}
		if all := strings.Join(got, "|"); all != want && !(want == "f:2:1: unknown key" && len(got) > 0) {
			t.Errorf("%.40q: got %s, want %s", text, all, want)
		}
	}
	if MaxBytes != 8<<20 {
		t.Errorf("a file may have %d bytes", MaxBytes)
	}
}
