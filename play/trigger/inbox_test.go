package trigger

import (
	"testing"
	"time"
)

// Edges come out by their times, those of one time as they came in. A full box drops
// all but its last, which says how the contact stands, and keeps no other trigger
// waiting.
func TestInbox(t *testing.T) {
	at := func(ms int) time.Time { return time.Unix(0, 0).Add(time.Duration(ms) * time.Millisecond) }
	b := newInbox(3)
	b.put(2, Edge{at(5), Closes})
	b.put(0, Edge{at(5), Opens})
	b.put(1, Edge{at(4), Presses})
	got := b.take()
	if len(got) != 3 || got[0].of != 1 || got[1].of != 2 || got[2].of != 0 {
		t.Errorf("took %+v", got)
	}
	for i := range 1000 {
		b.put(0, Edge{at(i), []Change{Closes, Opens}[i%2]})
	}
	b.put(1, Edge{at(2000), Presses})
	got = b.take()
	if len(got) != 65 || got[63].Change != Opens || got[boxSize-1].Time != at(999) || got[64].of != 1 {
		t.Errorf("took %d, the last of the flood %+v", len(got), got[len(got)-2])
	}
	if b.lost(0) != 1000-64 || b.lost(1) != 0 {
		t.Errorf("%d and %d were lost", b.lost(0), b.lost(1))
	}
	if got := b.take(); len(got) != 0 {
		t.Errorf("took %+v again", got)
	}
}
