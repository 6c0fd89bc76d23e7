package manual_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"lampblack/rig/manual"
)

var update = flag.Bool("update", false, "write the readings of testdata/own.txt anew")

// What is read in tables of many builds stays what it was when somebody looked at it.
func TestOwn(t *testing.T) {
	const file = "testdata/own.txt"
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(string(data), "\n== ")
	for i, p := range parts[1:] {
		text, was, found := strings.Cut(p, "\n-- reads as\n")
		name, text, named := strings.Cut(text, "\n")
		if !found || !named {
			t.Fatalf("table %d has no reading", i+1)
		}
		is := inShort(manual.Read([]byte(text + "\n")))
		if is != strings.TrimRight(was, "\n")+"\n" && !*update {
			t.Errorf("table %s reads as\n%s\nand was\n%s", name, is, was)
		}
		parts[i+1] = name + "\n" + text + "\n-- reads as\n" + is
	}
	if *update {
		if err := os.WriteFile(file, []byte(strings.Join(parts, "\n== ")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// inShort is a reading in few lines.
func inShort(o *manual.Reading) string {
	var b strings.Builder
	for i := range o.Modes {
		m := &o.Modes[i]
		fmt.Fprintf(&b, "%s\n", m.Name)
		for k := range m.Slots {
			s := &m.Slots[k]
			fmt.Fprintf(&b, "  %d", s.Coarse)
			if s.Fine > 0 {
				fmt.Fprintf(&b, "-%d", s.Fine)
			}
			fmt.Fprintf(&b, ":")
			if s.Drives != "" {
				fmt.Fprintf(&b, " %s", s.Drives)
			}
			if s.Drives != "" && s.Cell > 0 {
				fmt.Fprintf(&b, " of cell %d", s.Cell)
			}
			if len(s.Dims) > 0 {
				fmt.Fprintf(&b, " dims %s", strings.Join(s.Dims, " "))
			}
			for _, r := range s.Ranges {
				fmt.Fprintf(&b, " %d-%d %s,", r.From, r.To, r.Meaning())
			}
			b.WriteString("\n")
		}
	}
	for _, q := range o.Questions {
		fmt.Fprintf(&b, "? %s, %d: %s\n", q.Mode, q.Slot, q.Text)
	}
	return b.String()
}
