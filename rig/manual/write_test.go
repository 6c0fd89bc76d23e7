package manual_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lampblack/rig"
	"lampblack/rig/manual"
	"lampblack/source"
)

// What is written from any of the tables is a fixture type, and its slots are those that were
// read.
func TestWritten(t *testing.T) {
	files, _ := filepath.Glob("testdata/tables/*.txt")
	more, _ := filepath.Glob("testdata/tables/*.csv")
	for _, f := range append(files, more...) {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		o := manual.Read(data)
		text := o.YAML("A lamp")
		kind, faults := rig.ReadType("lamp", "fixtures/lamp.yaml", text)
		if err := faults.Err(); err != nil {
			t.Errorf("%s: %v\n%s", f, err, text)
			continue
		}
		for i := range o.Modes {
			m := kind.Modes.Get(o.Modes[i].Name)
			if m == nil {
				t.Errorf("%s: no mode %q in what was written", f, o.Modes[i].Name)
				continue
			}
			if got, want := len(m.Slots), len(o.Modes[i].Slots); got != want {
				t.Errorf("%s: %d slots written of %d", f, got, want)
			}
		}
	}
}

// No bytes make it panic, or write what is no type.
func FuzzRead(f *testing.F) {
	files, _ := filepath.Glob("testdata/tables/*.txt")
	more, _ := filepath.Glob("testdata/tables/*.csv")
	for _, name := range append(files, more...) {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte("CH512 red\nCH513 blue\n1-512 RGB cell 1"))
	f.Add([]byte("<table><tr><td rowspan=99999>1<td>red</table>"))
	f.Add([]byte("\xff\xfe1\x00 \x00r\x00e\x00d\x00"))
	f.Fuzz(func(t *testing.T, data []byte) {
		o := manual.Read(data)
		_ = o.Words()
		if len(o.Modes) == 0 {
			if len(o.Questions) == 0 {
				t.Fatal("nothing read, and nothing asked")
			}
			return
		}
		text := o.YAML("x")
		if _, faults := rig.ReadType("x", "x.yaml", text); faults.Err() != nil {
			t.Fatalf("%v\n%s", source.Faults(faults), text)
		}
		if _, err := o.MarshalJSON(); err != nil {
			t.Fatal(err)
		}
	})
}

// What a person answers goes in the place of what was not understood.
func TestAnswer(t *testing.T) {
	o := manual.Read([]byte("1 R\n2 G\n3 B\n4 STR\n5 XQZ\n"))
	if len(o.Questions) != 2 {
		t.Fatalf("questions %v", o.Questions)
	}
	if o.Answer(o.Questions[0], "whatever it may be") {
		t.Error("an answer without a meaning was taken")
	}
	if !o.Answer(o.Questions[0], "0-9 off, 10-255 slow to fast") {
		t.Error("ranges of a strobe were not understood")
	}
	if !o.Answer(o.Questions[0], "white") {
		t.Error("white was not understood")
	}
	if len(o.Questions) != 0 {
		t.Errorf("questions %v", o.Questions)
	}
	text := string(o.YAML("x"))
	for _, want := range []string{"4: {0-9: open, 10-255: flash slow to fast}", "5: {drives: white}", "white: {like"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}
