package sacn_test

import (
	"slices"
	"testing"
	"time"

	"lampblack/wire/sacn"
)

// Rules of clauses 6.2.3, 6.2.6, 6.7.1 and 6.7.2, one step after the other.
func TestReceiver(t *testing.T) {
	var r sacn.Receiver
	start := time.Unix(0, 0)
	from := func(id byte, priority, sequence byte, levels ...byte) sacn.Data {
		return sacn.Data{CID: [16]byte{id}, Priority: priority, Sequence: sequence, Universe: 1, Slots: levels}
	}
	check := func(what string, at time.Duration, want ...byte) {
		t.Helper()
		if got := r.Levels(nil, 1, start.Add(at)); !slices.Equal(got, want) {
			t.Errorf("%s: levels %v, want %v", what, got, want)
		}
	}
	take := func(d sacn.Data, at time.Duration, want bool) {
		t.Helper()
		if got := r.Take(d, start.Add(at)); got != want {
			t.Errorf("sequence %d of source %d: taken %v, want %v", d.Sequence, d.CID[0], got, want)
		}
	}
	check("nobody", 0)
	take(from(1, 100, 7, 10, 20), 0, true)
	take(from(1, 100, 7, 99), 0, false) // the same again
	check("one source", 0, 10, 20)
	take(from(2, 100, 1, 15, 5, 30), time.Second, true)
	check("two of one priority: the highest level", time.Second, 15, 20, 30)
	take(from(3, 120, 1, 1), time.Second, true)
	check("a higher priority alone", time.Second, 1)
	check("all are lost 2.5 s later", 3600*time.Millisecond)
	take(from(3, 120, 0, 1), 3600*time.Millisecond, true) // its sequence is forgotten
	take(from(1, 100, 0, 10), 3700*time.Millisecond, true)
	end := from(3, 120, 1, 200)
	end.Terminated = true
	take(end, 3800*time.Millisecond, false)
	check("the higher one has ended", 3800*time.Millisecond, 10)
	other := from(1, 100, 1, 77)
	other.Start = 0xCC
	take(other, 3800*time.Millisecond, false)
	preview := from(1, 100, 2, 88)
	preview.Preview = true
	take(preview, 3800*time.Millisecond, true)
	check("preview is not for live output", 3800*time.Millisecond)
	if s := r.Sources(1, start.Add(3800*time.Millisecond)); len(s) != 1 || s[0].CID[0] != 1 {
		t.Errorf("sources %v", s)
	}
}
