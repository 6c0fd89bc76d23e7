package demo

// ticksABeat divides a beat so that halves, thirds and quarters fall on ticks.
const ticksABeat = 12

// pulse is a stretch of steady or changing beats: the sample of every tick.
type pulse struct {
	ticks []int64
	count int // beats in a bar
}

// newPulse lays bars of count beats from the sample on; the tempo in beats a
// minute moves evenly from the first beat to the last.
func newPulse(from int64, bars, count int, first, last float64) pulse {
	n := bars * count * ticksABeat
	p := pulse{ticks: make([]int64, n+1), count: count}
	at := float64(from)
	for i := range p.ticks {
		p.ticks[i] = int64(at + 0.5)
		tempo := first + float64((last-first)*(float64(i)/float64(n)))
		at += Rate * 60 / float64(tempo*ticksABeat)
	}
	return p
}

// at returns the sample of a beat, both counted from 0; parts of a beat are
// rounded to ticks.
func (p pulse) at(bar int, beat float64) int64 {
	i := bar*p.count*ticksABeat + int(float64(beat*ticksABeat)+0.5)
	return p.ticks[min(i, len(p.ticks)-1)]
}

// end is the sample on which the next section begins.
func (p pulse) end() int64 { return p.ticks[len(p.ticks)-1] }

func (p pulse) bars() int { return len(p.ticks) / (p.count * ticksABeat) }
