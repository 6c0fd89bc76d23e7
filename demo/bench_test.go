package demo

import (
	"context"
	"io"
	"runtime"
	"testing"
	"time"

	"lampblack/room"
)

func BenchmarkSynthesise(b *testing.B) {
	p := TheLanternFish()
	for b.Loop() {
		if err := Synthesise(io.Discard, p, nil); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(p.Duration.Seconds()*float64(b.N)/b.Elapsed().Seconds(), "×real-time")
}

// A curtain that opens over a while is known closed and at every quarter: five rooms in place of one. By turns, what they
// take of the time of the hall that has no curtain, and what they hold of its memory.
func BenchmarkCurtain(b *testing.B) {
	plain, with := readShow(b, embedded(b, "show")), readShow(b, embedded(b, Evening.texts...))
	with.Room.Divide(map[string][]float64{"sky curtain": {.25, .5, .75, 1}})
	ctx := context.Background()
	solve := func(r *room.Room) (took time.Duration, holds uint64, t *room.Transport) {
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		begun := time.Now()
		t, _ = r.Solve(ctx, with.Rig)
		took = time.Since(begun)
		runtime.GC()
		runtime.ReadMemStats(&after)
		return took, after.HeapAlloc - before.HeapAlloc, t
	}
	var one, first, all time.Duration
	var oneHolds, allHold uint64
	for b.Loop() {
		took, holds, t := solve(plain.Room)
		one, oneHolds = one+took, oneHolds+holds
		runtime.KeepAlive(t)
		var kept []*room.Transport
		for k := range 5 {
			took, holds, t := solve(with.Room.In(room.Setting{"sky curtain": k}))
			if all, allHold = all+took, allHold+holds; k == 0 {
				first += took
			}
			kept = append(kept, t)
		}
		runtime.KeepAlive(kept)
	}
	b.ReportMetric(first.Seconds()/one.Seconds(), "×closed")
	b.ReportMetric(all.Seconds()/one.Seconds(), "×all-five")
	b.ReportMetric(float64(allHold)/float64(oneHolds), "×memory")
	b.ReportMetric(float64(oneHolds)/1e6/float64(b.N), "MB-of-one")
}
