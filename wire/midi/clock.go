package midi

import (
	"slices"
	"time"
)

// Clock turns the ticks of a file into times.
type Clock struct {
	// num/den is the length of a tick in ns until the first tempo change;
	// changes lie in the order of their ticks.
	changes []change
	den     int64
}

// change is a tempo from a tick on.
type change struct {
	tick int64
	at   int64 // ns·den from the start, so that nothing is rounded on the way
	num  int64 // length of a tick in ns·den
}

// Clock reads the tempo events of the file: those of the first track, as
// format 1 has it (for format 2 use a file of the one track). With an SMPTE
// division they have no effect.
func (f *File) Clock() Clock {
	// The high byte is minus the frames a second, in two's complement.
	if f.Division&0x8000 != 0 {
		fps, ticks := int64(-int8(f.Division>>8)), int64(f.Division&0xFF)
		if fps == 29 { // 30 drop: 30000/1001 frames a second
			return Clock{den: 30000 * ticks, changes: []change{{num: 1001 * int64(time.Second)}}}
		}
		return Clock{den: fps * ticks, changes: []change{{num: int64(time.Second)}}}
	}
	c := Clock{den: int64(f.Division), changes: []change{{num: DefaultTempo * 1000}}}
	if len(f.Tracks) == 0 {
		return c
	}
	for _, e := range f.Tracks[0] {
		if len(e.Data) == 5 && e.Data[0] == statusMeta && e.Data[1] == metaTempo {
			us := int64(e.Data[2])<<16 | int64(e.Data[3])<<8 | int64(e.Data[4])
			last := c.changes[len(c.changes)-1]
			c.changes = append(c.changes, change{tick: e.Tick, at: last.at + (e.Tick-last.tick)*last.num, num: us * 1000})
		}
	}
	return c
}

// Time returns when a tick is, from the start of the file, to the nearest ns.
func (c Clock) Time(tick int64) time.Duration {
	i, found := slices.BinarySearchFunc(c.changes, tick, func(ch change, t int64) int {
		switch {
		case ch.tick < t:
			return -1
		case ch.tick > t:
			return 1
		}
		return 0
	})
	if !found {
		i--
	}
	if i < 0 {
		return 0
	}
	ch := c.changes[i]
	return time.Duration((ch.at + (tick-ch.tick)*ch.num + c.den/2) / c.den)
}
