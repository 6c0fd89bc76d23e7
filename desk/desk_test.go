package desk

import (
	"context"
	"strings"
	"testing"
)

func TestReadReportsEverything(t *testing.T) {
	_, faults := Read("desk.yaml", []byte(`
name: odd desk
slots: 0
scenes: 10
banks: 3
slotz: 4
recalled by:
  - {note: 120, to: 140}
  - {note: 1, program: 2}
  - {note: 0, to: 20}
  - {to: 3}
fade: {kind: slow}
shortest gap: -5 ms
latency: 20
`))
	all := ""
	for _, f := range faults {
		all += f.Error() + "\n"
		if f.Pos.Line == 0 {
			t.Errorf("no place: %v", f)
		}
	}
	for _, want := range []string{"slots of 0", "do not fill 3", "slotz", "120 to 140", "either a note", "of 10", "none of the words", "shortest gap", "unit"} {
		if !strings.Contains(all, want) {
			t.Errorf("nothing is said of %q in\n%s", want, all)
		}
	}
}

// The bounds of what a desk may be, each at its edge and one beyond it. 63999
// universes are those of ANSI E1.31, 6.2.7.
func TestBoundsOfADesk(t *testing.T) {
	for _, c := range []struct {
		more  string
		fault string
	}{
		{"scenes: 2000", ""},
		{"scenes: 2001", "a number of scenes of 2001 lies outside 1 to 2000"},
		{"scenes: 8\nuniverse: 63999", ""},
		{"scenes: 8\nuniverse: 64000", "a universe of 64000 lies outside 1 to 63999"},
	} {
		_, faults := Read("desk.yaml", []byte("name: a\nslots: 24\nrecalled by: [{note: 5, to: 12}]\n"+c.more+"\n"))
		said := ""
		if err := faults.Err(); err != nil {
			said = err.Error()
		}
		if c.fault == "" && said != "" || !strings.Contains(said, c.fault) {
			t.Errorf("%q: %q, want %q", c.more, said, c.fault)
		}
	}
}

func TestDesksThatCannotBe(t *testing.T) {
	s, err := lantern()
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"nothing recalls": "name: a\nslots: 24\nscenes: 4\nrecalled by: [{note: 5, to: 5, scene: 9}]",
		"one scene":       "name: a\nslots: 24\nscenes: 1\nrecalled by: [{note: 5}]",
	} {
		d, _ := Read("desk.yaml", []byte(text))
		if _, err := Reduce(context.Background(), s, d); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	d, _ := Read("desk.yaml", []byte(small))
	if _, err := Reduce(ctx, s, d); err == nil {
		t.Error("an ended context is no matter")
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(small))
	f.Add([]byte("name: x\nslots: 1\nscenes: 1\nrecalled by: [{program: 127, to: 1, channel: 17}]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, _ := Read("desk.yaml", data)
		for scene, trigger := range d.triggers() {
			if trigger == nil {
				continue
			}
			if trigger.Number < 0 || trigger.Number > 127 || trigger.Channel < 1 || trigger.Channel > 16 {
				t.Errorf("scene %d is recalled by %v", scene+1, trigger)
			}
		}
	})
}
