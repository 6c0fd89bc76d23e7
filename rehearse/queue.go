package rehearse

import (
	"container/heap"
	"time"
)

// event is something that happens at an instant.
type event struct {
	at    time.Time
	order int // of those of one instant
	do    func()
}

// queue holds what is to happen, in the order of its instants.
type queue struct {
	list  events
	count int
}

type events []event

func (e events) Len() int { return len(e) }
func (e events) Less(i, j int) bool {
	return e[i].at.Before(e[j].at) || e[i].at.Equal(e[j].at) && e[i].order < e[j].order
}
func (e events) Swap(i, j int) { e[i], e[j] = e[j], e[i] }
func (e *events) Push(x any)   { *e = append(*e, x.(event)) }
func (e *events) Pop() any {
	last := (*e)[len(*e)-1]
	*e = (*e)[:len(*e)-1]
	return last
}

func (q *queue) add(at time.Time, do func()) {
	q.count++
	heap.Push(&q.list, event{at, q.count, do})
}

// next is the instant of what happens first.
func (q *queue) next() (time.Time, bool) {
	if len(q.list) == 0 {
		return time.Time{}, false
	}
	return q.list[0].at, true
}

// due takes what happens first, if its instant has come.
func (q *queue) due(now time.Time) (event, bool) {
	if at, ok := q.next(); !ok || now.Before(at) {
		return event{}, false
	}
	return heap.Pop(&q.list).(event), true
}
