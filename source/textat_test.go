package source

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Changes by path, in both styles, leave all else as it was.
func TestTextByPath(t *testing.T) {
	const file = "# first\ncues:   # all\n  - {cue: 1, look: a}   # one\n  # about two\n  - cue: 2\n    look: b\n    # within\n\n  # about three\n  - {cue: 3, up: 2 s}\nlooks:\n  a:\n    parts:\n      - {level: 10 %}\nempty: []\nnothing:\nflow: {x: 1, list: [1, 2]}\n"
	text := func(s string) Plain { return TextOf(s) }
	for name, c := range map[string]struct {
		do       func(*Text) error
		old, new string
	}{
		"a value":                   {func(x *Text) error { return x.PutAt(text("0:12.5"), "cues", 0, "look") }, "look: a}", "look: 0:12.5}"},
		"another key in braces":     {func(x *Text) error { return x.PutAt(text("yes"), "cues", 0, "by") }, "look: a}", "look: a, by: yes}"},
		"another key in a block":    {func(x *Text) error { return x.PutAt(text("4 s"), "cues", 1, "up") }, "    look: b\n", "    look: b\n    up: 4 s\n"},
		"another look":              {func(x *Text) error { return x.PutAt(Plain{Kind: PlainPairs}, "looks", "b") }, "10 %}\n", "10 %}\n  b: {}\n"},
		"a list":                    {func(x *Text) error { return x.PutAt(Plain{Kind: PlainList}, "looks", "a", "parts") }, "parts:\n      - {level: 10 %}\n", "parts: []\n"},
		"behind nothing":            {func(x *Text) error { return x.PutAt(text("x"), "nothing") }, "nothing:\n", "nothing: x\n"},
		"an item":                   {func(x *Text) error { return x.PutAt(text("x"), "flow", "list", 1) }, "[1, 2]", "[1, x]"},
		"an item in a block":        {func(x *Text) error { return x.PutAt(text("x"), "cues", 1) }, "  - cue: 2\n    look: b\n", "  - x\n"},
		"an item of a line":         {func(x *Text) error { return x.PutAt(text("x"), "cues", 0) }, "{cue: 1, look: a}", "x"},
		"before the first":          {func(x *Text) error { return x.InsertAt(text("x"), "cues", 0) }, "  - {cue: 1", "  - x\n  - {cue: 1"},
		"between":                   {func(x *Text) error { return x.InsertAt(text("x"), "cues", 1) }, "# one\n", "# one\n  - x\n"},
		"behind a block":            {func(x *Text) error { return x.InsertAt(text("x"), "cues", 2) }, "look: b\n", "look: b\n  - x\n"},
		"behind the last":           {func(x *Text) error { return x.InsertAt(text("x"), "cues", 3) }, "up: 2 s}\n", "up: 2 s}\n  - x\n"},
		"before in brackets":        {func(x *Text) error { return x.InsertAt(text("x"), "flow", "list", 0) }, "[1, 2]", "[x, 1, 2]"},
		"behind in brackets":        {func(x *Text) error { return x.InsertAt(text("x"), "flow", "list", 2) }, "[1, 2]", "[1, 2, x]"},
		"into none":                 {func(x *Text) error { return x.InsertAt(text("x"), "empty", 0) }, "empty: []\n", "empty:\n  - x\n"},
		"into nothing":              {func(x *Text) error { return x.InsertAt(text("x"), "nothing", 0) }, "nothing:\n", "nothing: [x]\n"},
		"into what is not there":    {func(x *Text) error { return x.InsertAt(text("x"), "more", 0) }, "list: [1, 2]}\n", "list: [1, 2]}\nmore:\n  - x\n"},
		"a list deeper down":        {func(x *Text) error { return x.InsertAt(text("x"), "looks", "a", "dark", 0) }, "10 %}\n", "10 %}\n    dark: [x]\n"},
		"an item away":              {func(x *Text) error { return x.CutAt("cues", 1) }, "  - cue: 2\n    look: b\n", ""},
		"the only item away":        {func(x *Text) error { return x.CutAt("looks", "a", "parts", 0) }, "      - {level: 10 %}\n", "      []\n"},
		"a key away":                {func(x *Text) error { return x.CutAt("flow", "x") }, "{x: 1, list", "{list"},
		"an item down":              {func(x *Text) error { return x.MoveAt(0, 1, "cues") }, "  - {cue: 1, look: a}   # one\n  # about two\n  - cue: 2\n    look: b\n", "  # about two\n  - cue: 2\n    look: b\n  - {cue: 1, look: a}   # one\n"},
		"an item up":                {func(x *Text) error { return x.MoveAt(2, 0, "cues") }, "  - {cue: 1, look: a}   # one\n  # about two\n  - cue: 2\n    look: b\n    # within\n\n  # about three\n  - {cue: 3, up: 2 s}\n", "  - {cue: 3, up: 2 s}\n  - {cue: 1, look: a}   # one\n  # about two\n  - cue: 2\n    look: b\n    # within\n\n  # about three\n"},
		"an item in brackets down":  {func(x *Text) error { return x.MoveAt(0, 1, "flow", "list") }, "[1, 2]", "[2, 1]"},
		"an item to where it is":    {func(x *Text) error { return x.MoveAt(1, 1, "cues") }, "# one", "# one"},
		"the last in brackets away": {func(x *Text) error { return x.CutAt("flow", "list", 1) }, "[1, 2]", "[1]"},
	} {
		t.Run(name, func(t *testing.T) {
			x, faults := OpenText("f", []byte(file))
			if faults.Err() != nil {
				t.Fatal(faults)
			}
			if err := c.do(x); err != nil {
				t.Fatal(err)
			}
			out, err := x.Bytes()
			if err != nil {
				t.Fatal(err)
			}
			if want := strings.Replace(file, c.old, c.new, 1); string(out) != want {
				t.Errorf("got\n%s\nwant\n%s", out, want)
			}
		})
	}
	for name, do := range map[string]func(*Text) error{
		"no path":             func(x *Text) error { return x.PutAt(text("x")) },
		"no mapping":          func(x *Text) error { return x.PutAt(text("x"), "nowhere", "else") },
		"past the end":        func(x *Text) error { return x.InsertAt(text("x"), "cues", 4) },
		"a key of a list":     func(x *Text) error { return x.InsertAt(text("x"), "cues", "x") },
		"an item of a text":   func(x *Text) error { return x.CutAt("cues", 0, "look", 0) },
		"what is not there":   func(x *Text) error { return x.CutAt("looks", "z") },
		"into a mapping":      func(x *Text) error { return x.InsertAt(text("x"), "flow", 0) },
		"the file":            func(x *Text) error { return x.CutAt() },
		"an item of no list":  func(x *Text) error { return x.PutAt(text("x"), "flow", 0) },
		"a move past the end": func(x *Text) error { return x.MoveAt(0, 3, "cues") },
		"a move of a key":     func(x *Text) error { return x.MoveAt(0, 1, "flow") },
		"insert into no file": func(x *Text) error { return x.InsertAt(text("x")) },
	} {
		x, _ := OpenText("f", []byte(file))
		if do(x) == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// plains draws values as files hold them.
func plains(depth int) *rapid.Generator[Plain] {
	return rapid.Custom(func(t *rapid.T) Plain {
		word := rapid.SampledFrom([]string{"a", "3 s", "60 %", "0:12.400", "hit 0:31.20", "#1a4fa0", "a, b", "yes", "x: y", "", "é", "[1]", "-3 dB", "null"})
		switch kind := rapid.IntRange(0, 5).Draw(t, "kind"); {
		case depth == 0 || kind < 3:
			return TextOf(word.Draw(t, "text"))
		case kind == 3:
			return Plain{Kind: PlainList, List: rapid.SliceOfN(plains(depth-1), 0, 3).Draw(t, "list")}
		}
		p := Plain{Kind: PlainPairs}
		for _, key := range rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"cue", "at", "a key", "é", "x:y", "12"}), 0, 4, rapid.ID).Draw(t, "keys") {
			p.Pairs = append(p.Pairs, Pair{key, plains(depth-1).Draw(t, "value")})
		}
		return p
	})
}

// What is put anywhere is what is read there then, all else reads as before, and JSON brings the
// same.
func TestPlainReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		file := Plain{Kind: PlainPairs, Pairs: []Pair{{"list", Plain{Kind: PlainList, List: rapid.SliceOfN(plains(2), 0, 4).Draw(t, "items")}}, {"map", Plain{Kind: PlainPairs, Pairs: []Pair{{"k", plains(2).Draw(t, "value")}}}}}}
		var b strings.Builder
		if rapid.Bool().Draw(t, "block") && len(file.Pairs[0].Value.List) > 0 {
			b.WriteString("list:\n")
			for i, item := range file.Pairs[0].Value.List {
				fmt.Fprintf(&b, "  # about %d\n  - %s # behind\n", i, item)
			}
			fmt.Fprintf(&b, "map:\n  # within\n  k: %s\n", file.Pairs[1].Value.Pairs[0].Value)
		} else {
			fmt.Fprintf(&b, "list: %s\nmap: %s\n", file.Pairs[0].Value, file.Pairs[1].Value)
		}
		x, faults := OpenText("f", []byte(b.String()))
		if faults.Err() != nil {
			t.Fatalf("%v\n%s", faults, b.String())
		}
		value := plains(2).Draw(t, "new")
		list := &file.Pairs[0].Value
		n := len(list.List)
		var err error
		switch do := rapid.IntRange(0, 4).Draw(t, "do"); {
		case do == 0:
			i := rapid.IntRange(0, n).Draw(t, "before")
			list.List = slices.Insert(list.List, i, value)
			err = x.InsertAt(value, "list", i)
		case do == 1 && n > 0:
			i := rapid.IntRange(0, n-1).Draw(t, "place")
			list.List = slices.Delete(list.List, i, i+1)
			err = x.CutAt("list", i)
		case do == 2 && n > 0:
			i := rapid.IntRange(0, n-1).Draw(t, "place")
			list.List[i] = value
			err = x.PutAt(value, "list", i)
		case do == 3:
			file.Pairs[1].Value = file.Pairs[1].Value.With("other", value)
			err = x.PutAt(value, "map", "other")
		default:
			file.Pairs[1].Value = file.Pairs[1].Value.With("k", value)
			err = x.PutAt(value, "map", "k")
		}
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		out, err := x.Bytes()
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		again, faults := OpenText("f", out)
		if faults.Err() != nil {
			t.Fatalf("%v\n%s", faults, out)
		}
		got, _ := again.At()
		if !got.Same(file) {
			t.Fatalf("it reads as %v, want %v\n%s\nfrom\n%s", got, file, out, b.String())
		}
		if strings.Count(string(out), "about") < strings.Count(b.String(), "about")-1 {
			t.Fatalf("comments were lost:\n%s\nfrom\n%s", out, b.String())
		}
		data, err := json.Marshal(got)
		var back Plain
		if err == nil {
			err = json.Unmarshal(data, &back)
		}
		if err != nil || !back.Same(got) || back.String() != got.String() {
			t.Fatalf("by way of JSON %v, %v", back, err)
		}
	})
}

// Whatever moves where, in either style and with or without an end of line behind the last, what the
// list holds is what a list of the same items holds after the same move.
func TestMoveIsAMove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "items")
		block := rapid.Bool().Draw(t, "block")
		var want, parts []string
		for i := range n {
			want = append(want, fmt.Sprintf("x%d", i))
			item := want[i]
			if block && rapid.Bool().Draw(t, "deep") {
				item = fmt.Sprintf("{name: x%d, why: \"a, b\"}   # %d", i, i)
			} else if block && rapid.Bool().Draw(t, "on lines") {
				item = fmt.Sprintf("name: x%d\n    why: |\n      - text\n      - more", i)
			}
			parts = append(parts, item)
		}
		file := "list: [" + strings.Join(parts, ", ") + "]\nlast: x\n"
		if block {
			file = "first: x\nlist:\n  - " + strings.Join(parts, "\n\n  # between\n  - ")
			if rapid.Bool().Draw(t, "ended") {
				file += "\n"
			}
		}
		from, to := rapid.IntRange(0, n-1).Draw(t, "from"), rapid.IntRange(0, n-1).Draw(t, "to")
		x, faults := OpenText("f", []byte(file))
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		if err := x.MoveAt(from, to, "list"); err != nil {
			t.Fatal(err)
		}
		out, err := x.Bytes()
		if err != nil {
			t.Fatal(err)
		}
		moved, faults := OpenText("f", out)
		if faults.Err() != nil {
			t.Fatalf("%v\n%s", faults, out)
		}
		name := want[from]
		want = slices.Insert(slices.Delete(want, from, from+1), to, name)
		for i, name := range want {
			is, _ := moved.At("list", i)
			if is.Kind == PlainPairs {
				is = is.Pairs[0].Value
			}
			if is.Text != name {
				t.Fatalf("place %d holds %s, want %s, in\n%s", i, is.Text, name, out)
			}
		}
		if strings.Count(string(out), "\n") < strings.Count(file, "\n") || strings.Count(string(out), "# between") != strings.Count(file, "# between") {
			t.Fatalf("lines are lost: from\n%s\nto\n%s", file, out)
		}
	})
}
