package draft

import "container/heap"

// bound says S[to] - S[from] <= most.
type bound struct {
	from, to int
	most     int64
}

// differences maximises the sum of gain[i]·S[i] over whole numbers S with
// S[0] = 0 under the bounds. The gains must sum to zero over all nodes (gain[0]
// is set so), and every node must be reachable from every other along bounds
// whose most is not negative.
//
// Its linear dual is a flow of least cost: every bound is an arc of cost most
// without capacity, a node of positive gain takes so much in, one of negative
// gain gives. Successive shortest paths (Edmonds and Karp 1972, from memory)
// end with distances that are the best S.
//
// Invariant of the loop: the reduced cost of every arc with room, cost +
// potential[from] − potential[to], is not negative, so that Dijkstra's search may be
// used. It holds at first since all costs (most) are not negative, and augment restores
// it by adding the distances to the potentials.
func differences(n int, bounds []bound, gain []int64) []int64 {
	f := &flow{heads: make([][]int, n), potential: make([]int64, n), excess: make([]int64, n)}
	total := int64(0)
	for i := 1; i < n; i++ {
		f.excess[i] = -gain[i]
		total += gain[i]
	}
	f.excess[0] = total
	for _, b := range bounds {
		f.add(b.from, b.to, b.most)
	}
	for f.augment() {
	}
	out := make([]int64, n)
	for i := range out {
		out[i] = f.potential[i] - f.potential[0]
	}
	return out
}

// flow is a network; arcs come in pairs, forward and back.
type flow struct {
	heads     [][]int // by node: indexes of its arcs
	arcs      []arc
	potential []int64
	excess    []int64 // by node: what it still gives, negative for what it takes
}

type arc struct {
	to   int
	cost int64
	room int64
}

// endless is more than all gains together, and small enough that two of them add up
// without overflow.
const endless = int64(1) << 60

// add makes an arc and its partner, by which flow goes back. Pairs stand side by side,
// so the partner of arc a is a^1.
func (f *flow) add(from, to int, cost int64) {
	f.heads[from] = append(f.heads[from], len(f.arcs))
	f.arcs = append(f.arcs, arc{to, cost, endless})
	f.heads[to] = append(f.heads[to], len(f.arcs))
	f.arcs = append(f.arcs, arc{from, -cost, 0})
}

// augment sends as much as it can along the shortest path from nodes that give to one
// that takes, and returns false when nobody gives any more. The search stops at the
// first node that takes: distances beyond it are cut to it, which keeps reduced costs
// from falling below 0. O((n + arcs) log n) for each path.
func (f *flow) augment() bool {
	n := len(f.heads)
	distance := make([]int64, n)
	by := make([]int, n)
	var q queue
	for i := range n {
		distance[i], by[i] = endless, -1
		if f.excess[i] > 0 {
			distance[i] = 0
			heap.Push(&q, entry{i, 0})
		}
	}
	if q.Len() == 0 {
		return false
	}
	target := -1
	done := make([]bool, n)
	for q.Len() > 0 {
		e := heap.Pop(&q).(entry)
		if done[e.node] {
			continue
		}
		done[e.node] = true
		if f.excess[e.node] < 0 {
			target = e.node
			break
		}
		for _, a := range f.heads[e.node] {
			c := &f.arcs[a]
			if c.room == 0 {
				continue
			}
			if d := e.distance + c.cost + f.potential[e.node] - f.potential[c.to]; d < distance[c.to] {
				distance[c.to], by[c.to] = d, a
				heap.Push(&q, entry{c.to, d})
			}
		}
	}
	// Nodes that were not reached yet are at least as far as the target.
	for i := range n {
		f.potential[i] += min(distance[i], distance[target])
	}
	f.send(target, by)
	return true
}

// send moves flow along the path that ends at target.
func (f *flow) send(target int, by []int) {
	amount := -f.excess[target]
	at := target
	for by[at] >= 0 {
		a := by[at]
		amount = min(amount, f.arcs[a].room)
		at = f.arcs[a^1].to
	}
	amount = min(amount, f.excess[at])
	f.excess[at] -= amount
	f.excess[target] += amount
	for at = target; by[at] >= 0; {
		a := by[at]
		f.arcs[a].room -= amount
		f.arcs[a^1].room += amount
		at = f.arcs[a^1].to
	}
}

// queue is a heap of nodes by distance, then number.
type queue []entry

type entry struct {
	node     int
	distance int64
}

func (q queue) Len() int { return len(q) }

func (q queue) Less(i, j int) bool {
	if q[i].distance != q[j].distance {
		return q[i].distance < q[j].distance
	}
	return q[i].node < q[j].node
}

func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }

// Push and Pop are for package heap.
func (q *queue) Push(x any) { *q = append(*q, x.(entry)) }

// Pop removes the last entry.
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
