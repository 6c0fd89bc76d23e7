package source

import (
	"bytes"
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
