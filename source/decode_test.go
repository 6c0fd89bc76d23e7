package source

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"lampblack/si"
)

type colourWord string

func (colourWord) Choices() []string { return []string{"red", "green"} }

type lamp struct {
	Pos
	Name  Ref           `key:"lamp,required"`
	At    [3]si.Length  `key:"at"`
	Tags  []string      `key:"tags"`
	Up    time.Duration `key:"up"`
	Kind  colourWord    `key:"kind"`
	On    bool          `key:"on"`
	Count int           `key:"count"`
	Share float64       `key:"share"`
	Power *si.Power     `key:"power"`
}

type sample struct {
	Title string      `key:"title,required"`
	Lamps []lamp      `key:"lamps"`
	Parts Named[lamp] `key:"parts"`
}

const good = `# a lamp or two
title: "Füchse: zwei"   # with umlauts
lamps:
  - {lamp: front, at: [1 m, 20 cm, -3 m], tags: [a, b], up: 1:02.350, kind: red, on: yes, count: 3, share: 0.25, power: 12 W}
  - lamp: side
    tags: alone
parts:
  first: {lamp: x}
  second: {lamp: y}
`

func TestDecode(t *testing.T) {
	var s sample
	if f := Decode("show.yaml", []byte(good), &s); len(f) > 0 {
		t.Fatal(f)
	}
	l := s.Lamps[0]
	if l.At != [3]si.Length{1, .2, -3} || l.Up != 62350*time.Millisecond || !l.On || l.Count != 3 || l.Share != .25 || *l.Power != 12 {
		t.Errorf("read %+v", l)
	}
	if got := s.Lamps[1]; got.Tags[0] != "alone" || got.Pos.Line != 5 || got.Pos.Column != 5 {
		t.Errorf("second lamp %+v", got)
	}
	if s.Parts.Index("second") != 1 || s.Parts.Get("first").Name.Name != "x" || s.Parts.Get("third") != nil {
		t.Errorf("parts %+v", s.Parts)
	}
}

// Every fault in one text is found in one pass, at its place.
func TestFaults(t *testing.T) {
	text := `title: x
lamps:
  - {lamp: a, att: [1 m, 2 m, 3 m]}
  - {lamp: b, at: [1 m, 2 m]}
  - {lamp: c, up: 6, kind: gren, on: maybe, count: 1.5, share: .nan, power: 12 m}
  - {at: [1, 2 kg, 3 m], lamp: [d]}
  - just text
  - {lamp: e, lamp: f}
ttle: y
`
	want := []string{
		`show.yaml:3:15: unknown key "att" (did you mean "at"?)`,
		`show.yaml:4:19: this should be a list of 3 values`,
		`show.yaml:5:19: time "6": has no unit: write 6 s, or minutes:seconds`,
		`show.yaml:5:28: "gren" is none of the words that may stand here (did you mean "green"?)`,
		`show.yaml:5:38: "maybe" is neither yes nor no (write yes or no)`,
		`show.yaml:5:52: "1.5" should be a whole number`,
		`show.yaml:5:64: ".nan" should be a number`,
		`show.yaml:5:77: "m" is no unit of power: use W, mW or kW`,
		`show.yaml:6:11: length "1" has no unit: write 1 m`,
		`show.yaml:6:14: "kg" is no unit of length: use m, cm, mm, km, ft or in`,
		`show.yaml:6:32: this should be a single value, not a list`,
		`show.yaml:7:5: this should be a mapping, not "just text" (it takes lamp, at, tags, up, kind, on, count, share, power)`,
		`show.yaml:8:15: "lamp" stands here twice (the first is on line 8)`,
		`show.yaml:9:1: unknown key "ttle" (did you mean "title"?)`,
	}
	var s sample
	got := strings.Split(Decode("show.yaml", []byte(text), &s).Error(), "\n")
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) || got[i] != want[i] {
			t.Errorf("fault %d\n got %q\nwant %q", i, at(got, i), at(want, i))
		}
	}
}

func at(list []string, i int) string {
	if i < len(list) {
		return list[i]
	}
	return "none"
}

// Files that are no plain text of a show end in one clear fault, at once.
func TestHostile(t *testing.T) {
	bomb := "a: &a [x, x, x, x, x, x, x, x, x]\nb: &b [*a, *a, *a, *a, *a, *a, *a, *a]\nc: [*b, *b, *b, *b, *b]\n"
	for name, c := range map[string]struct{ text, want string }{
		"tab":     {"title: x\nlamps:\n\t- {lamp: a}\n", "show.yaml:3:1: the line is indented with a tab"},
		"utf-16":  {"\xff\xfet\x00", "show.yaml:1:1: the file is UTF-16"},
		"binary":  {"title: x\nlamps: \x00\n", "show.yaml:2: the file is not UTF-8 text"},
		"latin-1": {"title: F\xfcchse\n", "show.yaml:1: the file is not UTF-8 text"},
		"alias":   {bomb, "show.yaml:1:4: anchors and aliases are not used"},
		"huge":    {strings.Repeat("#", MaxBytes+1), "show.yaml: the file is larger than 8 MiB"},
		"empty":   {"# nothing\n", "show.yaml:1:1: the file is empty"},
		"deep":    {"title: " + strings.Repeat("[", 100) + strings.Repeat("]", 100), "nested more than 40 deep"},
		"deeper":  {"title: " + strings.Repeat("[", 200000), "not well formed"},
		"broken":  {"title: [x\nlamps: {\n", "show.yaml:2:6: the text is not well formed"},
		"tag":     {"title: !!binary aGk=\n", "the tag !!binary is not used"},
		"two":     {"title: x\n---\ntitle: y\n", "not well formed"},
	} {
		var s sample
		f := Decode("show.yaml", []byte(c.text), &s)
		if f.Err() == nil || !strings.Contains(f.Error(), c.want) {
			t.Errorf("%s: got %v, want %s", name, f, c.want)
		}
	}
}

// A byte order mark and lines that end in CR LF are said, and do no harm.
func TestMild(t *testing.T) {
	var s sample
	f := Decode("show.yaml", []byte("\uFEFFtitle: x\r\nlamps:\r\n  - {lamp: a}\r\n"), &s)
	if f.Err() != nil || len(f) != 2 || s.Title != "x" || s.Lamps[0].Name.Name != "a" {
		t.Errorf("%v, %+v", f, s)
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(good))
	f.Add([]byte("title: &a [*a]\n"))
	f.Add([]byte("lamps: [{at: [1 m,2 m,3 m]}]\r\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		var s sample
		for _, fault := range Decode("f", data, &s) {
			if fault.File != "f" || fault.Text == "" {
				t.Errorf("fault without place or text: %+v", fault)
			}
		}
	})
}

type hung struct {
	Unit    Ref `key:"unit"`
	Address int `key:"address,required" within:"1 to 512"`
	Count   int `key:"count"`
}

// A number that is too long is one fault in its own words, at its place, and
// what is filled in lies inside its bounds.
func TestWholeNumbers(t *testing.T) {
	for text, want := range map[string]string{
		"12345678901234567890": "f:1:11: there is no address 12345678901234567890 (it runs from 1 to 512)",
		"513":                  "f:1:11: there is no address 513 (it runs from 1 to 512)",
		"0":                    "f:1:11: there is no address 0 (it runs from 1 to 512)",
		"-1":                   "f:1:11: there is no address -1 (it runs from 1 to 512)",
		"twelve":               `f:1:11: "twelve" should be a whole number`,
		"1.5":                  `f:1:11: "1.5" should be a whole number`,
		"[1]":                  "f:1:11: this should be a single value, not a list",
		"512":                  "",
	} {
		var h hung
		if got := Decode("f", []byte("{address: "+text+"}"), &h).Error(); got != want {
			t.Errorf("%s: got %q, want %q", text, got, want)
		}
		if h.Address < 1 || h.Address > 512 {
			t.Errorf("%s: %d was filled in", text, h.Address)
		}
	}
	var h hung
	want := `f:1:9: "123456789012345678901" is larger than anything that can be counted here` + "\n" + `f:1:1: "address" is missing here`
	got := Decode("f", []byte("{count: 123456789012345678901}"), &h)
	if len(got) != 2 || !strings.Contains(want, got[0].Error()) || !strings.Contains(want, got[1].Error()) {
		t.Errorf("got %v", got)
	}
	if s := Schema("x", hung{})["properties"].(map[string]any)["address"].(map[string]any); s["minimum"] != 1 || s["maximum"] != 512 {
		t.Errorf("the schema says %v", s)
	}
}

// A hostile file of eight million bytes makes a bounded list: the first hundred
// of each kind in the order of their places, and a count that is right.
func TestFaultsAreBounded(t *testing.T) {
	var b strings.Builder
	b.WriteString("title: x\nlamps:\n")
	const lines = 60000
	for i := range lines {
		fmt.Fprintf(&b, "  - {lamp: %d, colour: %d, count: x, colur: [], kind: blue}\n", i, i)
	}
	var s sample
	faults := Decode("f", []byte(b.String()), &s)
	if len(faults) > 5*101 {
		t.Fatalf("%d faults", len(faults))
	}
	total := 0
	kinds := map[string]int{}
	for _, f := range faults {
		kinds[f.kind]++
		total += max(f.more, 1)
		if f.more > 0 && !strings.HasPrefix(f.Text, strconv.Itoa(f.more)+" more like those before") {
			t.Errorf("a count says %q", f.Text)
		}
	}
	if want := lines * 4; total != want {
		t.Errorf("they count %d faults, want %d", total, want)
	}
	for kind, n := range kinds {
		if n != 101 {
			t.Errorf("%d of the kind %q are told", n, kind)
		}
	}
	half := slices.Clone(faults[:0])
	for i := range 150 {
		half = append(half, Fault{Pos: Pos{"f", i + 1, 1}, Text: "x", kind: "x"})
	}
	if half.Sort(); len(half) != 101 || half[100].more != 50 || half[100].Line != 101 {
		t.Errorf("150 that were put together are told as %d, the last as %+v", len(half), half[len(half)-1])
	}
	both := append(slices.Clone(faults), faults...)
	for i := range both[len(faults):] {
		both[len(faults)+i].File = "g"
	}
	both.Sort()
	if again := 0; len(both) != len(faults) {
		t.Errorf("two such lists make one of %d", len(both))
	} else {
		for _, f := range both {
			again += max(f.more, 1)
		}
		if again != 2*total {
			t.Errorf("two such lists count %d", again)
		}
	}
	long := Decode("f", []byte("title: x\n"+strings.Repeat("k", 1<<20)+": 1\n"), &s)
	if len(long) != 1 || len(long.Error()) > 3*mostText {
		t.Errorf("a long key makes a text of %d bytes", len(long.Error()))
	}
}

// Names on one line, and nothing in them that a terminal would obey.
func TestControlCharacters(t *testing.T) {
	text := "title: \"a\\e[2J\"\nlamps:\n  - {lamp: \"x\\ny\"}\nparts: {\"p\\e\": {lamp: \"right\\u202eleft\"}}\n"
	var s sample
	faults := Decode("f", []byte(text), &s)
	if len(faults) != 3 || !faults[0].Mild || faults[1].Mild || faults[2].Mild {
		t.Fatalf("got %v", faults)
	}
	for i, want := range []string{`f:1:8: "a\x1b[2J" holds \u001b, a control`, `f:3:12: "x\ny" holds \u000a`, `f:4:9: "p\x1b" holds \u001b`} {
		if !strings.HasPrefix(faults[i].Error(), want) {
			t.Errorf("got %s, want %s", faults[i], want)
		}
	}
}

// A word in place of a mapping is the key's that takes one, as in the mapping itself.
func TestWordInPlaceOfAMapping(t *testing.T) {
	type wave struct {
		Pos
		Way   colourWord `key:"way,required,word"`
		Times int        `key:"times"`
	}
	type file struct {
		A wave  `key:"a"`
		B *wave `key:"b"`
	}
	for text, want := range map[string]string{
		"a: red\nb: {way: red, times: 2}\n": "",
		"a: {way: red}\nb: red\n":           "",
		"a: mauve\n":                        "mauve",
		"a: [red]\n":                        "should be a mapping, not",
		"a: {times: 1}\n":                   `"way" is missing here`,
	} {
		var f file
		faults := Decode("f", []byte(text), &f)
		told := ""
		if err := faults.Err(); err != nil {
			told = err.Error()
		}
		if (want == "") != (told == "") || !strings.Contains(told, want) {
			t.Errorf("%q: %q, want %q", text, told, want)
		}
		if want == "" && (f.A.Way != "red" || f.A.Pos.Line != 1 || f.B == nil || f.B.Way != "red" || f.B.Pos.Line != 2) {
			t.Errorf("%q: %+v %+v", text, f.A, f.B)
		}
	}
	got, _ := json.Marshal(Form(wave{}))
	if want := `{"anyOf":[{"additionalProperties":false,"properties":{"times":{"type":"integer"},"way":{"enum":["red","green"]}},"required":["way"],"type":"object"},{"enum":["red","green"]}]}`; string(got) != want {
		t.Errorf("the form is %s", got)
	}
}
