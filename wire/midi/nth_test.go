package midi

import "testing"

// MIDI 1.0 has 16 channels of 128 keys; every note of a port is counted once.
func TestNth(t *testing.T) {
	seen := map[[2]byte]bool{}
	for n := range Notes {
		c, k, ok := Nth(n)
		if !ok || c > 15 || k > 127 || seen[[2]byte{c, k}] {
			t.Fatalf("note %d is key %d of channel %d, %v", n, k, c, ok)
		}
		seen[[2]byte{c, k}] = true
	}
	if c, k, _ := Nth(128); c != 1 || k != 0 {
		t.Errorf("note 128 is key %d of channel %d, want the first of the second", k, c)
	}
	for _, n := range []int{-1, Notes} {
		if _, _, ok := Nth(n); ok {
			t.Errorf("there is a note %d", n)
		}
	}
}
