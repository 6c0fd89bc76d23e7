package trigger

import (
	"cmp"
	"slices"
	"sync"
)

// boxSize is how many edges of one trigger may wait: more than a person or a
// bouncing contact makes while the machine is busy for a moment.
const boxSize = 64

// arrival is an edge of one of the triggers, by its index; number keeps those of one
// time in the order in which they came.
type arrival struct {
	of     int
	number uint64
	Edge
}

// inbox holds what has come and was not judged yet, at most boxSize edges of each
// trigger, so that one that chatters keeps no other waiting. When a box is full its
// newest edge gives way, so that a contact stands as it came last. Its methods may be
// called from any goroutine and do not wait.
type inbox struct {
	wake chan struct{}

	mu      sync.Mutex // guards what follows
	boxes   [][]arrival
	number  uint64
	dropped []uint64
}

func newInbox(triggers int) *inbox {
	return &inbox{wake: make(chan struct{}, 1), boxes: make([][]arrival, triggers), dropped: make([]uint64, triggers)}
}

func (b *inbox) put(of int, e Edge) {
	b.mu.Lock()
	b.number++
	a := arrival{of, b.number, e}
	if box := b.boxes[of]; len(box) < boxSize {
		b.boxes[of] = append(box, a)
	} else {
		box[len(box)-1] = a
		b.dropped[of]++
	}
	b.mu.Unlock()
	select {
	case b.wake <- struct{}{}:
	default:
	}
}

// take returns all that waits, in the order of its times.
func (b *inbox) take() []arrival {
	b.mu.Lock()
	defer b.mu.Unlock()
	var out []arrival
	for of, box := range b.boxes {
		out = append(out, box...)
		b.boxes[of] = box[:0]
	}
	slices.SortFunc(out, func(x, y arrival) int { return cmp.Or(x.Time.Compare(y.Time), cmp.Compare(x.number, y.number)) })
	return out
}

func (b *inbox) lost(of int) uint64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.dropped[of]
}
