package trigger

import (
	"slices"
	"strings"
	"testing"

	"lampblack/play/line"
)

// Keys as terminals send them, however the bytes are cut, among others that are none.
func TestKeys(t *testing.T) {
	const typed = "1\x1b[15~g\x1bOP\x1b[[E\x1b[1;5A2\x1b\x1b[6~\x1bxz\x1b[200~\tq\x1bO5"
	want := "1 f5 g f1 f5 2 pagedown z tab q"
	for cut := 1; cut < 9; cut++ {
		var k Keys
		var got []string
		for part := range slices.Chunk([]byte(typed), cut) {
			k.Feed(part, func(name string) { got = append(got, name) })
		}
		if strings.Join(got, " ") != want {
			t.Errorf("in parts of %d: %q, want %q", cut, got, want)
		}
	}
}

// Every key that a terminal sends can be named in a line.
func TestKeysHaveLines(t *testing.T) {
	for _, name := range keySequences {
		if _, err := line.ParseTrigger("key " + name); err != nil {
			t.Error(err)
		}
	}
}

func FuzzKeys(f *testing.F) {
	f.Add([]byte("\x1b[15~\x1b[[[[["))
	f.Fuzz(func(t *testing.T, b []byte) {
		var k Keys
		k.Feed(b, func(name string) {
			if name == "" || len(name) > longestKey {
				t.Errorf("key %q", name)
			}
		})
		if len(k.held) > longestKey {
			t.Errorf("%d bytes are held", len(k.held))
		}
	})
}
