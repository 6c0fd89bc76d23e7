package source

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// tree is a text of a show's kind that is written here, piece by piece: so it is
// known to the byte what an edit should leave.
type tree struct {
	scalar string // as written; "" for a list or a mapping
	keys   []string
	items  []*tree // as many as keys in a mapping
	flow   bool
}

// scalars are values as people write them, with all that could pass for the end
// of one.
var scalars = []string{"front", "12", "3.5 m", "größe ü", "über", `"side, left"`, `"a \"b\" }]"`, `'it''s [old]'`, `''`, `""`, `"ends in \\"`, "'#5'", `"x: y"`, "a'b", `a"b`, `'"'`, `"'"`, "0:31.2", "'a: {b'", `"日本"`}

func drawTree(t *rapid.T, depth int, flow bool) *tree {
	if depth == 0 || rapid.IntRange(0, 2).Draw(t, "kind") == 0 {
		return &tree{scalar: rapid.SampledFrom(scalars).Draw(t, "scalar")}
	}
	n := &tree{flow: flow || rapid.Bool().Draw(t, "flow")}
	mapping := rapid.Bool().Draw(t, "mapping")
	for i := range rapid.IntRange(1, 4).Draw(t, "items") {
		if mapping {
			n.keys = append(n.keys, []string{"unit", "address", "fed by", "ä"}[i])
		}
		n.items = append(n.items, drawTree(t, depth-1, n.flow))
	}
	return n
}

// inline is the tree on one line.
func (n *tree) inline() string {
	if n.scalar != "" {
		return n.scalar
	}
	var parts []string
	for i, c := range n.items {
		part := c.inline()
		if n.keys != nil {
			part = n.keys[i] + ": " + part
		}
		parts = append(parts, part)
	}
	if n.keys != nil {
		return "{" + strings.Join(parts, ", ") + "}"
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

// block writes the tree behind a key or a dash, with a remark on each line.
func (n *tree) block(b *strings.Builder, indent int) {
	if n.scalar != "" || n.flow {
		fmt.Fprintf(b, " %s   # remark, %d\n", n.inline(), indent)
		return
	}
	b.WriteString("\n")
	for i, c := range n.items {
		b.WriteString(strings.Repeat(" ", indent))
		if n.keys != nil {
			b.WriteString(n.keys[i] + ":")
		} else {
			b.WriteString("-")
		}
		c.block(b, indent+2)
	}
}

// text is a file of which the tree is under the key "it".
func (n *tree) text(lineEnd string) string {
	var b strings.Builder
	b.WriteString("# head\nbefore: x\nit:")
	n.block(&b, 2)
	b.WriteString("\n# foot\nafter: [1, 2]\n")
	return strings.ReplaceAll(b.String(), "\n", lineEnd)
}

// walk calls f with every node and the path to it.
func (n *tree) walk(path []any, f func(n *tree, path []any)) {
	f(n, path)
	for i, c := range n.items {
		step := any(i)
		if n.keys != nil {
			step = n.keys[i]
		}
		c.walk(append(path[:len(path):len(path)], step), f)
	}
}

// Any single value of any text is set, and any mapping in it gets a key, and no
// other byte changes.
func TestEditsToTheByte(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		root := drawTree(t, 4, false)
		end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "end")
		before := root.text(end)
		type place struct {
			n    *tree
			path []any
		}
		var all []place
		root.walk([]any{"it"}, func(n *tree, path []any) {
			if n.scalar != "" || n.keys != nil {
				all = append(all, place{n, path})
			}
		})
		if len(all) == 0 {
			return
		}
		p := rapid.SampledFrom(all).Draw(t, "place")
		value := rapid.SampledFrom(scalars).Draw(t, "value")
		x, faults := OpenText("f", []byte(before))
		if faults.Err() != nil {
			t.Fatalf("%v\n%s", faults, before)
		}
		pos, found := x.Find(p.path...)
		if !found {
			t.Fatalf("%v does not stand in\n%s", p.path, before)
		}
		var err error
		want := ""
		switch {
		case p.n.scalar != "":
			err = x.Set(pos, value)
			p.n.scalar = value
			want = root.text(end)
		case rapid.Bool().Draw(t, "old key"):
			i := rapid.IntRange(0, len(p.n.keys)-1).Draw(t, "key")
			if p.n.items[i].scalar == "" {
				if x.SetKey(p.n.keys[i], value, p.path...) == nil {
					t.Fatalf("%s of %v, a list or mapping, was replaced by a value", p.n.keys[i], p.path)
				}
				return
			}
			err = x.SetKey(p.n.keys[i], value, p.path...)
			p.n.items[i].scalar = value
			want = root.text(end)
		case p.n.flow:
			err = x.SetKey("new", value, p.path...)
			p.n.keys, p.n.items = append(p.n.keys, "new"), append(p.n.items, &tree{scalar: value})
			want = root.text(end)
		default: // a line of its own before the first key
			err = x.SetKey("new", value, p.path...)
			at := x.offset(pos.Line, pos.Column)
			want = before[:at] + "new: " + value + end + strings.Repeat(" ", pos.Column-1) + before[at:]
		}
		if err != nil {
			t.Fatalf("%v: %v\n%s", p.path, err, before)
		}
		out, err := x.Bytes()
		if err != nil || string(out) != want {
			t.Fatalf("%v in\n%s\nto %s: %v\n%s\nwant\n%s", p.path, before, value, err, out, want)
		}
	})
}

// Several edits of one text land where each belongs, in whatever order they were
// asked for; two of one place are refused.
func TestSeveralEdits(t *testing.T) {
	const text = "a: one\nb: {c: two, d: 'three'}\nlist:\n  - four\n"
	orders := [][]int{{0, 1, 2, 3}, {3, 2, 1, 0}, {2, 0, 3, 1}, {1, 3, 0, 2}}
	for _, order := range orders {
		x, _ := OpenText("f", []byte(text))
		for _, i := range order {
			path := [][]any{{"a"}, {"b", "c"}, {"b", "d"}, {"list", 0}}[i]
			pos, found := x.Find(path...)
			if err := x.Set(pos, fmt.Sprintf("long value %d", i)); err != nil || !found {
				t.Fatal(err)
			}
		}
		out, err := x.Bytes()
		if want := "a: long value 0\nb: {c: long value 1, d: long value 2}\nlist:\n  - long value 3\n"; err != nil || string(out) != want {
			t.Errorf("in the order %v: %v\n%s", order, err, out)
		}
	}
	x, _ := OpenText("f", []byte(text))
	pos, _ := x.Find("a")
	if x.Set(pos, "x") != nil || x.Set(pos, "y") != nil {
		t.Fatal("not set")
	}
	if _, err := x.Bytes(); err == nil || !strings.Contains(err.Error(), "two changes meet in one place") {
		t.Errorf("two edits of one place: %v", err)
	}
}

// What cannot be changed in place is refused, with its place.
func TestRefusals(t *testing.T) {
	// A place where both a mapping and its first key begin is no single value.
	k, _ := OpenText("f", []byte("m:\n  k: 1\nl:\n  - k: 1\n"))
	for _, path := range [][]any{{"m"}, {"l", 0}, {"l"}} {
		pos, _ := k.Find(path...)
		if err := k.Set(pos, "z"); err == nil || !strings.Contains(err.Error(), "no single value stands here") {
			t.Errorf("%v is set: %v", path, err)
		}
	}
	const text = "a: |\n  lines\nb: >\n  lines\nc: \"two\n  lines\"\nd: two\n  lines\ne: {f: 1}\ng: [1, 2]\nh: 'two\n  lines'\ni: [\"two\n  lines\", 3]\n"
	x, faults := OpenText("f", []byte(text))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	for path, want := range map[string]string{
		"a": "f:1: a block of text is not changed in place", "b": "f:3: a block of text is not changed in place",
		"c": "f:5: a value over several lines is not changed in place", "d": "f:7: a value over several lines is not changed in place",
		"e": "no single value stands here", "g": "no single value stands here", "h": "f:11: a value over several lines is not changed in place",
	} {
		pos, found := x.Find(path)
		if err := x.Set(pos, "z"); !found || err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", path, err, want)
		}
	}
	for want, err := range map[string]error{
		"f:1:2: no single value stands here":  x.Set(Pos{"f", 1, 2}, "z"),
		"f: there is no mapping at [a]":       x.SetKey("k", "z", "a"),
		"f: there is no mapping at [g]":       x.SetKey("k", "z", "g"),
		"f: there is no mapping at [none]":    x.SetKey("k", "z", "none"),
		"f:1: a is not a list":                x.Append("a", "z"),
		"f: there is no list none":            x.Remove("none", 0),
		"f: there is no list e":               x.Remove("e", 0),
		"f: g has no item 3":                  x.Remove("g", 0, 2),
		"f: g has no item 0":                  x.Remove("g", -1),
		"f: there is no list a with items":    x.Replace("a", []string{"  - z\n"}),
		"f: there is no list g with items":    x.Replace("g", nil),
		"f: there is no list none with items": x.Replace("none", []string{"  - z\n"}),
	} {
		if err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
	pair, _ := OpenText("f", []byte("g: [a: 1]\n"))
	if err := pair.SetKey("b", "2", "g", 0); err == nil || err.Error() != "f:1: one pair in a list takes no other key" {
		t.Errorf("a key beside a pair in a list: %v", err)
	}
	lines, _ := OpenText("f", []byte("g: [two\n  lines]\n"))
	if err := lines.Append("g", "z"); err == nil || !strings.HasPrefix(err.Error(), "f:1: a value over several lines") {
		t.Errorf("append behind a value over several lines: %v", err)
	}
	if x.Remove("g") != nil || x.Append("g") != nil {
		t.Error("nothing to do is an error")
	}
	for _, path := range [][]any{{"g", 2}, {"g", -1}, {"g", "x"}, {"e", 0}, {"a", "x"}, {"none"}, {"e", "none"}} {
		if pos, found := x.Find(path...); found || pos != (Pos{}) {
			t.Errorf("%v stands at %v", path, pos)
		}
	}
	if pos, found := x.Find("g", 1); !found || pos != (Pos{"f", 10, 8}) {
		t.Errorf("the second of g stands at %v", pos)
	}
	for key, i := range map[string]int{"none": 0, "g": 2, "e": 0} {
		if _, err := x.Item(key, i, nil); err == nil {
			t.Errorf("item %d of %s is there", i, key)
		}
	}
	if _, err := x.Item("g", 0, map[string]string{"k": "z"}); err == nil || err.Error() != "f:10: there is no k here" {
		t.Errorf("another value of an item without the key: %v", err)
	}
	flow, _ := OpenText("f", []byte("{a: 1, g: [1]}\n"))
	if err := flow.Append("b", "z"); err == nil || err.Error() != "f: the file is not a block of keys" {
		t.Errorf("append to a file in flow style: %v", err)
	}
	if err := flow.Remove("g", 0); err == nil || !strings.Contains(err.Error(), "does not stand on lines of its own") {
		t.Errorf("remove a key of a file in flow style: %v", err)
	}
	alone, _ := OpenText("f", []byte("g:\n- 1\n"))
	if err := alone.Remove("g", 0); err == nil || !strings.Contains(err.Error(), "all that the file holds") || !alone.Alone("g") || alone.Alone("h") || x.Alone("a") {
		t.Errorf("remove all of a file: %v", err)
	}
	for text, want := range map[string]string{"[1": "not well formed", "": "the file is empty"} {
		if x, faults := OpenText("f", []byte(text)); x != nil || faults.Err() == nil || !strings.Contains(faults.Error(), want) {
			t.Errorf("%q is open for changing: %v", text, faults)
		}
	}
}

// Lists at the end of a file without a line end, after a remark, in both styles
// and in every indentation, get their item on a line of its own.
func TestAppendAtTheEnd(t *testing.T) {
	for text, want := range map[string]string{
		"list:\n  - a":                      "list:\n  - a\n  - new\n",
		"list:\n- a":                        "list:\n- a\n- new\n",
		"list:\n- a\n":                      "list:\n- a\n- new\n",
		"list:\n    - a\nb: 1":              "list:\n    - a\n    - new\nb: 1",
		"list: [a]":                         "list: [a, new]",
		"list: [a, {b: 1}]   # x":           "list: [a, {b: 1}, new]   # x",
		"b: 1":                              "b: 1\nlist:\n  - new\n",
		"b: 1\n":                            "b: 1\nlist:\n  - new\n",
		"b: 1\r\n":                          "b: 1\r\nlist:\r\n  - new\r\n",
		"list:\r\n  - a":                    "list:\r\n  - a\r\n  - new\r\n",
		"list:\n  - a\n  # about nothing\n": "list:\n  - a\n  - new\n  # about nothing\n",
		"list:\n  - a\n\n\nb: 1\n":          "list:\n  - a\n  - new\n\n\nb: 1\n",
		"list:\n  - k: 1\n    l: 2\nb: 1\n": "list:\n  - k: 1\n    l: 2\n  - new\nb: 1\n",
		"list: [\"a]\", '}', 'it''s', \"\\\"\"]\n": "list: [\"a]\", '}', 'it''s', \"\\\"\", new]\n",
		"list: [[1, \"]\"], {k: '}'}]\n":           "list: [[1, \"]\"], {k: '}'}, new]\n",
		"list: [{k: 'it''s }'}]\n":                 "list: [{k: 'it''s }'}, new]\n",
		"list: [{k: \"\\\"}\"}]\n":                 "list: [{k: \"\\\"}\"}, new]\n",
		"list: [don't, {k: it's}] # don't\n":       "list: [don't, {k: it's}, new] # don't\n",
		"list: [a: 1, b: it's]\n":                  "list: [a: 1, b: it's, new]\n",
		"list: [a, # of ]\n  b, # it's\n  ]\n":     "list: [a, # of ]\n  b, new, # it's\n  ]\n",
		"list: [{k: , l}]\n":                       "list: [{k: , l}, new]\n",
		"list: [{k: 1 # }\n  }]\n":                 "list: [{k: 1 # }\n  }, new]\n",
		"list: [\"two\n  lines\"]\n":               "list: [\"two\n  lines\", new]\n",
		"list: ['two\n  lines' ]\n":                "list: ['two\n  lines', new ]\n",
		"list: [{k: '', l: \"\"}]\n":               "list: [{k: '', l: \"\"}, new]\n",
	} {
		x, faults := OpenText("f", []byte(text))
		if faults.Err() != nil {
			t.Fatalf("%q: %v", text, faults)
		}
		err := x.Append("list", "new")
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if out, err := x.Bytes(); err != nil || string(out) != want {
			t.Errorf("%q became %q, %v, want %q", text, out, err, want)
		}
	}
}

// The length of a quoted scalar by hand.
func TestClosing(t *testing.T) {
	for text, want := range map[string]int{`"a" b"`: 3, `""`: 2, `"\""x`: 4, `"\\"x"`: 4, `"a`: 0, `"`: 0, `"\"`: 0, `"a\`: 0} {
		if got := closing([]byte(text), '"', '\\'); got != want {
			t.Errorf("%s: %d, want %d", text, got, want)
		}
	}
	for text, want := range map[string]int{`'a' b'`: 3, `''`: 2, `'it''s' x`: 7, `''''`: 4, `'''`: 0, `'a`: 0, `'a\' b`: 4, `'a''`: 0} {
		if got := closing([]byte(text), '\'', '\''); got != want {
			t.Errorf("%s: %d, want %d", text, got, want)
		}
	}
}

// Texts that must be quoted, and those that need not be (YAML 1.2, sections 6.1
// and 7.3.3).
func TestQuoteByHand(t *testing.T) {
	for text, want := range map[string]string{
		"plain words": "plain words", "": `""`, " x": `" x"`, "x ": `"x "`, "a: b": `"a: b"`, "a#b": `"a#b"`, "-x": `"-x"`, "-1.77 m": "-1.77 m", "x-y": "x-y", "yes": `"yes"`, "No": `"No"`, "NULL": `"NULL"`, "~": `"~"`, "true": `"true"`, "False": `"False"`,
		"{a}": `"{a}"`, "a, b": `"a, b"`, "a'b": `"a'b"`, `a"b`: `"a\"b"`, `a\b`: `"a\\b"`, "a\nb": `"a\nb"`, "a\tb": `"a\U00000009b"`, "größe": "größe", "\x1b": `"\U0000001b"`, "5": "5", "what?": `"what?"`, "50 %": "50 %", "%x": `"%x"`, "5%x": `"5%x"`, "0:31.20": "0:31.20", "hit 1:02:03": "hit 1:02:03", "1: 2": `"1: 2"`, "a:1": `"a:1"`, "1:": `"1:"`, "@x": `"@x"`, "a|b": `"a|b"`,
	} {
		if got := Quote(text); got != want {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
	}
}
