package source

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

const editable = `# the head stays
units:   # and this
  - unit: front    # a remark
    address: 1

    # about the next
  - {unit: "side, left", address: 17, at: [1 m, 2 m, 3 m]}
  - unit: back
    address: 33
    note: 'it''s old'

title: x   # last
`

func edited(t *testing.T, change func(*Text) error) string {
	t.Helper()
	text, faults := OpenText("rig.yaml", []byte(editable))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	if err := change(text); err != nil {
		t.Fatal(err)
	}
	out, err := text.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// Every edit changes the bytes that it is about, and no other.
func TestTextChanges(t *testing.T) {
	for name, c := range map[string]struct {
		change   func(*Text) error
		old, new string
	}{
		"plain": {func(x *Text) error {
			pos, _ := x.Find("units", 0, "address")
			return x.Set(pos, "101")
		}, "address: 1\n", "address: 101\n"},
		"quoted in flow": {func(x *Text) error {
			pos, _ := x.Find("units", 1, "unit")
			return x.Set(pos, "right")
		}, `"side, left"`, "right"},
		"single quotes": {func(x *Text) error { return x.SetKey("note", "new", "units", 2) },
			"'it''s old'", "new"},
		"new key, block": {func(x *Text) error { return x.SetKey("mode", "ten", "units", 0) },
			"  - unit: front", "  - mode: ten\n    unit: front"},
		"new key, flow": {func(x *Text) error { return x.SetKey("mode", "ten", "units", 1) },
			"3 m]}", "3 m], mode: ten}"},
		"append": {func(x *Text) error { return x.Append("units", "{unit: new, address: 50}") },
			"    note: 'it''s old'\n", "    note: 'it''s old'\n  - {unit: new, address: 50}\n"},
		"append to none": {func(x *Text) error { return x.Append("signed", "{finding: a}") },
			"title: x   # last\n", "title: x   # last\nsigned:\n  - {finding: a}\n"},
		"remove": {func(x *Text) error { return x.Remove("units", 1) },
			"  - {unit: \"side, left\", address: 17, at: [1 m, 2 m, 3 m]}\n", ""},
		"remove of several lines": {func(x *Text) error { return x.Remove("units", 2) },
			"  - unit: back\n    address: 33\n    note: 'it''s old'\n", ""},
	} {
		if got, want := edited(t, c.change), strings.Replace(editable, c.old, c.new, 1); got != want {
			t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
		}
	}
}

// Lists in both styles lose any of their items, and all of them with their key;
// an item is given back word for word.
func TestTextItems(t *testing.T) {
	const block = "a: 1\nlist:   # of four\n  - {x: 1}   # one\n  -\n    x: 2\n    # within\n    y: [3, 4]\n\n  # about the third\n  - {x: 3}\n  - {x: 4}\nb: 2\n"
	const flow = "a: 1\nlist: [{x: 1}, {x: 2, y: \"a, b\"},\n  {x: 3}, {x: 4}]   # of four\nb: 2\n"
	for _, text := range []string{block, flow} {
		for set := range 16 {
			x, faults := OpenText("f", []byte(text))
			if faults.Err() != nil {
				t.Fatal(faults)
			}
			var gone []int
			var kept []int
			for i := range 4 {
				if set&(1<<i) != 0 {
					gone = append(gone, i)
				} else {
					kept = append(kept, i+1)
				}
			}
			if err := x.Remove("list", gone...); err != nil {
				t.Fatal(err)
			}
			out, err := x.Bytes()
			if err != nil {
				t.Fatalf("without %v: %v", gone, err)
			}
			var got struct {
				A    int `key:"a"`
				B    int `key:"b"`
				List []struct {
					X int        `key:"x"`
					Y []anything `key:"y"`
				} `key:"list"`
			}
			if f := Decode("f", out, &got); f.Err() != nil || got.A != 1 || got.B != 2 || len(got.List) != len(kept) {
				t.Fatalf("without %v: %v\n%s", gone, f, out)
			}
			for i, k := range kept {
				if got.List[i].X != k {
					t.Errorf("without %v: item %d is %d\n%s", gone, i, got.List[i].X, out)
				}
			}
			if has := bytes.Contains(out, []byte("list:")); has != (len(kept) > 0) {
				t.Errorf("without %v the key stands there: %v", gone, has)
			}
		}
	}
	for text, want := range map[string]string{
		block: "  -\n    x: 20\n    # within\n    y: [3, 4]\n",
		flow:  "  - {x: 20, y: \"a, b\"}\n",
		"list:\n- {x: 1}\n-   x: 2 # two\n    # its own\n\n    y: z\n": "  -   x: 20 # two\n      # its own\n\n      y: z\n",
	} {
		x, _ := OpenText("f", []byte(text))
		if got, err := x.Item("list", 1, map[string]string{"x": "20"}); err != nil || got != want {
			t.Errorf("got %q, %v, want %q", got, err, want)
		}
		first, _ := x.Item("list", 0, nil)
		second, _ := x.Item("list", 1, nil)
		if err := x.Replace("list", []string{second, first}); err != nil {
			t.Fatal(err)
		}
		out, err := x.Bytes()
		if err != nil {
			t.Errorf("turned round: %v", err)
		}
		y, _ := OpenText("f", out)
		if again, err := y.Item("list", 0, nil); err != nil || again != second {
			t.Errorf("turned round it begins with %q, %v", again, err)
		}
	}
}

// anything takes whatever stands there.
type anything struct{}

func (*anything) ReadSource(Value) {}

func TestTextKeepsLineEnds(t *testing.T) {
	crlf := "\uFEFF" + strings.ReplaceAll(editable, "\n", "\r\n")
	text, _ := OpenText("rig.yaml", []byte(crlf))
	if err := text.Append("units", "{unit: new}"); err != nil {
		t.Fatal(err)
	}
	out, err := text.Bytes()
	if err != nil || bytes.Contains(bytes.ReplaceAll(out, []byte("\r\n"), nil), []byte("\n")) || !bytes.HasPrefix(out, []byte("\uFEFF#")) {
		t.Errorf("%v, %q", err, out)
	}
}

func TestTextRefuses(t *testing.T) {
	text, _ := OpenText("rig.yaml", []byte(editable))
	pos, _ := text.Find("units", 0, "address")
	if err := text.Set(pos, "[1, 2"); err != nil {
		t.Fatal(err)
	}
	if out, err := text.Bytes(); err == nil {
		t.Errorf("an edit that breaks the file was let through: %s", out)
	}
}

// Whatever text is quoted reads back as it was.
func TestQuote(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.TrimSpace(rapid.String().Draw(t, "text"))
		if text == "" || strings.ContainsAny(text, "\x00\uFEFF") || strings.ToValidUTF8(text, "") != text {
			return
		}
		var got struct {
			Title string `key:"title"`
		}
		faults := Decode("f", []byte("title: "+Quote(text)+"\n"), &got)
		if faults.Err() != nil || got.Title != strings.TrimSpace(text) {
			t.Fatalf("%q became %q: %v", text, got.Title, faults)
		}
	})
}

func FuzzText(f *testing.F) {
	f.Add([]byte(editable), "new")
	f.Add([]byte("a: {b: 1}\n"), "x: y")
	f.Fuzz(func(t *testing.T, data []byte, value string) {
		text, _ := OpenText("f", data)
		if text == nil || len(text.root.Content) == 0 {
			return
		}
		n := text.root.Content[len(text.root.Content)-1]
		_ = text.Set(Pos{"f", n.Line, n.Column}, Quote(value))
		_ = text.Append("units", Quote(value))
		if out, err := text.Bytes(); err == nil {
			if _, faults := OpenText("f", out); faults.Err() != nil {
				t.Errorf("%q became %q: %v", data, out, faults)
			}
		}
	})
}

// Lists and mappings that are emptied, filled again and emptied keep all that
// stands around them.
func TestTextFills(t *testing.T) {
	for name, c := range map[string]struct{ before, filled, emptied string }{
		"list beside its key": {"a: 1\nlist: []   # none yet\nz: 2\n", "a: 1\nlist:   # none yet\n  - x\n  - {y: 1}\nz: 2\n", "a: 1\nlist:   # none yet\n  []\nz: 2\n"},
		"list at the end":     {"a: 1\nlist: []", "a: 1\nlist:\n  - x\n  - {y: 1}\n", "a: 1\nlist:\n  []\n"},
		"list below its key":  {"list:\n  []\nz: 2\n", "list:\n  - x\n  - {y: 1}\nz: 2\n", "list:\n  []\nz: 2\n"},
		"list with one":       {"list:\n- w # first\nz: 2\n", "list:\n- w # first\n- x\n- {y: 1}\nz: 2\n", "list:\n []\nz: 2\n"},
		"list in flow":        {"list: [w]\n", "list: [w, x, {y: 1}]\n", "list: []\n"},
	} {
		change := func(text string, change func(*Text) error) string {
			x, faults := OpenText("a.yaml", []byte(text))
			if faults.Err() != nil {
				t.Fatalf("%s: %v", name, faults)
			}
			if err := change(x); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			out, err := x.Bytes()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			return string(out)
		}
		fill := func(x *Text) error { return x.Append("list", "x", "{y: 1}") }
		clear := func(x *Text) error { return x.Clear("list") }
		filled := change(c.before, fill)
		emptied := change(filled, clear)
		if filled != c.filled || emptied != c.emptied {
			t.Errorf("%s: filled %q, want %q; emptied %q, want %q", name, filled, c.filled, emptied, c.emptied)
		}
		again := change(emptied, fill)
		if third := change(change(again, clear), fill); third != again {
			t.Errorf("%s: filled again and again: %q, was %q", name, third, again)
		}
	}
}

// Keys go out of a mapping with their lines, in both styles, and leave {} when
// they were all.
func TestTextRemoveKeys(t *testing.T) {
	for _, c := range []struct {
		before string
		keys   []string
		want   string
	}{
		{"m:\n  a: 1\n  b: {x: 2} # of b\n  # about c\n  c:\n    y: 3\n", []string{"b"}, "m:\n  a: 1\n  # about c\n  c:\n    y: 3\n"},
		{"m:\n  a: 1\n  c:\n    y: 3\n\n    z: 4\nn: 1\n", []string{"c", "absent"}, "m:\n  a: 1\nn: 1\n"},
		{"m:\n  a: 1\n  c:\n    y: 3\nn: 1\n", []string{"a"}, "m:\n  c:\n    y: 3\nn: 1\n"},
		{"m:\n  a: 1\n  c: 2\nn: 1\n", []string{"a", "c"}, "m:\n  {}\nn: 1\n"},
		{"m: {a: 1, b: [1, 2], c: 3}\n", []string{"a", "c"}, "m: {b: [1, 2]}\n"},
		{"m: {a: 1, b: [1, 2], c: 3}\n", []string{"a", "b"}, "m: {c: 3}\n"},
		{"m: {a: 1, b: 2}\n", []string{"a", "b"}, "m: {}\n"},
		{"m: {}\n", []string{"a"}, "m: {}\n"},
	} {
		x, faults := OpenText("a.yaml", []byte(c.before))
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		if err := x.RemoveKeys(c.keys, "m"); err != nil {
			t.Fatal(err)
		}
		out, err := x.Bytes()
		if err != nil || string(out) != c.want {
			t.Errorf("%q without %v: %q %v, want %q", c.before, c.keys, out, err, c.want)
		}
	}
	x, _ := OpenText("a.yaml", []byte("m: {}\n"))
	if err := x.SetKey("a", "{b: 1}", "m"); err != nil {
		t.Fatal(err)
	}
	if out, err := x.Bytes(); err != nil || string(out) != "m: {a: {b: 1}}\n" {
		t.Errorf("a key into {}: %q %v", out, err)
	}
	for _, key := range []string{"c", "d"} {
		if err := x.SetKey(key, "2", "m"); err != nil {
			t.Fatal(err)
		}
	}
	if out, err := x.Bytes(); err != nil || string(out) != "m: {a: {b: 1},\n    c: 2,\n    d: 2}\n" {
		t.Errorf("three keys into {}: %q %v", out, err)
	}
}

// BenchmarkTextSet changes every value of a list; the time for one value is the
// same in a long list as in a short one, on lines of their own or on one line.
func BenchmarkTextSet(b *testing.B) {
	for _, n := range []int{500, 8000} {
		for style, text := range map[string]string{
			"lines":    "list:\n" + strings.Repeat("  - {x: 1}\n", n),
			"one line": "list: [" + strings.Repeat("{x: 1}, ", n) + "]\n",
		} {
			b.Run(fmt.Sprintf("%s/%d", style, n), func(b *testing.B) {
				for range b.N {
					x, _ := OpenText("f", []byte(text))
					for i := range n {
						pos, _ := x.Find("list", i, "x")
						if err := x.Set(pos, "2"); err != nil {
							b.Fatal(err)
						}
					}
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/value")
			})
		}
	}
}

// A key gives its place to another, in both forms, quoted or not.
func TestTextSwapKey(t *testing.T) {
	text, faults := OpenText("a.yaml", []byte("cues:\n  - {cue: 1, on: hit 0:03, look: dark} # one\n  - cue: 2\n    \"on\": 'turn 0:04'   # two\n    look: dark\n"))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	for i := range 2 {
		if err := text.SwapKey("on", "at", "0:05.000", "cues", i); err != nil {
			t.Fatal(err)
		}
	}
	if err := text.SwapKey("in", "at", "0:05.000", "cues", 0); err == nil {
		t.Error("a key that is not there is swapped")
	}
	got, err := text.Bytes()
	want := "cues:\n  - {cue: 1, at: 0:05.000, look: dark} # one\n  - cue: 2\n    at: 0:05.000   # two\n    look: dark\n"
	if err != nil || string(got) != want {
		t.Errorf("%v\n%s", err, got)
	}
}
