package lines

import "testing"

// 92 us break, 12 us mark, 44 us a slot (ANSI E1.11).
func TestRefresh(t *testing.T) {
	for slots, want := range map[int]int{512: 22676, 128: 5780, 24: 1204} {
		if got := Refresh(slots); got != want {
			t.Errorf("%d slots take %d us, want %d us", slots, got, want)
		}
	}
}
