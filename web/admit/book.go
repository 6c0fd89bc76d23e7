package admit

import (
	"slices"
	"sync"
	"time"
)

// Asked is what somebody asked for, and what came of it.
type Asked struct {
	Time  time.Time `json:"time"`
	Who   string    `json:"who"`             // "laptop", "script", "phone 2", or "stranger"
	From  string    `json:"from,omitempty"`  // an address, "" for this computer
	Order string    `json:"order,omitempty"` // "" for a stranger's
	Said  string    `json:"said"`            // [Done], or why not
	Times int       `json:"times"`           // how often within a second: a slider, or a flood
}

// Done is what is said of an order that was taken.
const Done = "done"

// book keeps the newest orders. What is the same within a second is one line of the list; to
// be kept, its first goes out at once, and how often it came again when the second is over.
type book struct {
	mu   sync.Mutex
	list []Asked
	due  int // the first line of the list whose repeats were not kept
}

// mostOrders bounds the list that the page shows.
const mostOrders = 200

// together is how long the same of one device counts into one line.
const together = time.Second

// Note takes an order into the list.
func (g *Gate) Note(o Asked) {
	b := &g.book
	b.mu.Lock()
	defer b.mu.Unlock()
	g.repeats(o.Time)
	for i := b.due; i < len(b.list); i++ {
		last := &b.list[i]
		if last.Who == o.Who && last.From == o.From && last.Order == o.Order && last.Said == o.Said && o.Time.Sub(last.Time) < together {
			last.Times++
			return
		}
	}
	if len(b.list) >= mostOrders {
		b.list = slices.Delete(b.list, 0, mostOrders/4)
		b.due = max(0, b.due-mostOrders/4)
	}
	o.Times = 1
	b.list = append(b.list, o)
	g.write(o)
}

// repeats has the repeats kept of what can come again no more. The caller holds the book.
func (g *Gate) repeats(now time.Time) {
	b := &g.book
	for ; b.due < len(b.list) && now.Sub(b.list[b.due].Time) >= together; b.due++ {
		if again := b.list[b.due]; again.Times > 1 {
			again.Times--
			g.write(again)
		}
	}
}

func (g *Gate) write(o Asked) {
	if g.o.Write != nil {
		g.o.Write(o)
	}
}

// Flush has kept what came last, at the end of a run.
func (g *Gate) Flush() {
	g.book.mu.Lock()
	defer g.book.mu.Unlock()
	g.repeats(time.Now().Add(together))
}

// Orders are the newest, the newest first.
func (g *Gate) Orders() []Asked {
	g.book.mu.Lock()
	defer g.book.mu.Unlock()
	list := slices.Clone(g.book.list)
	slices.Reverse(list)
	return list
}
